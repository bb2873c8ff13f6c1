"""issue_token NAME --days 90: a token with which a program acts as a person, printed once and kept nowhere."""

from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.api.tokens import MOST_DAYS, issue_token
from inventory.management.spoken import SpokenCommand
from inventory.models import User


class Command(SpokenCommand):
    """Prints a token for the interface for programs."""

    help = gettext_lazy(
        "Print a token with which a program acts as a person. It ends by itself, and with a new password."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Whose, and for how long."""
        parser.add_argument("name", help=_("username of the person"))
        parser.add_argument(
            "--days", type=int, default=90, help=_("how long it is good, 1 to %d days") % MOST_DAYS
        )

    def handle(self, *args: Any, name: str, days: int, **options: Any) -> None:
        """Find the person, print the token."""
        user = User.objects.filter(username=name, is_active=True).first()
        if user is None:
            raise CommandError(
                _("Nobody called %s signs in here; check the name.") % ascii(name), returncode=2
            )
        try:
            self.stdout.write(issue_token(user, days))
        except ValueError as error:
            raise CommandError(str(error), returncode=2) from None
