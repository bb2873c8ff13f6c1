"""Tables of specifications and of the sharing in them; `stop_ranks` is the normative form of every scheme."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.utils.translation import gettext_lazy as _

from inventory.models import choices
from inventory.organ.schemes import Keyboard, Rank, Scheme
from publishing.disclosure.values import Names, PublicInstrument, SegmentValue, SpecificationValue

from .columns import INTEGERS, TONES, Table, listed, text, to, truth, whole

Rows = Iterator[tuple[Any, ...]]
INSTRUMENT = text("instrument", _("Reference of the instrument."), required=True)
SPECIFICATION = text("specification", _("Code of the specification within the instrument."), required=True)
IN_SPECIFICATION = ("instrument", "specification")
OF_SPECIFICATION = to(*IN_SPECIFICATION, table="specifications")
CERTAINTY = text(
    "certainty", _("How sure the record is of this row."), values=tuple(choices.Certainty.values)
)


def english(names: Names | None) -> str | None:
    """A word of a vocabulary by its English name, else by the first it has."""
    return (names.get("en") or next(iter(names.values()))) if names else None


SPECIFICATIONS = Table(
    "specifications",
    _("Specifications"),
    _("How an instrument was laid out at one time, with the sums computed from its scheme."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("name", _("Name of the specification."), required=True),
        text("when_edtf", _("When it was so, in the Extended Date/Time Format of ISO 8601-2.")),
        text("basis", _("What it rests on."), values=tuple(choices.SpecificationBasis.values)),
        truth("is_current", _("Whether it says how the instrument is now."), required=True),
        whole("computed_calls", _("Computed: a stop at a key asking an existing pipe, pipe by pipe."), unit=_("calls"),
              required=True),
        whole("computed_pipes_called", _("Computed: different pipes that are called."), unit=_("pipes"), required=True),
        whole("computed_pipes_shared", _("Computed: pipes called by two or more stops."), unit=_("pipes"),
              required=True),
        whole("computed_depth_stops", _("Computed: the most stops that call one pipe."), unit=_("stops"), required=True),
    ),
    IN_SPECIFICATION,
    (to("instrument", table="instruments"),),
)  # fmt: skip
KEYBOARDS = Table(
    "keyboards",
    _("Keyboards"),
    _("Keyboards with the note every key sounds, key 1 (the lowest) first: short and broken octaves are told "
      "by the list."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("keyboard", _("Code of the keyboard within the specification."), required=True),
        text("name", _("Name.")),
        text("kind", _("Manual or pedal."), required=True, values=tuple(choices.KeyboardKind.values)),
        whole("keys", _("Keys a player can press."), unit=_("keys"), required=True, lowest=0),
        text("notes_midi", _("Note of each key, lowest key first, one for each key, separated by spaces."),
             unit=_("MIDI note number; 36 is C of the 8′ octave"), pattern=INTEGERS),
        whole("reach_channels", _("Channels beyond the last key, which only couplers play; their notes go on by "
              "semitones from the highest note."), unit=_("channels"), required=True, lowest=0),
        text("compass", _("The compass in words.")),
    ),
    (*IN_SPECIFICATION, "keyboard"),
    (OF_SPECIFICATION,),
)  # fmt: skip
DIVISIONS = Table(
    "divisions",
    _("Divisions"),
    _("Groups of stops as the console or the case has them."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("division", _("Code of the division within the specification."), required=True),
        text("name", _("Name.")),
        text("keyboard", _("Keyboard it is played from (keyboards.csv); empty when not known.")),
    ),
    (*IN_SPECIFICATION, "division"),
    (OF_SPECIFICATION,),
)
RANKS = Table(
    "ranks",
    _("Ranks"),
    _("Rows of pipes. Pipe 1 is the lowest."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("rank", _("Code of the rank within the specification."), required=True),
        text("name", _("Name."), required=True),
        whole("pipes", _("Pipes recorded; empty when nobody counted them. Only pipes 1 to this number can answer; "
              "of a rank not counted every pipe from 1 can."), unit=_("pipes"), lowest=0),
        text("counted", _("How they were counted."), values=tuple(choices.HowCounted.values)),
        whole("low_note_midi", _("Nominal note of pipe 1; empty when not known. Without notes_midi the pipes go on "
              "by semitones."), unit=_("MIDI note number; 36 is C of the 8′ octave"), lowest=0),
        text("notes_midi", _("Nominal note of each pipe, pipe 1 first, separated by spaces; only where the row has "
             "gaps."), unit=_("MIDI note number"), pattern=INTEGERS),
        text("missing_pipes", _("Numbers of pipes that were there and are gone. They are still called: the right of "
             "access outlives the pipe."), unit=_("pipe numbers"), pattern=INTEGERS),
        text("pipe_tones_midi", _("Pipes that speak more than one note, each with its notes: 3:48+49 says that pipe 3 "
             "speaks 48 and 49."), unit=_("pipe number, then MIDI note numbers"), pattern=TONES),
        text("makes", _("What stands in the row."), values=("pipes", "bars", "bells"), required=True),
        text("form", _("Form of the pipes in words.")),
    ),
    (*IN_SPECIFICATION, "rank"),
    (OF_SPECIFICATION,),
)  # fmt: skip
RANK_RANGES = Table(
    "rank_ranges",
    _("Ranges of ranks"),
    _("Where some pipes of a rank come from."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("rank", _("Code of the rank."), required=True),
        whole("row", _("Number of the row within the rank."), required=True, lowest=1),
        whole("first_pipe", _("First pipe of the range."), unit=_("pipe number"), required=True, lowest=1),
        whole("last_pipe", _("Last pipe of the range."), unit=_("pipe number"), required=True, lowest=1),
        text("layer_name", _("Name of the layer they come from.")),
        CERTAINTY,
        text("description", _("In words.")),
    ),
    (*IN_SPECIFICATION, "rank", "row"),
    (to(*IN_SPECIFICATION, "rank", table="ranks"),),
)
STOPS = Table(
    "stops",
    _("Stops"),
    _("Rights of access to pipes, each drawn by name at the console."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("stop", _("Code of the stop within the specification."), required=True),
        text("keyboard", _("Keyboard it is played from."), required=True),
        text("division", _("Division it belongs to (divisions.csv); empty when given to none.")),
        text("label", _("As written at the console.")),
        text("name", _("Name in today's spelling.")),
        text("footage_feet", _("Pitch in feet as a fraction: 8, 2 2/3; empty for mixtures and noises."),
             unit=_("feet of an open pipe at C")),
        text("family", _("Family of sound, in English.")),
        text("half", _("Bass or treble, where it is half a stop."), values=("bass", "treble", "both")),
        text("state", _("Prepared stops call nothing; missing and silenced ones are computed as they were."),
             required=True, values=tuple(choices.StopState.values)),
        whole("first_key", _("First key of its own compass; empty: the keyboard's."), unit=_("key number"), lowest=1),
        whole("last_key", _("Last key of its own compass; empty: the keyboard's."), unit=_("key number"), lowest=1),
        text("earlier_name", _("A name it bore before.")),
        text("note", _("Note.")),
    ),
    (*IN_SPECIFICATION, "stop"),
    (OF_SPECIFICATION, to(*IN_SPECIFICATION, "keyboard", table="keyboards")),
)  # fmt: skip
CHESTS = Table(
    "chests",
    _("Chests"),
    _("Wind chests and the order of what stands on them."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("chest", _("Code of the chest within the specification."), required=True),
        text("name", _("Name.")),
        text("kind", _("Kind of chest."), required=True, values=tuple(choices.ChestKind.values)),
        text("layout", _("Layout in words.")),
        text("stops_front_to_back", _("Codes of its stops, separated by spaces; empty when not known.")),
        text("channels_left_to_right", _("Its channels as keyboard:key, seen from above, separated by spaces; empty "
             "when not known.")),
        text("note", _("Note.")),
    ),
    (*IN_SPECIFICATION, "chest"),
    (OF_SPECIFICATION,),
)  # fmt: skip
STOP_RANKS = Table(
    "stop_ranks",
    _("What stops ask of ranks"),
    _("The normative form of every scheme, one row a segment: these keys of this stop ask these pipes of that rank. "
      "Where interval_semitones is given, a key asks the pipe whose note (or one of whose tones) is the key's note "
      "plus the interval (of two such pipes, the lower); where pipes is given, the keys ask these pipes one by one. "
      "A call to a pipe that does not exist is no call. Stops that are only prepared call nothing. Two stops that "
      "call one pipe share it."),
    (
        INSTRUMENT,
        SPECIFICATION,
        whole("row", _("Number of the row within the specification."), required=True, lowest=1),
        text("stop", _("Code of the stop."), required=True),
        text("rank", _("Code of the rank."), required=True),
        whole("first_key", _("First key."), unit=_("key number; 1 is the lowest"), required=True, lowest=1),
        whole("last_key", _("Last key; keys beyond the keyboard's last are channels that only couplers play."),
              unit=_("key number"), required=True, lowest=1),
        whole("interval_semitones", _("From the key's note to the pipe's note: 12 for a 4′ stop on an 8′ keyboard. "
              "Exactly one of interval_semitones and pipes is given."), unit=_("semitones")),
        text("pipes", _("Pipe numbers, one for each key from the first, separated by spaces; 0: no pipe."),
             unit=_("pipe numbers"), pattern=INTEGERS),
        text("device", _("How it is done; empty when not known, which is never a device.")),
        text("chest", _("Chest it is done on (chests.csv); empty when not known.")),
        text("evidence", _("On what the row rests."), values=tuple(choices.Evidence.values)),
        CERTAINTY,
        text("layer", _("Layer it belongs to (layers.csv); empty when given to none.")),
        text("note", _("Note.")),
    ),
    (*IN_SPECIFICATION, "row"),
    (
        to(*IN_SPECIFICATION, "stop", table="stops"),
        to(*IN_SPECIFICATION, "rank", table="ranks"),
        to("device", table="devices"),
    ),
)  # fmt: skip


def specification_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """The one row of a specification."""
    sums = spec.answer
    yield (
        organ.reference, spec.code, spec.name, spec.when.text if spec.when else None, spec.basis or None,
        spec.is_current, sums["calls"], sums["pipes_called"], sums["pipes_shared"], sums["depth"],
    )  # fmt: skip


def keyboard_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a keyboard."""
    for one in spec.keyboards:
        board = spec.scheme.keyboard[one.code]
        yield (
            organ.reference, spec.code, one.code, one.name, one.kind, one.keys, listed(board.notes), board.reach,
            one.compass,
        )  # fmt: skip


