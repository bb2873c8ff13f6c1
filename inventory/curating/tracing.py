"""What typed trials come to: what is consistent with them, what to try next, the wind's way; nothing is saved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from inventory.drawings.winds_ways import winds_way_drawing
from inventory.management.fault_words import cautions, failure_words, part_words
from inventory.models import Instrument, Survey, Trial
from inventory.organ.causes import suggest_cause
from inventory.organ.confirming_trial import confirming_trial
from inventory.organ.errors import OrganError
from inventory.organ.explanations import Diagnosis, Entry, Group, explain
from inventory.organ.flows import Flows
from inventory.organ.nets import SUPPLY, WIND
from inventory.organ.next_trial import NextTrial, next_trial
from inventory.organ.schemes import Keyboard, Scheme
from inventory.organ.trial_lines import TrialLines
from inventory.organ.trial_writing import held_keys, key_name, stop_name, write_trial_lines
from inventory.organ.trials import Trial as TrialMade
from inventory.organ.trials import read_trials
from inventory.organ.valves_needed import net_of
from inventory.organ.winds_way import ways_of_wind
from inventory.saying_anew import in_words

MOST_SHOWN = 8


def trials_of_rows(rows: Iterable[Trial], scheme: Scheme) -> tuple[TrialMade, ...]:
    """Saved trials as values; a row that no longer fits the scheme is left out."""
    made: list[TrialMade] = []
    for row in rows:
        document = [{"stops": row.stops, "keys": row.keys, "heard": row.heard, "extra": row.extra}]
        try:
            made += read_trials(document, scheme)[0]
        except OrganError:
            continue
    return tuple(made)


def trace(scheme: Scheme, read: TrialLines) -> dict[str, Any]:
    """Everything the panel beside the text shows."""
    trials = read.trials
    context: dict[str, Any] = {
        "cautions": cautions(),
        "number": len(trials),
        "questions": [
            {"line": one.line, "text": one.text, "why": in_words(one.why), "candidates": one.candidates}
            for one in read.questions
        ],
        "notes_tried": len({heard[:2] for trial in trials for heard in trial.heard}),
        "notes_heard": len({h[:2] for trial in trials for h in trial.heard if h.manner == "speaks"}),
    }
    weak = sum(manner == "weak" for manner in heard_by_note(trials).values())
    if weak:
        context["weak"] = ngettext(
            "%(n)d note is weak: that clears nothing and condemns nothing.",
            "%(n)d notes are weak: that clears nothing and condemns nothing.",
            weak,
        ) % {"n": weak}
    if not trials:
        return context
    try:
        diagnosis = explain(scheme, trials)
        following = next_trial(scheme, trials, diagnosis)
        confirming = None if following else confirming_trial(scheme, trials, diagnosis)
    except OrganError as error:
        return context | {"too_long": in_words(str(error))}
    cause = suggest_cause(trials, diagnosis)
    context |= {
        "is_clean": not diagnosis.groups and not diagnosis.unexplained,
        "groups": [_group(scheme, group) for group in diagnosis.groups],
        "contradicting": [_contradicting(scheme, trials, number) for number in diagnosis.unexplained],
        "following": _following(scheme, following or confirming),
        "is_confirming": confirming is not None,
        "cause": in_words(cause) if cause else "",
        "drawing": _wind_drawing(scheme, trials, diagnosis),
    }
    return context


def _group(scheme: Scheme, group: Group) -> dict[str, Any]:
    whole = sum(one.odds for one in group.explanations)
    return {
        "count": group.count,
        "size": group.size,
        "explanations": [
            {
                "entries": [_entry(scheme, entry) for entry in one.entries],
                "share": round(100 * one.odds / whole),
            }
            for one in group.explanations[:MOST_SHOWN]
        ],
        "more": max(0, group.count - MOST_SHOWN),
    }


def _entry(scheme: Scheme, entry: Entry) -> dict[str, Any]:
    return {
        "words": failure_words(scheme, entry.failure),
        "same_as": [failure_words(scheme, other) for other in entry.same_as],
    }


def _contradicting(scheme: Scheme, trials: Sequence[TrialMade], number: int) -> str:
    return write_trial_lines(scheme, [trials[number - 1]])


def _following(scheme: Scheme, following: NextTrial | None) -> dict[str, Any] | None:
    if following is None:
        return None
    return {
        "stops": [stop_name(scheme, stop) for stop in following.stops],
        "keys": held_keys(scheme, following.keys) if following.keys else "",
        "listen": [part_words(scheme, pipe) for pipe in following.listen_for[:6]],
        "splits": following.splits,
    }


def next_of(scheme: Scheme, trials: Sequence[TrialMade]) -> NextTrial | None:
    """The trial to make next, for setting the keyboard."""
    try:
        diagnosis = explain(scheme, trials)
        return next_trial(scheme, trials, diagnosis) or confirming_trial(scheme, trials, diagnosis)
    except OrganError:
        return None


def _wind_drawing(scheme: Scheme, trials: Sequence[TrialMade], diagnosis: Diagnosis) -> dict[str, Any] | None:
    """The wind's way in the first trial that shows the likeliest explanation."""
    failures = {f for group in diagnosis.groups for f in group.explanations[0].failures}
    flows = Flows(net_of(scheme))
    for trial in trials if failures else ():
        ways = ways_of_wind(scheme, flows, failures, trial.drawn, trial.keys)
        if not ways:
            continue
        title = _("The wind’s way with %(stops)s drawn, %(keys)s, if it is the likeliest explanation") % {
            "stops": " + ".join(stop_name(scheme, stop) for stop in sorted(trial.drawn)) or _("no stop"),
            "keys": held_keys(scheme, sorted(trial.keys)),
        }

        def words(part: str) -> str:
            return space_words(scheme, part)

        wide = winds_way_drawing(ways[:2], words, title, prefix="wind")
        narrow = winds_way_drawing(ways[:2], words, title, prefix="wind-narrow", narrow=True)
        return {"wide": wide, "narrow": narrow}
    return None


