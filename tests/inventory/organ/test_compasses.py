"""Compasses in every notation: practice.md §8.2 rows 81-95 and 102-104, values.md §2."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.compasses import Compass, read_compass
from inventory.organ.errors import NoteError
from inventory.organ.notes import note_name
from inventory.organ.short_octaves import make_compass, note_of_key, short_octave_notes

PRIMES = ("f3", "f³", "f'''", "f′′′", "f’’’", "f‴")


def understood(text: str, **context: str) -> Compass:
    """The compass of a text that must not be asked."""
    reading = read_compass(text, **context)  # type: ignore[arg-type]
    assert reading.why == "", reading
    assert reading.compass is not None
    return reading.compass


@pytest.mark.parametrize(
    ("row", "text", "shown"),
    [
        *(("81", f"C{dash}{top}", "54 keys, C to f³") for top in PRIMES for dash in ("-", "–", " – ", " to ")),
        ("82", "CC–f'''", "54 keys, C to f³"),
        # Dickson 1882 l.590, 612 (values.md §2): 54 notes CC to f in alt, MIDI 36-89.
        ("82", "CC to F in alt", "54 keys, C to f³"),
        ("83", "C1–F54", "54 keys, C to f³"),
        ("84", "C1–F5 (54)", "54 keys, C to f³"),
        ("84", "C1–F5", "54 keys, C to f³"),
        ("84", "C2–F6", "54 keys, C to f³"),
        ("84", "C2–F6 (54)", "54 keys, C to f³"),
        *(("86", f"C–g''' {count}", "56 keys, C to g³") for count in ("56 n.", "56 t.", "4½ oct.", "(56)", "56")),
        ("87", "C–c'''' 61", "61 keys, C to c⁴"),
        ("88", "C,D–c'''", "48 keys, C to c³, no C♯"),
        ("88", "CD–c3", "48 keys, C to c³, no C♯"),
        ("89", "C/E–c'''", "45 keys, C to c³, short octave C/E"),
        ("89", "C/E-c3 (45)", "45 keys, C to c³, short octave C/E"),
        ("89", "C–c3 oct. courte", "45 keys, C to c³, short octave C/E"),
        ("89", "C–c3 kurze Oktave", "45 keys, C to c³, short octave C/E"),
        ("91", "GG,AA–e'''", "57 keys, G₁ to e³, no G♯₁"),
        ("91", "GGAA–e3", "57 keys, G₁ to e³, no G♯₁"),
        ("91", "GG–e3 no GG#", "57 keys, G₁ to e³, no G♯₁"),
        ("92", "FF–f3", "61 keys, F₁ to f³"),
        ("93", "G–d3", "44 keys, G to d³"),
        ("93", "F–a''", "41 keys, F to a²"),
        ("94", "Ped. C–d1 (27)", "27 keys, C to d¹"),
        ("94", "C–f1 (30)", "30 keys, C to f¹"),
        ("94", "C–g1 (32)", "32 keys, C to g¹"),
        ("94", "C–c 13", "13 keys, C to c"),
        ("94", "C–a 22?", "22 keys, C to a"),
        ("94", "C–f 18 n.", "18 keys, C to f"),
        ("94", "C–b (24)", "24 keys, C to b"),
        ("95", "contras 8, C–B (8 notes, short)", "8 keys, C to B, short octave C/E"),
        ("102", "c1–f3 (30 p.)", "30 keys, c¹ to f³"),
        # practice.md §8: seen in a report, "50 keys Do1-Fa5 with short first octave".
        ("8", "50 keys Do1–Fa5 with short first octave", "50 keys, C to f³, short octave C/E"),
        ("divided", "C–b, c1–f3", "54 keys, C to f³, divided at c¹"),
        ("divided", "C–f3 divided at b/c1", "54 keys, C to f³, divided at c¹"),
        ("Italian", "CDEFGA–c3", "45 keys, C to c³, no C♯, D♯, F♯, G♯"),
    ],
)  # fmt: skip
def test_compass_is_shown_back(row: str, text: str, shown: str) -> None:
    language = {"94": "en", "divided": "en", "95": "es"}.get(row)
    compass = read_compass(text, language=language).compass
    assert compass is not None
    assert compass.text == shown
    assert compass.keys == len(compass.notes)


@pytest.mark.parametrize(
    ("text", "kind", "offered"),
    [
        ("C to F", "pedal", {18, 30}),
        ("C to F", "manual", {42, 54}),
        ("C–b", "pedal", {24, 23}),  # B natural or German B flat
        ("CC to G in alt", "manual", {56, 44}),
        ("A0–C8", None, {88}),  # a piano's compass: warned
        ("C–f3 (56)", None, {54}),  # the count contradicts the notes
        ("C–f3 3 oct.", None, {54}),
        ("c1–f5", "manual", {54}),  # French numbers in small letters need a count
        ("54 keys", None, {54}),
        ("D15–G44", None, {30}),
    ],
)
def test_doubtful_compass_is_asked_with_candidates(text: str, kind: str | None, offered: set[int]) -> None:
    reading = read_compass(text, kind=kind)
    assert reading.why
    assert reading.compass is None or reading.compass.low is None
    assert {compass.keys for compass in reading.candidates} == offered


def test_a_stated_count_decides_where_exactly_one_reading_fits() -> None:
    assert understood("C to F 54 keys").text == "54 keys, C to f³"
    assert understood("C–B (12)").keys == 12
    assert understood("c1–f5 (54)").low == 36
    assert understood("CC to G in alt (56)").high == 91
    # 73 keys GGG-g4 where octaves are counted from C: acchos.org FAQ, values.md §2.
    assert (understood("GGG–g4 73 keys").low, understood("GGG–g4 73 keys").high) == (31, 103)


def test_key_numbers_follow_the_keyboard() -> None:
    keyboard = understood("C–g3")
    found = read_compass("D15–G44", keyboard=keyboard).compass
    assert found is not None
    assert (found.low, found.high, found.keys) == (50, 79, 30)
    assert not read_compass("D16–G44", keyboard=keyboard).candidates
    assert note_of_key(keyboard, 25) == 60
    with pytest.raises(NoteError, match="1 to 56"):
        note_of_key(keyboard, 57)


# values.md §2, DERIVED: key count = MIDI difference + 1 with C = 36, c = 48 … c4 = 96.
@pytest.mark.parametrize(
    ("top", "keys"),
    [("c4", 61), ("a3", 58), ("g3", 56), ("f3", 54), ("d3", 51), ("c3", 49), ("g1", 32), ("f1", 30), ("e1", 29),
     ("d1", 27), ("c1", 25)],
)  # fmt: skip
def test_usual_compasses_have_the_published_number_of_keys(top: str, keys: int) -> None:
    assert understood(f"C–{top}").keys == keys


# values.md §2: AGO pedalboard 32 keys ends at g1; a page that prints C-e' for 32 keys is a trap.
def test_thirty_two_pedal_keys_end_at_g1_and_not_at_e1() -> None:
    assert understood("C–g1 (32)", kind="pedal").high == 67
    assert read_compass("C–e' (32)", kind="pedal").compass is None


# values.md §2: Miller 1913 l.1316-1326, pedals "from CCC to D" (27), then F (30), then g (32).
@pytest.mark.parametrize(("top", "keys"), [("d1", 27), ("f1", 30), ("g1", 32)])
def test_pedals_of_about_1890(top: str, keys: int) -> None:
    assert understood(f"C–{top}", kind="pedal").keys == keys


# values.md §2: 85 keys = seven octaves, CCC-c5 (acchos.org FAQ on compass).
def test_seven_octaves_are_eighty_five_keys() -> None:
    compass = understood("CCC–c5 (85)")
    assert (compass.low, compass.high) == (24, 108)


# values.md §2: keys E F F# G G# A B c sound C F D G E A …; Wikipedia "Short octave", CHK.
def test_short_octave_on_c_sounds_as_published() -> None:
    assert short_octave_notes("C/E", 48) == (36, 41, 38, 43, 40, 45, 46, 47, 48)
    compass = understood("C/E–c3")
    assert (compass.keys, compass.missing) == (45, (37, 39, 42, 44))
    # Nine notes where a full octave has thirteen: Concise Oxford Dictionary of Music.
    assert len(short_octave_notes("C/E", 48)) == 9


# values.md §2: B' C C# D D# E F F# G sound G' C A' D B' E F F# G; Wikipedia "Short octave".
def test_short_octave_on_g_sounds_as_published() -> None:
    assert short_octave_notes("G/B", 43) == (31, 36, 33, 38, 35, 40, 41, 42, 43)
    assert understood("G/B–c3").keys == 50


# values.md §2: Grove "Broken octave": C D E F F# G G# A; only C#, D# missing; 47 notes C/E-c3.
# TRAP there: another page lets the rear half of G# play F#.
def test_broken_octave_lacks_only_two_notes() -> None:
    compass = understood("C/E–c3 broken octave")
    assert (compass.keys, compass.missing) == (47, (37, 39))
    assert sorted(compass.notes[:8]) == [36, 38, 40, 41, 42, 43, 44, 45]


@pytest.mark.parametrize("notes", [[], [36] * 129, [-1, 5], [127, 128]])
def test_impossible_keyboards_are_refused(notes: list[int]) -> None:
    with pytest.raises(NoteError):
        make_compass(notes)


def test_what_is_no_compass_has_nothing_but_a_reason() -> None:
    for text in ("", "Bourdon", "–", "C–", "–C", "C–C", "f3–C", "no", "C/–c3", "C,,D–c3"):
        reading = read_compass(text)
        assert reading.compass is None
        assert reading.why


@given(st.integers(36, 43), st.integers(84, 96))
def test_helmholtz_compasses_are_read_back(low: int, high: int) -> None:
    compass = understood(f"{note_name(low)}–{note_name(high)} ({high - low + 1})", language="en")
    assert (compass.low, compass.high) == (low, high)


PIECES = [
    "C",
    "c",
    "CC",
    "GG",
    "f3",
    "'",
    "-",
    "–",
    "/",
    ",",
    "(",
    ")",
    "54",
    "oct",
    "short",
    "no",
    "to",
    " ",
    "B",
    "do3",
]


@settings(max_examples=200)
@given(st.one_of(st.text(max_size=60), st.lists(st.sampled_from(PIECES), max_size=14).map("".join)))
def test_any_text_is_read_without_an_exception(text: str) -> None:
    reading = read_compass(text)
    for compass in (*reading.candidates, *([reading.compass] if reading.compass else [])):
        assert compass.keys is None or 1 <= compass.keys <= 128
        assert all(0 <= note <= 127 for note in compass.notes)
