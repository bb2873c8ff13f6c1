"""A scheme told in words and rows: what shares what, by what device, on whose word."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from inventory.languages import say_once
from inventory.organ.calls import called_pipes
from inventory.organ.notes import note_name
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Keyboard, Scheme, Segment, asked_pipes
from inventory.organ.short_octaves import make_compass
from inventory.punctuation import in_figures, semicolons
from inventory.saying_anew import in_words
from publishing.disclosure.values import DeviceValue, PublicInstrument, SegmentValue, SpecificationValue

from .rendering import word

_BEGINS_WITH_I = re.compile("h?[ií](?![aeou])", re.IGNORECASE)


def labels_of(specification: SpecificationValue) -> dict[str, str]:
    """Each stop's label with its footage, and its keyboard where two stops would read alike."""
    plain = {stop.code: f"{stop.label}{feet(stop.footage, stop.label)}" for stop in specification.stops}
    keyboards = {keyboard.code: keyboard.name or keyboard.code for keyboard in specification.keyboards}
    twice = {label for label in plain.values() if list(plain.values()).count(label) > 1}
    return {
        stop.code: f"{plain[stop.code]} ({keyboards[stop.keyboard]})"
        if plain[stop.code] in twice
        else plain[stop.code]
        for stop in specification.stops
    }


def feet(footage: str, label: str = "") -> str:
    """The footage to print after a label, unless the label already ends in it."""
    if not footage:
        return ""
    pretty = pretty_footage(footage)
    ends = label.rstrip("′' ").endswith((footage, pretty.rstrip("′")))
    return "" if ends else f" {pretty}"


def pretty_footage(footage: str) -> str:
    """2 2/3 as 2⅔′."""
    signs = {"1/2": "½", "1/3": "⅓", "2/3": "⅔", "1/5": "⅕", "2/5": "⅖", "3/5": "⅗", "4/5": "⅘", "1/7": "⅐"}
    whole, _blank, part = footage.partition(" ")
    if part in signs:
        return f"{whole}{signs[part]}′"
    return f"{signs.get(footage, footage)}′"


def listed(names: list[str]) -> str:
    """Names joined for a sentence."""
    if len(names) < 2:
        return "".join(names)
    places = {"some": ", ".join(names[:-1]), "last": names[-1]}
    if _BEGINS_WITH_I.match(names[-1]):  # Spanish has another word for "and" there
        return pgettext("before a word that begins with i", "%(some)s and %(last)s") % places
    return _("%(some)s and %(last)s") % places


def joined(parts: list[str]) -> str:
    """Short remarks one after another, in one cell."""
    return ", ".join(part for part in parts if part)


def key_range(keyboard: Keyboard, first: int, last: int) -> str:
    """Keys by note name with their numbers: C–f³ (1–54)."""
    notes = keyboard.channel_notes
    if first == last:
        return f"{note_name(notes[first - 1])} ({first})" if 1 <= first <= len(notes) else str(first)
    low, high = max(1, first), min(last, len(notes))
    return f"{note_name(notes[low - 1])}–{note_name(notes[high - 1])} ({first}–{last})"


def compass_in_words(specification: SpecificationValue, keyboard: str) -> str:
    """Number of keys and both ends of a keyboard, with what is missing between: 54 keys, C to f³."""
    return in_words(make_compass(specification.scheme.keyboard[keyboard].notes).text)


def at_what(scheme: Scheme, segment: Segment) -> str:
    """Which pipes the keys ask, and how far from the key."""
    ends = _ends_asked(scheme)[segment]
    if ends is None:
        return _("no pipes")
    low, high, key, pipe = ends
    words = (
        _("pipe %(low)s") % {"low": low}
        if low == high
        else _("pipes %(low)s–%(high)s") % {"low": low, "high": high}
    )
    keyboard, rank = scheme.keyboard_of(segment.stop), scheme.rank[segment.rank]
    note = rank.note_of(pipe)
    if segment.interval is not None:
        words += f", {interval_in_words(segment.interval)}"
    elif note is not None and segment.pipes is None:
        words += f", {interval_in_words(note - keyboard.channel_notes[key - 1])}"
    return words


@remember_recent(AT_ONCE)
def _ends_asked(scheme: Scheme) -> dict[Segment, tuple[int, int, int, int] | None]:
    """Of each segment the lowest and highest pipe its keys ask, and its first key that asks one, with that pipe."""
    found: dict[Segment, tuple[int, int, int, int] | None] = {}
    for segment in scheme.segments:
        asked = [(key, pipe) for key, pipe in asked_pipes(scheme, segment) if pipe is not None]
        pipes = [pipe for _key, pipe in asked]
        found[segment] = (min(pipes), max(pipes), *asked[0]) if asked else None
    return found


@say_once
def interval_in_words(semitones: int) -> str:
    """How far the pipe lies from the key that asks it."""
    octaves, rest = divmod(abs(semitones), 12)
    if semitones == 0:
        return _("at the key's own pitch")
    distance = _size_in_words(octaves, rest, abs(semitones))
    return (_("%(size)s higher") if semitones > 0 else _("%(size)s lower")) % {"size": distance}


