"""Answers on schemes as plain text a conservator can read."""

import shutil
import textwrap
from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.organ.devices import device_name
from inventory.organ.notes import interval_name, note_name
from inventory.organ.schemes import Scheme

LONGEST_CELL = 40


def write_table(
    heads: Sequence[str], rows: Sequence[Sequence[object]], right: Sequence[int] = ()
) -> list[str]:
    """Lines of a table; the columns numbered in `right` stand to the right."""
    cells = [[_shorten(str(cell)) for cell in row] for row in (heads, *rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(heads))]
    lines = [
        "  ".join(
            cell.rjust(width) if column in right else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in cells
    ]
    return [lines[0], "  ".join("─" * width for width in widths), *lines[1:]]


def _shorten(text: str) -> str:
    return text if len(text) <= LONGEST_CELL else text[: LONGEST_CELL - 1] + "…"


def wrap(text: str, first: str, indent: str) -> list[str]:
    """Text in lines as wide as the terminal, at most 100 characters."""
    width = min(100, shutil.get_terminal_size((100, 24)).columns)
    return textwrap.wrap(text, max(40, width), initial_indent=first, subsequent_indent=indent) or [first]


def evaluation_lines(scheme: Scheme, answer: dict[str, Any]) -> list[str]:
    """The whole of `evaluate_scheme` in words and tables."""
    recorded = answer["pipes_recorded"]
    economy = answer["economy"]
    sums = [
        (_("Calls (stop, key, pipe)"), answer["calls"]),
        (_("Pipes recorded"), _("not all counted") if recorded is None else recorded),
        (_("Pipes called"), answer["pipes_called"]),
        (_("  shared by two stops or more"), answer["pipes_shared"]),
        (_("  own, called by one stop"), answer["pipes_own"]),
        (_("  repeated, at several keys of one stop"), answer["pipes_repeated"]),
        (_("Pipes uncalled"), answer["pipes_uncalled"]),
        (_("Most stops on one pipe"), answer["depth"]),
        (_("Economy, 1 − pipes called / calls"), "–" if economy is None else f"{economy:.3f}"),
    ]
    width = max(len(name) for name, _value in sums)
    lines = [_("COMPUTED FROM THE SCHEME"), ""]
    lines += [f"  {name.ljust(width)}  {value!s:>7}" for name, value in sums]
    lines += ["", _("STOPS, in keys of their own compass"), ""]
    lines += [f"  {line}" for line in _stops_table(scheme, answer)]
    lines += ["", _("FAMILIES, stops joined by shared pipes")]
    for number, family in enumerate(answer["families"], start=1):
        lines += ["", *_family_lines(scheme, number, family)]
    if not answer["families"]:
        lines += ["", "  " + _("None: every stop has its own pipes.")]
    valves = answer["valves"]
    lines += ["", _("NON-RETURN VALVES"), ""]
    told = (
        _("needed %(needed)d · recorded %(recorded)d · not seen %(not_seen)d (which is not missing)") % valves
    )
    lines += [f"  {told}", "", _("FINDINGS"), ""]
    for finding in answer["findings"]:
        lines += wrap(f"{finding['severity']}: {finding['message']} [{finding['code']}]", "  · ", "    ")
    if not answer["findings"]:
        lines.append("  " + _("None: everything adds up."))
    return lines


def _stops_table(scheme: Scheme, answer: dict[str, Any]) -> list[str]:
    words = {"independent": _("independent"), "part": _("part-shared"), "whole": _("wholly shared")}
    rows = []
    for stop in answer["stops"]:
        found = scheme.stop[stop["id"]]
        partners = [f"{p['stop']} {interval_name(p['interval'])} ({p['keys']})" for p in stop["partners"]]
        shown = ", ".join(partners[:3]) + (" …" if len(partners) > 3 else "")
        rows.append(
            [stop["id"], found.keyboard, found.name, found.footage or "–", stop["keys"], stop["own"], stop["shared"],
             stop["silent"], words[stop["sharing"]], shown or "–"]
        )  # fmt: skip
    heads = [_("id"), _("keyboard"), _("stop"), _("footage"), _("keys"), _("own"), _("shared"), _("silent"),
             _("sharing"), _("partners, interval (keys)")]  # fmt: skip
    return write_table(heads, rows, right=(4, 5, 6, 7))


def _family_lines(scheme: Scheme, number: int, family: dict[str, Any]) -> list[str]:
    lines = [f"  {number}. " + _("%(stops)s on %(ranks)s") % {
        "stops": ", ".join(family["stops"]), "ranks": ", ".join(family["ranks"])}]  # fmt: skip
    for pattern in family["patterns"]:
        stops = " – ".join(pattern["stops"])
        interval = "" if pattern["interval"] in (None, 0) else f" {interval_name(pattern['interval'])}"
        keys = ngettext("%(count)d key", "%(count)d keys", pattern["keys"]) % {"count": pattern["keys"]}
        devices = ", ".join(device_name(code) for code in pattern["devices"]) or device_name(None)
        lines.append(f"     {pattern['pattern']}{interval}: {stops}, {keys}, {pattern['rank']}; {devices}")
    lines += wrap(_("idea: %(idea)s") % {"idea": family["signature"]["idea"]}, "     ", "       ")
    return lines


def sound_lines(scheme: Scheme, answer: dict[str, Any]) -> list[str]:
    """The whole of `sound` in words and a table."""
    pipes = len(answer["pipes"])
    lines = [
        _("%(calls)d calls · %(pipes)d pipes sound · %(coincide)d calls coincide")
        % {"calls": answer["calls"], "pipes": pipes, "coincide": answer["coincide"]}
    ]
    if answer["cannot_sound_together"]:
        pairs = answer["cannot_sound_together"]
        lines.append(
            ngettext(
                "%(count)d pair of notes is asked of one polyphone pipe and cannot sound together",
                "%(count)d pairs of notes are asked of one polyphone pipe and cannot sound together",
                pairs,
            )
            % {"count": pairs}
        )
    rows = []
    for pipe in answer["pipes"]:
        note = scheme.rank[pipe["rank"]].note_of(pipe["pipe"])
        calls = ", ".join(f"{call['stop']}:{call['key']}" for call in pipe["calls"])
        rows.append([pipe["rank"], pipe["pipe"], "–" if note is None else note_name(note), calls])
    if rows:
        lines += [
            "",
            *write_table([_("rank"), _("pipe"), _("note"), _("called by stop:key")], rows, right=(1,)),
        ]
    return lines
