"""sound FILE|REF --stops A,B --keys KB:1,13: what speaks, and which calls coincide."""

import re
from collections.abc import Iterable
from typing import Any

from django.core.management.base import CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.management.scheme_arguments import add_scheme_arguments, load_scheme, print_json, refuse
from inventory.management.scheme_tables import sound_lines
from inventory.management.spoken import SpokenCommand
from inventory.organ.answers import sound_answer
from inventory.organ.errors import OrganError
from inventory.organ.json_text import shown
from inventory.organ.sounding import Channel

_GROUP = re.compile(r"([A-Za-z0-9._-]{1,64}):(\d{1,4}(?:,\d{1,4})*),?", re.ASCII)


def read_keys(groups: Iterable[str]) -> list[Channel]:
    """Read held keys such as `I:1,13` or `I:1 II:5;P:3`; the command ends where they are unclear."""
    held: list[Channel] = []
    for group in re.split(r"[;\s]+", " ".join(groups).strip()):
        match = _GROUP.fullmatch(group)
        if group and not match:
            raise refuse("--keys", _("%s is not KEYBOARD:key,key: write such as I:1,13") % shown(group))
        if match:
            held += [(match[1], int(key)) for key in match[2].split(",")]
    return held


def read_stops(groups: Iterable[str]) -> list[str]:
    """Read ids of stops and couplers, parted by commas or spaces; each counts once."""
    names = [name for group in groups for name in re.split(r"[,\s]+", group) if name]
    return list(dict.fromkeys(names))


class Command(SpokenCommand):
    """What speaks for stops drawn and keys held."""

    help = gettext_lazy(
        "Say which pipes sound for the stops drawn and the keys held, and which calls coincide."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """FILE, - or REF, what is drawn and held, and --json."""
        add_scheme_arguments(parser, nargs="?")
        parser.add_argument(
            "--stops",
            action="append",
            required=True,
            metavar="A,B",
            help=_("ids of stops and couplers drawn"),
        )
        parser.add_argument(
            "--keys",
            action="append",
            nargs="+",
            required=True,
            metavar="KB:1,13",
            help=_("keys held, counted from 1; several keyboards parted by ; or a space"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, compute, print."""
        # A caller from Python may give one text where the command line gives lists.
        stops = [options["stops"]] if isinstance(options["stops"], str) else options["stops"]
        keys = [options["keys"]] if isinstance(options["keys"], str) else options["keys"]
        groups = [group for one in keys for group in ([one] if isinstance(one, str) else one)]
        if options["scheme"] is None and len(groups) > 1:
            # `sound --stops A --keys I:1 FILE`: the last word is the scheme.
            options["scheme"] = groups.pop()
        if options["scheme"] is None:
            raise refuse("FILE|REF", _("no scheme is named: write a file, - or a reference"))
        held = read_keys(groups)
        scheme = load_scheme(options["scheme"], self.stderr)
        try:
            answer = sound_answer(scheme, read_stops(stops), held)
        except OrganError as error:
            raise refuse(options["scheme"], error)
        if options["json"]:
            print_json(answer, self.stdout)
        else:
            self.stdout.write("\n".join(sound_lines(scheme, answer)))
