"""The tables of money: phases, budget, options, funding, gifts. All from one budget, so all agree."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from publishing.disclosure.briefs import BriefFacts, LineValue, PhaseValue, WorksValue

from .typesetting import may_break
from .words import (
    OPTIONS,
    amount,
    figure,
    never_a_tender,
    option_means,
    option_name,
    percent,
    phase_name,
    prices_in_words,
    step_name,
    tax_in_words,
)

Block = dict[str, Any]


def table(
    heads: list[str],
    rows: list[list[str]],
    *,
    columns: list[float],
    right: Iterable[int] = (),
    strong: Iterable[int] = (),
) -> Block:
    """A table: widths of its columns, which are set to the right, which rows are printed strong."""
    return {
        "kind": "table",
        "heads": heads,
        "rows": [[may_break(cell) for cell in row] for row in rows],
        "columns": columns,
        "right": list(right),
        "strong": list(strong),
    }


def phases_of(works: WorksValue) -> list[PhaseValue]:
    """Phases of the chosen packages, in their order."""
    return [phase for package in works.chosen for phase in package.phases]


def works_blocks(facts: BriefFacts) -> list[Block]:
    """What is done in each phase, and how it leaves the organ."""
    blocks: list[Block] = []
    for package in facts.works.chosen:
        if package.target_state:
            blocks.append(
                {"kind": "text", "text": _("State aimed at: %(state)s") % {"state": package.target_state}}
            )
        rows = [
            [
                phase_name(phase),
                phase.when.words if phase.when else _("not dated"),
                "; ".join(dict.fromkeys(work_of(line) for line in phase.lines)),
                phase.leaves or "–",
            ]
            for phase in package.phases
        ]
        heads = [_("Phase"), _("When"), _("Works"), _("Leaves the organ")]
        blocks.append(table(heads, rows, columns=[2.4, 1.6, 5, 1.8]))
    return blocks or [{"kind": "text", "text": _("No works are chosen yet.")}]


def work_of(line: LineValue) -> str:
    """A line in words: its own, with the quantity, or its step."""
    text = line.text or step_name(line.step)
    if line.quantity and line.text:
        return _("%(work)s (%(quantity)s %(unit)s)") % {
            "work": text,
            "quantity": f"{line.quantity}\u00a0×",
            "unit": line.unit,
        }
    return text


def by_step(lines: Iterable[LineValue]) -> list[LineValue]:
    """Lines of one step as one, their sums added."""
    found: dict[str, LineValue] = {}
    for line in lines:
        old = found.get(line.step)
        money = (
            line.money if old is None else tuple(a + b for a, b in zip(old.money, line.money, strict=True))
        )
        found[line.step] = LineValue(line.step, "", "", "", "", money)  # type: ignore[arg-type]
    return list(found.values())


def budget_blocks(facts: BriefFacts, *, short: bool = False) -> list[Block]:
    """Every line, what comes on top, and the total with its ranges."""
    works = facts.works
    if not works.chosen:
        return [{"kind": "text", "text": _("There is no budget before an option is chosen.")}]
    rows: list[list[str]] = []
    strong: list[int] = []
    for phase in phases_of(works):
        strong.append(len(rows))
        rows.append([phase_name(phase), "", figure(phase.total), ""])
        told = phase.lines if all(line.text for line in phase.lines) and not short else by_step(phase.lines)
        rows += [[work_of(line), *(figure(one) for one in line.money)] for line in told]
        rows += [
            [name, "", figure(value), ""]
            for name, value in (
                (_("Contingency"), phase.contingency),
                (_("Rising prices"), phase.inflation),
                (_("Tax"), phase.tax),
            )
            if value
        ]
    strong.append(len(rows))
    rows.append([_("Expected total"), "", figure(works.total), ""])
    heads = [
        _("Works"),
        _("low"),
        _("expected, %(currency)s") % {"currency": works.currency},
        _("high"),
    ]
    return [
        table(heads, rows, columns=[6, 1.2, 1.6, 1.2], right=[1, 2, 3], strong=strong),
        {"kind": "text", "text": " ".join(ranges_in_words(works))},
    ]


def ranges_in_words(works: WorksValue) -> list[str]:
    """How sure the total is, and what it holds."""
    low, high = works.correlated
    alone_low, alone_high = works.independent
    said = [
        never_a_tender(),
        _(
            "95 %% range of the total: %(low)s to %(high)s if what makes one line dear makes all dear; %(alone_low)s to "
            "%(alone_high)s if each line errs on its own."
        )
        % {
            "low": amount(low, works), "high": amount(high, works),
            "alone_low": amount(alone_low, works), "alone_high": amount(alone_high, works),
        },
        _("Contingency of %(percent)s on all but provisional sums, for what the surveys could not see.")
        % {"percent": percent(works.contingency_percent)},
        tax_in_words(works),
        prices_in_words(works),
    ]  # fmt: skip
    if works.repeated_extra:
        said.append(
            _("Doing it in phases repeats steps such as scaffold and boards: %(extra)s of the works.")
            % {"extra": amount(works.repeated_extra, works)}
        )
    said.append(_("Sums are rounded once, by largest remainders, so that they add up."))
    return said


def options_blocks(facts: BriefFacts) -> list[Block]:
    """All four options, always: worked out or not, and which is chosen."""
    rows, strong = [], []
    for option in OPTIONS:
        packages = [package for package in facts.works.packages if package.option == option]
        if any(package.chosen for package in packages):
            strong.append(len(rows))
        states = [package.target_state or package.name for package in packages]
        totals = [amount(package.total, facts.works) for package in packages if package.phases]
        rows.append(
            [
                _("%(option)s (chosen)") % {"option": option_name(option)}
                if len(rows) in strong
                else option_name(option),
                "; ".join(dict.fromkeys(state for state in states if state)) or option_means(option),
                "; ".join(totals) or _("not worked out"),
            ]
        )
    heads = [_("Option"), _("State aimed at, and why"), _("Expected total")]
    return [table(heads, rows, columns=[2.2, 5.5, 1.8], strong=strong)]


def funding_blocks(facts: BriefFacts, *, gifts: bool) -> list[Block]:
    """Money by how sure it is, who let their names be printed, and what would close the gap."""
    works = facts.works
    if not works.chosen:
        return []
    rows = [
        [_("Secured"), amount(works.secured, works)],
        [_("Pledged"), amount(works.pledged, works)],
        [_("Applied for"), amount(works.applied, works)],
        [_("More than needed"), amount(works.surplus, works)]
        if works.surplus
        else [_("Still to be found"), amount(works.gap, works)],
        [_("Expected total"), amount(works.total, works)],
    ]
    blocks: list[Block] = [table([_("Money"), _("Amount")], rows, columns=[5, 2], right=[1], strong=[4])]
    if works.givers:
        names = ", ".join(dict.fromkeys(name for name, _state in works.givers))
        blocks.append(
            {"kind": "text", "text": _("Given or pledged so far by: %(names)s.") % {"names": names}}
        )
    if gifts and works.gifts:
        blocks += gift_blocks(works)
    return blocks


def gift_blocks(works: WorksValue) -> list[Block]:
    """A few large gifts and many small ones; single pipes, each given once."""
    rows = [
        [
            ngettext("%(n)s gift", "%(n)s gifts", count) % {"n": count} if count else _("many small gifts"),
            amount(each, works) if count else "–",
            amount(together, works),
        ]
        for count, each, together in works.gifts
    ]
    heads = [_("Gifts"), _("each"), _("together")]
    blocks: list[Block] = [
        table(heads, rows, columns=[4, 2, 2], right=[1, 2]),
        {
            "kind": "text",
            "text": _(
                "Some campaigns found most of the money in a few large gifts, others in many small ones."
            ),
        },
    ]
    if works.given:
        items = [pipe_in_words(one.rank, one.note, one.voices, one.printed_as) for one in works.given[:8]]
        blocks.append({"kind": "text", "text": _("Single pipes given so far:")})
        blocks.append({"kind": "list", "items": items})
    return blocks


def pipe_in_words(rank: str, note: str, voices: tuple[str, ...], printed_as: str) -> str:
    """A pipe given: one pipe, all the stops it speaks for."""
    said = _("%(rank)s, %(note)s") % {"rank": rank, "note": note} if note else rank
    if len(voices) > 1:
        said = _("%(pipe)s: one pipe that speaks for %(stops)s") % {"pipe": said, "stops": ", ".join(voices)}
    return _("%(pipe)s (given by %(giver)s)") % {"pipe": said, "giver": printed_as} if printed_as else said