@say_once
def interval_between_keys(semitones: int) -> str:
    """How far the other stop's key lies from this one, for the same pipe."""
    octaves, rest = divmod(abs(semitones), 12)
    if semitones == 0:
        return _("same key")
    distance = _size_in_words(octaves, rest, abs(semitones))
    return (_("key %(size)s up") if semitones > 0 else _("key %(size)s down")) % {"size": distance}


def _size_in_words(octaves: int, rest: int, semitones: int) -> str:
    if rest == 0:
        return ngettext("an octave", "%(n)s octaves", octaves) % {"n": octaves}
    named_sizes = {7: _("a fifth"), 19: _("a twelfth"), 28: _("a seventeenth"), 31: _("a nineteenth")}
    return named_sizes.get(semitones) or _("%(n)s semitones") % {"n": semitones}


def scheme_rows(
    organ: PublicInstrument, specification: SpecificationValue, devices: Mapping[str, DeviceValue]
) -> list[dict[str, Any]]:
    """One row a segment, in words; its value stands by it for what else is told."""
    labels, scheme = labels_of(specification), specification.scheme
    ranks = {rank.code: rank.name for rank in specification.ranks}
    layers = {layer.code: layer.name for layer in organ.layers}
    rows = []
    lines = zip(
        specification.segments,
        segments_in_order(specification),
        _lines_that_share(specification),
        strict=True,
    )
    for value, segment, shared in lines:
        rows.append(
            {
                "shared": shared,
                "stop": labels[value.stop],
                "keys": key_range(scheme.keyboard_of(value.stop), value.first_key, value.last_key),
                "rank": ranks[value.rank],
                "at": at_what(scheme, segment),
                "device": word(devices[value.device].names)
                if value.device
                else _("not known")
                if shared
                else "–",
                "value": value,
                "layer": layers.get(value.layer, ""),
            }
        )
    return rows


@remember_recent(AT_ONCE)
def _lines_that_share(specification: SpecificationValue) -> tuple[bool, ...]:
    """Of each segment in the order of the values, whether it asks a pipe that two stops call."""
    scheme = specification.scheme
    shared = called_pipes(scheme).shared
    return tuple(
        any((segment.rank, pipe) in shared for _key, pipe in asked_pipes(scheme, segment))
        for segment in segments_in_order(specification)
    )


@remember_recent(AT_ONCE)
def segments_in_order(specification: SpecificationValue) -> tuple[Segment, ...]:
    """The scheme's segments in the order of the values."""

    def key(one: SegmentValue | Segment) -> tuple[Any, ...]:
        if isinstance(one, Segment):
            return (one.stop, *one.keys, one.rank, one.interval, one.shift)
        return (one.stop, one.first_key, one.last_key, one.rank, one.interval, one.shift)

    by_key: dict[tuple[Any, ...], list[Segment]] = {}
    for segment in specification.scheme.segments:
        by_key.setdefault(key(segment), []).append(segment)
    return tuple(by_key[key(value)].pop(0) for value in specification.segments)


def sum_rows(specification: SpecificationValue) -> list[dict[str, Any]]:
    """One row a stop: keys, shared, own, silent, partners."""
    labels = labels_of(specification)
    return [
        {
            "stop": labels[stop["id"]],
            "keys": stop["keys"],
            "shared": stop["shared"],
            "own": stop["own"],
            "silent": stop["silent"],
            "partners": partners_in_words(stop, labels),
        }
        for stop in specification.answer["stops"]
    ]


def partners_in_words(stop: Mapping[str, Any], labels: Mapping[str, str]) -> str:
    """The stops on the same pipes, with the interval and the number of keys."""
    parts = []
    for partner in stop["partners"]:
        keys = ngettext("%(n)s key", "%(n)s keys", partner["keys"]) % {"n": partner["keys"]}
        parts.append(f"{labels[partner['stop']]} ({keys}, {interval_between_keys(partner['interval'])})")
    return semicolons(parts) or _("none")


def sharing_sentences(specification: SpecificationValue, devices: Mapping[str, DeviceValue]) -> list[str]:
    """What shares what, in sentences a visitor understands."""
    answer, labels = specification.answer, labels_of(specification)
    ranks = {rank.code: rank for rank in specification.ranks}
    if not answer["families"]:
        return [_("Every stop of this organ stands on pipes of its own.")]
    sentences = []
    for family in answer["families"]:
        rows = [
            ranks[code].name
            if ranks[code].pipes is None
            else ngettext("%(row)s (%(n)s pipe)", "%(row)s (%(n)s pipes)", ranks[code].pipes)
            % {"row": ranks[code].name, "n": ranks[code].pipes}
            for code in family["ranks"]
        ]
        sentence = ngettext(
            "%(stops)s draw on one row of pipes: %(rows)s.",
            "%(stops)s draw on pipes they share, in %(n)s rows: %(rows)s.",
            len(rows),
        ) % {
            "stops": listed([labels[stop] for stop in family["stops"]]),
            "rows": listed(rows),
            "n": len(rows),
        }
        told = _patterns_in_words(family["patterns"], labels)
        used = sorted({code for pattern in family["patterns"] for code in pattern.get("devices", ())})
        how = (
            _("How it is done: %(devices)s.")
            % {"devices": listed([word(devices[code].names) if code in devices else code for code in used])}
            if used
            else _("How it is done is not known.")
        )
        sentences.append(" ".join([sentence, *told, how]))
    valves = answer["valves"]
    if valves["needed"]:
        sentences.append(valves_in_words(valves))
    return sentences