def division_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a division."""
    for code, name, keyboard in spec.divisions:
        yield organ.reference, spec.code, code, name, keyboard or None


def rank_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a rank; notes one by one only where they have gaps."""
    for one in spec.ranks:
        rank = spec.scheme.rank[one.code]
        tones = " ".join(f"{pipe}:{'+'.join(map(str, rank.tones[pipe]))}" for pipe in sorted(rank.tones))
        gapped = rank.notes is not None and (rank.has_gaps or len(rank.notes) != rank.pipes)
        yield (
            organ.reference, spec.code, one.code, one.name, one.pipes, one.counted or None, rank.note_of(1),
            listed(rank.notes or ()) if gapped else None, listed(sorted(rank.missing)), tones or None, rank.makes,
            one.form,
        )  # fmt: skip


def rank_range_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a range of a rank."""
    for one in spec.ranks:
        for row, (first, last, layer, certainty, words) in enumerate(one.ranges, start=1):
            yield (
                organ.reference,
                spec.code,
                one.code,
                row,
                first,
                last,
                layer or None,
                certainty or None,
                words,
            )


def stop_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a stop."""
    for one in spec.stops:
        first, last = one.keys or (None, None)
        yield (
            organ.reference, spec.code, one.code, one.keyboard, one.division or None, one.label, one.name,
            one.footage or None, english(one.family), one.half or None, one.state, first, last,
            one.earlier_name or None, one.note,
        )  # fmt: skip


