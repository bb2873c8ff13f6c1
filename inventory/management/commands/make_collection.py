"""make_collection --instruments N --seed S: a made-up collection in the database, for benchmarks."""

import sys
import time
from typing import Any

from django.core.management import call_command
from django.core.management.base import CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from tqdm import tqdm

from inventory.intake.collections import MOST_INSTRUMENTS, CollectionRefused, make_collection
from inventory.management.spoken import SpokenCommand
from inventory.models import Device, Instrument, User
from inventory.models.users import Role
from inventory.roles import NotAllowed, person_at_the_console

MAKER = "collection-maker"


class Command(SpokenCommand):
    """Writes invented instruments, released and for everybody."""

    help = gettext_lazy(
        "Make up a collection from a seed and write it to the database, for measuring. "
        "Example: manage.py make_collection --instruments 1000 --seed 1"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """How many, the seed, and where."""
        parser.add_argument(
            "--instruments",
            type=int,
            required=True,
            help=_("how many, 1 to %(most)d") % {"most": MOST_INSTRUMENTS},
        )
        parser.add_argument("--seed", type=int, required=True, help=_("the same seed makes the same organs"))
        parser.add_argument(
            "--beside", action="store_true", help=_("allow other records in the same database")
        )
        parser.add_argument(
            "--without-search", action="store_true", help=_("leave the search index as it is: faster")
        )
        parser.add_argument("--by", default="", help=_("the keeper who does this, where there are several"))

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the database if there is none yet, then write."""
        number = options["instruments"]
        begin = time.monotonic()
        try:
            call_command("migrate", verbosity=0)
            if not Device.objects.exists():
                call_command("loaddata", "vocabularies", verbosity=0)
            by = self._keeper(options["by"])
            with tqdm(total=number, unit="organ", file=sys.stderr, disable=None) as bar:
                made = make_collection(
                    number,
                    options["seed"],
                    by=by,
                    beside=options["beside"],
                    search=not options["without_search"],
                    progress=bar.update,
                )
        except (CollectionRefused, NotAllowed) as error:
            raise CommandError(" ".join(str(error).split()), returncode=2) from None
        self.stdout.write(
            _("%(made)d instruments made in %(seconds).1f s; the record holds %(all)d.")
            % {"made": made, "seconds": time.monotonic() - begin, "all": Instrument.objects.count()}
        )

    def _keeper(self, name: str) -> User:
        """Who does this; in a database without people, an account nobody can sign in with."""
        if not name and not User.objects.exists():
            keeper = User(username=MAKER, role=Role.KEEPER)
            keeper.set_unusable_password()
            keeper.save()
            return keeper
        return person_at_the_console(name, "change people")