def space_words(scheme: Scheme, part: str) -> str:
    """A part, a run or a source in words."""
    if part == WIND:
        return _("the wind in the chest")
    if part == SUPPLY:
        return _("the current")
    if "|" in part:
        one, other = part.split("|")
        return _("between %(one)s and %(other)s") % {
            "one": part_words(scheme, one),
            "other": part_words(scheme, other),
        }
    if part.startswith("wire:"):
        _kind, stop, key = part.split(":")
        return _("the wire of %(stop)s, key %(key)s") % {"stop": stop_name(scheme, stop), "key": key}
    return part_words(scheme, part)


def heard_by_note(trials: Sequence[TrialMade]) -> dict[tuple[str, int], str]:
    """How each note answered; alone counts before in company, the later trial before the earlier."""
    found: dict[tuple[str, int], tuple[bool, str]] = {}
    for trial in trials:
        for stop, key, manner in trial.heard:
            alone = len(trial.drawn) == 1
            if (stop, key) not in found or alone >= found[stop, key][0]:
                found[stop, key] = alone, manner
    return {note: manner for note, (_alone, manner) in found.items()}


def compare_visits(scheme: Scheme, by_visit: Mapping[str, Sequence[TrialMade]]) -> dict[str, Any]:
    """Notes side by side over visits: those that changed or do not speak, in runs; untried is no answer."""
    tables = {visit: heard_by_note(trials) for visit, trials in by_visit.items()}
    manners = {"speaks": _("speaks"), "weak": _("weak"), "silent": pgettext("a note", "silent")}
    rows: list[dict[str, Any]] = []
    same = 0
    for stop in scheme.stops:
        board = scheme.keyboard_of(stop.id)
        run: tuple[int, int, tuple[str, ...]] | None = None
        for key in range(1, board.keys + 1):
            answers = tuple(table.get((stop.id, key), "") for table in tables.values())
            given = [answer for answer in answers if answer]
            if not given or (set(given) == {"speaks"}):
                same += bool(given)
                answers = ()
            if run and (answers != run[2] or key != run[1] + 1):
                rows.append(_compared(scheme, stop.id, board, run, manners))
                run = None
            if answers:
                run = (run[0] if run else key, key, answers)
        if run:
            rows.append(_compared(scheme, stop.id, board, run, manners))
    words = ngettext(
        "%(n)d note spoke whenever it was tried.", "%(n)d notes spoke whenever they were tried.", same
    ) % {"n": same}
    return {"visits": list(tables), "rows": rows, "same": words if same else ""}


def _compared(
    scheme: Scheme,
    stop: str,
    board: Keyboard,
    run: tuple[int, int, tuple[str, ...]],
    manners: Mapping[str, str],
) -> dict[str, Any]:
    first, last, answers = run
    given = [answer for answer in answers if answer]
    names = [key_name(board, key) for key in (first, last)]
    return {
        "stop": stop_name(scheme, stop),
        "notes": names[0] if first == last else "–".join(names),
        "answers": [manners.get(answer, _("not tried")) for answer in answers],
        "changed": len(set(given)) > 1,
    }


def survey_label(survey: Survey) -> str:
    """A visit as a heading."""
    return f"{survey.when} ({survey.code})" if survey.code not in survey.when else str(survey.when)


def visits_with_trials(
    root: Instrument, specification_id: int, scheme: Scheme
) -> dict[str, tuple[TrialMade, ...]]:
    """Saved trials on one specification by visit, the earliest first."""
    found: dict[str, tuple[TrialMade, ...]] = {}
    for survey in (
        Survey.objects.filter(instrument=root, trials__specification=specification_id)
        .distinct()
        .order_by("when_sort", "code")
    ):
        rows = Trial.objects.filter(survey=survey, specification=specification_id)
        found[survey_label(survey)] = trials_of_rows(rows, scheme)
    return found
