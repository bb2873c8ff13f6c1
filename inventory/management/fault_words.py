"""Explanations of faults in words a builder accepts, cautions first."""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.organ.explanations import Diagnosis, Entry, Group
from inventory.organ.nets import Failure
from inventory.organ.next_trial import NextTrial
from inventory.organ.notes import note_name
from inventory.organ.schemes import Scheme

MOST_PRINTED = 10


def cautions() -> list[str]:
    """What must be read before anything is touched (practice.md §1.12 and §5.4 as corrected)."""
    return [
        _("Before anything else: these lines follow from what was heard. They clear no part for opening."),
        _(
            "Organ parts are fragile. Open, move or touch nothing without the owner's and the builder's consent."
        ),
        _(
            "Do not force sliders, knobs, couplers or keys; do not turn upperboard screws; do not touch pipes."
        ),
        _("Blower and electric action: an electrician first, blower off. Never blow or wipe lead dust."),
        _(
            "An organ long silent is not winded for a trial, and no batten is laid on the keys without consent."
        ),
    ]


def fault_lines(
    scheme: Scheme, diagnosis: Diagnosis, following: NextTrial | None, cause: str | None
) -> Iterator[str]:
    """The whole answer, line by line."""
    yield from cautions()
    yield ""
    if diagnosis.unexplained:
        numbers = ", ".join(str(number) for number in diagnosis.unexplained)
        yield _("Nothing explains these trials, or they contradict each other: %s. Repeat them.") % numbers
        yield _("What follows leaves them aside.")
    if not diagnosis.groups:
        yield _("Otherwise every trial is consistent with a sound chest. Slight leaks may go unheard.")
    for number, group in enumerate(diagnosis.groups, start=1):
        yield from _group_lines(scheme, number, group)
    if following is not None:
        yield ""
        yield from _trial_lines(scheme, following)
    elif any(group.count > 1 for group in diagnosis.groups):
        yield ""
        yield _("No untried trial at the keys splits these further.")
    if cause:
        yield ""
        yield _("One cause to think of: %s") % cause


def _group_lines(scheme: Scheme, number: int, group: Group) -> Iterator[str]:
    failures = ngettext("%d failure", "%d failures", group.size) % group.size
    count = ngettext("%d explanation", "%d explanations", group.count) % group.count
    yield _("Symptoms %(n)d: %(count)s of %(failures)s.") % {
        "n": number,
        "count": count,
        "failures": failures,
    }
    whole = sum(one.odds for one in group.explanations)
    for one in group.explanations[:MOST_PRINTED]:
        words = _(" and ").join(_entry_words(scheme, entry) for entry in one.entries)
        share = round(100 * one.odds / whole)
        yield _("  - consistent with: %(what)s (stated odds: %(share)d in 100)") % {
            "what": words,
            "share": share,
        }
    if group.count > MOST_PRINTED:
        yield _("  - and %d more") % (group.count - MOST_PRINTED)


def _entry_words(scheme: Scheme, entry: Entry) -> str:
    words = failure_words(scheme, entry.failure)
    if entry.same_as:
        others = "; ".join(failure_words(scheme, other) for other in entry.same_as)
        words += _(" [no trial tells it from: %s]") % others
    return words


def failure_words(scheme: Scheme, failure: Failure) -> str:
    """One failure in words."""
    if failure.fails == "runs":
        one, other = failure.part.split("|")
        return _("a run between %(one)s and %(other)s") % {
            "one": part_words(scheme, one),
            "other": part_words(scheme, other),
        }
    states = {
        "shut": _("does not open"),
        "open": _("lets wind back") if failure.part.startswith("valve:") else _("does not close"),
        "slight": _("closes badly: a slight leak"),
        "dead": _("gets or holds no wind, or does not speak"),
    }
    return f"{part_words(scheme, failure.part)} {states[failure.fails]}"


def part_words(scheme: Scheme, part: str) -> str:
    """A part of the exchange format in words, with the name of the note where it has one."""
    kind, owner, *rest = part.split(":")
    number = int(rest[0]) if rest else 0
    owner = owner.removeprefix("stop ")
    names = {
        "pallet": _("the pallet"),
        "channel": _("the channel"),
        "slider": _("the slider"),
        "groove": _("the groove"),
        "valve": _("the non-return valve"),
        "pipe": _("the pipe"),
        "stopvalve": _("the stop valve"),
        "stopchannel": _("the stop channel"),
        "cone": _("the cone"),
        "contact": _("the contact"),
        "switch": _("the switch"),
        "line": _("the line to the pipe"),
        "pipevalve": _("the valve of the pipe"),
    }
    what = names[kind]
    if kind in ("pipe", "line", "pipevalve"):
        note = scheme.rank[owner].note_of(number)
        return _("%(what)s %(rank)s %(number)d%(note)s") % {
            "what": what,
            "rank": owner,
            "number": number,
            "note": "" if note is None else f" ({note_name(note)})",
        }
    title = f"{scheme.stop[owner].name} ({owner})" if owner in scheme.stop else owner
    if kind in ("pallet", "channel") and owner in scheme.keyboard and not part.startswith("pallet:stop "):
        title, keyboard = owner, scheme.keyboard[owner]
    elif not rest:
        return _("%(what)s of %(stop)s") % {"what": what, "stop": title}
    else:
        keyboard = scheme.keyboard_of(owner)
    note = keyboard.channel_notes[number - 1]
    return _("%(what)s of %(owner)s, key %(key)d (%(note)s)") % {
        "what": what,
        "owner": title,
        "key": number,
        "note": note_name(note),
    }


def _trial_lines(scheme: Scheme, following: NextTrial) -> Iterator[str]:
    stops = ", ".join(f"{scheme.stop[stop].name} ({stop})" for stop in following.stops) or _("no stop")
    keys = ", ".join(
        f"{keyboard}:{key} ({note_name(scheme.keyboard[keyboard].notes[key - 1])})"
        for keyboard, key in following.keys
    ) or _("no key")
    yield _("Next trial, at the keys only: draw %(stops)s; hold %(keys)s.") % {"stops": stops, "keys": keys}
    pipes = ", ".join(part_words(scheme, pipe) for pipe in following.listen_for[:6])
    yield _("  Listen for %(pipes)s, and write down each by name: it has %(n)d outcomes.") % {
        "pipes": pipes,
        "n": following.splits,
    }