def chest_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a chest."""
    for (name, kind, layout, note, _viewed), chest in zip(spec.chests, spec.scheme.chests, strict=True):
        channels = [f"{keyboard}:{key}" for keyboard, key in chest.channels or ()]
        yield (
            organ.reference, spec.code, chest.id, name, kind, layout or None, " ".join(chest.stops or ()) or None,
            " ".join(channels) or None, note,
        )  # fmt: skip


def stop_rank_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a segment, by interval or pipe by pipe."""
    for row, one in enumerate(spec.segments, start=1):
        interval, pipes = interval_or_pipes(spec.scheme, one)
        yield (
            organ.reference, spec.code, row, one.stop, one.rank, one.first_key, one.last_key, interval,
            None if pipes is None else listed(pipes), one.device or None, one.chest or None, one.evidence or None,
            one.certainty or None, one.layer or None, one.note,
        )  # fmt: skip


def interval_or_pipes(scheme: Scheme, segment: SegmentValue) -> tuple[int | None, list[int] | None]:
    """The one of the two that a row gives.

    A shift (pipe = key + shift) becomes an interval where keyboard and rank have no gaps, and a list elsewhere.
    """
    if segment.interval is not None:
        return segment.interval, None
    if segment.pipes is not None:
        return None, [max(0, pipe) for pipe in segment.pipes]
    shift = segment.shift or 0
    keyboard, rank = scheme.keyboard_of(segment.stop), scheme.rank[segment.rank]
    if _steps_are_semitones(keyboard, rank):
        return shift + (rank.note_of(1) or 0) - keyboard.notes[0], None
    return None, [max(0, key + shift) for key in range(segment.first_key, segment.last_key + 1)]


def _steps_are_semitones(keyboard: Keyboard, rank: Rank) -> bool:
    """Whether a key further is a pipe further all along, so that a shift is an interval."""
    return bool(keyboard.notes) and not (
        keyboard.has_gaps or rank.has_gaps or rank.tones or rank.note_of(1) is None
    )


def joined(codes: Iterable[str]) -> str | None:
    """Codes in one cell."""
    return " ".join(codes) or None
