"""write_scheme REF: a record's scheme as a file that every other command reads."""

import json
from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.utils.translation import gettext_lazy as _

from inventory.management.spoken import SpokenCommand
from inventory.organ.scheme_writing import scheme_to_dict
from inventory.schemes import NoSuchRecord, scheme_of_record


class Command(SpokenCommand):
    """Prints the scheme of an instrument's current specification, or of REF/specification."""

    help = _("Write a record's scheme as a file. Example: manage.py write_scheme ORG-0001 > organ.json")
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """The reference."""
        parser.add_argument("reference", help=_("such as ORG-0001, or ORG-0001/as-built"))

    def handle(self, *args: Any, reference: str, **options: Any) -> None:
        """Read the rows, print the document."""
        try:
            scheme = scheme_of_record(reference)
        except NoSuchRecord as error:
            raise CommandError(str(error), returncode=2) from None
        self.stdout.write(json.dumps(scheme_to_dict(scheme), ensure_ascii=False, indent=1))