def valves_in_words(valves: Mapping[str, int]) -> str:
    """Non-return valves needed, recorded, not seen."""
    words = ngettext(
        "Where two channels meet in one pipe, something has to keep wind from passing on into the channel that nobody "
        "plays: by this scheme %(needed)s non-return valve.",
        "Where two channels meet in one pipe, something has to keep wind from passing on into the channel that nobody "
        "plays: by this scheme %(needed)s non-return valves.",
        valves["needed"],
    ) % {"needed": valves["needed"]}
    if not valves["not_seen"]:
        return words + " " + _("All are recorded.")
    if not valves["recorded"]:
        return (
            words
            + " "
            + _("None is recorded: nobody has seen them yet, which does not mean that they are missing.")
        )
    seen = _(
        "%(recorded)s are recorded; %(not_seen)s were not seen, which does not mean that they are missing."
    )
    return words + " " + seen % valves


MOST_PAIRS_TOLD = 5


def _patterns_in_words(patterns: list[Mapping[str, Any]], labels: Mapping[str, str]) -> list[str]:
    """A sentence for each pattern; where they are many, one that counts them, and the table names the pairs."""
    if len(patterns) <= MOST_PAIRS_TOLD:
        return [_pattern_in_words(pattern, labels) for pattern in patterns]
    names = pattern_names()
    counts = Counter(pattern["pattern"] for pattern in patterns)
    parts = [
        ngettext("%(name)s (%(n)s time)", "%(name)s (%(n)s times)", n) % {"name": names[pattern], "n": n}
        for pattern, n in counts.most_common()
    ]
    return [_("Taken two by two: %(parts)s; the table of sums names the pairs.") % {"parts": listed(parts)}]


@say_once
def pattern_names() -> dict[str, str]:
    """Names of the patterns, as they stand in lists."""
    return {
        "common bass": _("common bass"),
        "partial borrowing": _("partial borrowing"),
        "octave extension": _("octave extension"),
        "derived mutation": _("derived mutation"),
        "duplex": _("duplex"),
        "transmission": _("transmission"),
        "transmission with extension": _("transmission with extension"),
        "resultant": _("resultant"),
        "foldback on own pipes": _("foldback"),
        "foldback with pipes of its own": _("foldback"),
        "polyphone": _("polyphone pipes"),
    }


def _pattern_in_words(pattern: Mapping[str, Any], labels: Mapping[str, str]) -> str:
    stops = [labels[stop] for stop in pattern["stops"]]
    words = {
        "common bass": _("%(a)s and %(b)s have their lowest %(keys)s keys in common: a common bass."),
        "partial borrowing": _("%(b)s borrows %(keys)s keys of %(a)s at the same pitch."),
        "octave extension": _("%(a)s and %(b)s lie octaves apart on the same row: an octave extension."),
        "derived mutation": _("%(b)s is a mutation derived from the pipes of %(a)s."),
        "duplex": _("%(a)s and %(b)s play the same pipes from two keyboards: duplex."),
        "transmission": _("%(a)s and %(b)s are one row played from manual and pedal: a transmission."),
        "transmission with extension": _(
            "%(a)s and %(b)s are one row played from two keyboards at different pitches: transmission with extension."
        ),
        "resultant": _("%(a)s sounds two pipes a fifth apart: a resultant."),
        "foldback on own pipes": _("%(a)s folds back an octave at the top, on its own pipes."),
        "foldback with pipes of its own": _("%(a)s folds back, with pipes of its own for the repeat."),
        "polyphone": _("%(a)s has pipes that speak more than one note."),
    }[pattern["pattern"]]
    return words % {"a": stops[0], "b": stops[-1], "keys": pattern.get("keys")}


def totals_in_words(answer: Mapping[str, Any]) -> str:
    """Calls, pipes, shared pipes: computed, and said to be."""
    if not answer["calls"]:
        return _("No stop of this specification asks a pipe yet.")
    words = _(
        "Computed from the scheme: %(calls)s calls (a stop at a key asking a pipe) on %(called)s pipes, of which "
        "%(shared)s are shared by two or more stops; %(ratio)s calls per pipe."
    ) % {
        "calls": answer["calls"],
        "called": answer["pipes_called"],
        "shared": answer["pipes_shared"],
        "ratio": in_figures(f"{answer['calls'] / answer['pipes_called']:.2f}")
        if answer["pipes_called"]
        else "–",
    }
    if answer["depth"] > 2:
        words += " " + _("One pipe serves up to %(n)s stops.") % {"n": answer["depth"]}
    return words
