"""check_records [REF]: findings over one record or all of them."""

import json
from dataclasses import asdict
from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.findings import NoSuchReference, find_all
from inventory.management.spoken import SpokenCommand


class Command(SpokenCommand):
    """What does not fit together in the records, in words; findings never change the exit status."""

    help = gettext_lazy(
        "Look for what does not fit together in one record, or in all that are not withdrawn."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """REF and --json."""
        parser.add_argument("reference", metavar="REF", nargs="?", help=gettext_lazy("reference of a record"))
        parser.add_argument(
            "--json", action="store_true", help=gettext_lazy("print one JSON document and nothing else")
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Find, then print one line for each finding."""
        try:
            found = find_all(options["reference"])
        except NoSuchReference as error:
            raise CommandError(" ".join(str(error).split()), returncode=2)
        if options["json"]:
            self.stdout.write(
                json.dumps({"findings": [asdict(one) for one in found]}, ensure_ascii=False, indent=1)
            )
            return
        for one in found:
            where = f" {one.where}" if one.where else ""
            self.stdout.write(f"{one.reference}{where}: {one.severity}, {one.code}: {one.message}")
        self.stdout.write(_("%(count)s findings.") % {"count": len(found)})
