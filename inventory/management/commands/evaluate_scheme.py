"""evaluate_scheme FILE|REF: the sums, families, valves and findings of a scheme."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils.translation import gettext_lazy as _

from inventory.management.scheme_arguments import add_scheme_arguments, load_scheme, print_json, refuse
from inventory.management.scheme_tables import evaluation_lines
from inventory.management.spoken import SpokenCommand
from inventory.organ.answers import evaluate_answer
from inventory.organ.errors import OrganError


class Command(SpokenCommand):
    """Which pipe speaks for which stop and key, and what does not add up."""

    help = _("Compute the sums, shared pipes, families and findings of a scheme.")
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """FILE, - or REF, and --json."""
        add_scheme_arguments(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, compute, print."""
        scheme = load_scheme(options["scheme"], self.stderr)
        try:
            answer = evaluate_answer(scheme)
        except OrganError as error:
            raise refuse(options["scheme"], error)
        if options["json"]:
            print_json(answer, self.stdout)
        else:
            self.stdout.write("\n".join(evaluation_lines(scheme, answer)))
