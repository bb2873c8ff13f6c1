"""The column dictionary: every column of the long table and of those derived from it, with unit and meaning."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Column:
    """One column: its type in pandas, its unit (empty: none) and what it means."""

    name: str
    kind: str
    meaning: str
    unit: str = ""


TEXT, WHOLE, MAYBE, NUMBER, TRUTH = "str", "int64", "Int64", "float64", "bool"
REFERENCE = Column("reference", TEXT, "Reference of the instrument.")

SEGMENTS = (
    REFERENCE,
    Column("specification", TEXT, "Code of the specification that counts in this view."),
    Column("row", WHOLE, "Number of the segment within the specification, from 1."),
    Column("stop", TEXT, "Code of the stop whose keys ask."),
    Column("keyboard_kind", TEXT, "Manual or pedal."),
    Column("rank", TEXT, "Code of the rank that is asked."),
    Column("first_key", WHOLE, "First key of the segment.", "key number; 1 is the lowest"),
    Column("last_key", WHOLE, "Last key of the segment.", "key number"),
    Column("interval_semitones", MAYBE, "From the key's note to the pipe's note; empty where the record names pipes.",
           "semitones"),
    Column("pipes_asked", TEXT, "Pipes that answer the keys from the first to the last, separated by spaces; 0: "
           "none. Keys beyond the keyboard's last are left out.", "pipe numbers"),
    Column("device", TEXT, "How it is done; empty: not known."),
    Column("chest_kind", TEXT, "Kind of chest it is done on; empty: not known."),
    Column("evidence", TEXT, "On what the segment rests: seen, sounded, source or inferred; empty: not said."),
    Column("layer", TEXT, "Code of the layer it belongs to; empty: given to none."),
    Column("calls", WHOLE, "Computed: calls that a pipe answers.", "calls"),
    Column("calls_shared", WHOLE, "Computed: calls to pipes that another stop calls too.", "calls"),
    Column("shared_rank", TRUTH, "Computed: whether any pipe of this rank is called by two stops or more."),
)  # fmt: skip
STOPS = (
    REFERENCE,
    Column("stop", TEXT, "Code of the stop."),
    Column("keyboard_kind", TEXT, "Manual or pedal."),
    Column("footage", TEXT, "Pitch as written, such as 8 or 2 2/3; empty: mixtures, noises, not known.", "feet"),
    Column("family", TEXT, "Family of sound, in English; empty: not known."),
    Column("keys", WHOLE, "Keys of its own compass.", "keys"),
    Column("own", WHOLE, "Computed: keys that speak on pipes of the stop's own.", "keys"),
    Column("shared", WHOLE, "Computed: keys with a pipe that another stop calls too.", "keys"),
    Column("silent", WHOLE, "Computed: keys none of whose pipes exist.", "keys"),
    Column("sharing", TEXT, "Computed: whether none (independent), some (part) or all (whole) of its keys that "
           "speak share a pipe."),
    Column("unification", TEXT, "Computed: unified (extension, duplex, transmission, derived mutation), common "
           "bass (borrower or host of nothing else), other sharing, independent."),
    Column("treble", TEXT, "Computed, of the higher stop of an extension or derived mutation: added, own foldback, "
           "same foldback, silent; empty for other stops."),
    Column("mistuning_cents", NUMBER, "Computed, of a derived mutation in a recorded temperament: mean over the "
           "twelve notes of the distance from the pure interval, without sign; empty where not applicable or not "
           "known.",
           "cents"),
    Column("ranks", WHOLE, "Computed: different ranks that its keys ask.", "ranks"),
)  # fmt: skip
INSTRUMENTS = (
    REFERENCE,
    Column("name", TEXT, "Name of the instrument."),
    Column("specification", TEXT, "Code of the specification that counts; empty: none can be said in this view."),
    Column("chosen", TEXT, "How it was chosen: as recorded for that time, or because no alteration is recorded; "
           "empty: none was."),
    Column("maker", TEXT, "Reference of the maker of the layer that counts; empty: not known, or rejected."),
    Column("maker_name", TEXT, "Name of that maker."),
    Column("layer", TEXT, "Code of the layer that counts: that of most of its shared calls, else of most of its "
           "keys; empty: none recorded."),
    Column("first_year", MAYBE, "First year over which the date of that layer is spread (c.: five years to each "
           "side); empty: not known.", "year"),
    Column("last_year", MAYBE, "Last year over which it is spread; empty: not known.", "year"),
    Column("place", TEXT, "Reference of the widest place but the outermost it stands in (an island, a region); "
           "empty: not published."),
    Column("place_name", TEXT, "Name of that place."),
    Column("action", TEXT, "Action, in English; empty: not known."),
    Column("status", TEXT, "What became of it: in use, playable, partly playable, silent, in pieces, dispersed or "
           "lost."),
    Column("recording_level", MAYBE, "Level of its deepest published survey, from 0 (it exists) through 2 (not "
           "dismantled) and 4 (dismantled) to 5 (a record of works done); empty: none."),
    Column("evidence", TEXT, "Weakest evidence (of seen, sounded, source, inferred, in this order) among segments "
           "with shared calls; empty: it shares nothing, or one of them does not say."),
    Column("sharing", TRUTH, "Computed: whether some pipe is called by two stops or more."),
    Column("unified", TRUTH, "Computed: whether some stop is unified."),
    Column("calls", WHOLE, "Computed: calls that a pipe answers.", "calls"),
    Column("pipes_called", WHOLE, "Computed: different pipes called.", "pipes"),
    Column("pipes_shared", WHOLE, "Computed: pipes called by two stops or more.", "pipes"),
    Column("depth", WHOLE, "Computed: most stops on one pipe.", "stops"),
    Column("stops", WHOLE, "Stops of the specification, whatever their state.", "stops"),
    Column("ranks", WHOLE, "Ranks of the specification, called or not.", "ranks"),
    Column("manuals", WHOLE, "Manual keyboards.", "keyboards"),
    Column("pedals", WHOLE, "Pedal keyboards.", "keyboards"),
    Column("families", WHOLE, "Computed: groups of two stops or more joined by shared pipes.", "families"),
    Column("temperament", TEXT, "Temperament as recorded; empty: not recorded."),
    Column("repertoire_calls", NUMBER, "Computed: weighted calls over the repertoire, all stops of each family "
           "drawn, one keyboard at a time.", "calls × duration"),
    Column("repertoire_coincide", NUMBER, "Computed: those of them that coincide.", "calls × duration"),
)  # fmt: skip
PATTERNS = (
    REFERENCE,
    Column("family", WHOLE, "Number of the family within the instrument, from 1."),
    Column("pattern", TEXT, "Computed: what is shared, for a pair of stops or within one, such as octave extension "
           "or transmission."),
    Column("interval_semitones", MAYBE, "Note of the second stop's key less that of the first for one pipe; empty "
           "within a stop.", "semitones"),
    Column("keys", WHOLE, "Keys of the first stop it holds for; 0 where keys are not counted.", "keys"),
)  # fmt: skip
SIGNATURES = (
    REFERENCE,
    Column("family", WHOLE, "Number of the family within the instrument, from 1."),
    Column("idea", TEXT, "Signature: keyboard kinds, footages, patterns, treble completion."),
    Column("execution", TEXT, "Signature: the idea with the devices."),
    Column("size", TEXT, "Signature: the execution with compasses and numbers of pipes."),
)
PIPES = (
    REFERENCE,
    Column("callers", WHOLE, "Stops that call the pipe.", "stops"),
    Column("pipes", WHOLE, "Computed: pipes called by so many stops.", "pipes"),
)
MAKER_PERIODS = (
    Column("maker", TEXT, "Reference of the maker."),
    Column("maker_name", TEXT, "Name of the maker."),
    Column("decade", WHOLE, "First year of the decade.", "year"),
    Column(
        "instruments_possible", WHOLE, "Instruments any part of which falls in the decade.", "instruments"
    ),
    Column(
        "instruments_expected",
        NUMBER,
        "Sum over instruments of the part of their years that falls in the decade.",
        "instruments",
    ),
    Column("sharing_expected", NUMBER, "The same sum over instruments that share pipes.", "instruments"),
    Column(
        "stops_expected",
        NUMBER,
        "Stops, each weighted by the part of its instrument's years that falls in the decade.",
        "stops",
    ),
    Column(
        "stops_unified_expected",
        NUMBER,
        "Unified stops, weighted alike.",
        "stops",
    ),
    Column("calls_expected", NUMBER, "Calls, weighted alike.", "calls"),
    Column(
        "pipes_called_expected",
        NUMBER,
        "Pipes called, weighted alike.",
        "pipes",
    ),
)
TABLES: dict[str, tuple[Column, ...]] = {
    "segments": SEGMENTS, "stops": STOPS, "instruments": INSTRUMENTS, "patterns": PATTERNS,
    "signatures": SIGNATURES, "pipes": PIPES, "maker_periods": MAKER_PERIODS,
}  # fmt: skip


def types_of(table: str) -> dict[str, str]:
    """Column names of a table with their types in pandas.

    >>> list(types_of("pipes").items())
    [('reference', 'str'), ('callers', 'int64'), ('pipes', 'int64')]
    """
    return {column.name: column.kind for column in TABLES[table]}
