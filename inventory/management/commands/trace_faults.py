"""trace_faults SCHEME TRIALS: what the trials are consistent with, and the trial to make next."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.management.fault_words import fault_lines
from inventory.management.scheme_arguments import (
    load_scheme,
    print_json,
    print_notes,
    read_bytes,
    refuse,
)
from inventory.management.spoken import SpokenCommand
from inventory.organ.errors import OrganError
from inventory.organ.explanations import explain
from inventory.organ.fault_answers import trace_answer
from inventory.organ.next_trial import next_trial
from inventory.organ.odds import read_odds
from inventory.organ.trials import read_trials


class Command(SpokenCommand):
    """Smallest sets of failures consistent with trials at the keys."""

    help = gettext_lazy("Say which failures the trials are consistent with, and which trial to make next.")
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Scheme, trials, odds and --json."""
        parser.add_argument(
            "scheme", metavar="SCHEME", help=_("scheme file, - for standard input, or a reference")
        )
        parser.add_argument("trials", metavar="TRIALS", help=_("file of trials, or - for standard input"))
        parser.add_argument(
            "--odds", metavar="FILE", help=_("prior odds of your own, instead of those stated")
        )
        parser.add_argument("--json", action="store_true", help=_("print one JSON document and nothing else"))

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, compute, print."""
        from_stdin = [name for name in ("scheme", "trials", "odds") if options[name] == "-"]
        if len(from_stdin) > 1:
            raise refuse("-", _("only one of scheme, trials and odds can be standard input: name a file"))
        scheme = load_scheme(options["scheme"], self.stderr)
        name, content = read_bytes(options["trials"])
        try:
            trials, notes = read_trials(content, scheme)
        except OrganError as error:
            raise refuse(name, error)
        print_notes(name, notes, self.stderr)
        odds = None
        if options["odds"] is not None:
            odds_name, odds_content = read_bytes(options["odds"])
            try:
                odds = read_odds(odds_content)
            except OrganError as error:
                raise refuse(odds_name, error)
        try:
            diagnosis = explain(scheme, trials, odds)
            following = next_trial(scheme, trials, diagnosis)
        except OrganError as error:
            raise refuse(name, error)
        answer = trace_answer(trials, diagnosis, following)
        if options["json"]:
            print_json(answer, self.stdout)
        else:
            lines = fault_lines(scheme, diagnosis, following, answer["suggested_cause"])
            self.stdout.write("\n".join(lines))
