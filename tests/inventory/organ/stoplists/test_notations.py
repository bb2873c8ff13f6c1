"""Every line of practice.md §8.2 through `read_stoplist`: its compass, or a question."""

from __future__ import annotations

import unicodedata

import pytest

from inventory.organ.stoplists import read_stoplist

# (row, line, number of keys); None where the table or the line leaves it open.
LINES: list[tuple[str, str, int | None]] = [
    *(("81", f"C{dash}{top}", 54) for top in ("f3", "f³", "f'''", "f′′′") for dash in ("-", "–")),
    ("81", "C to F", None), ("82", "CC–f'''", 54), ("82", "CC to F in alt", 54), ("83", "C1–F54", 54),
    ("84", "C1–F5 (54)", 54), ("84", "C2–F6 (54)", 54), ("86", "C–g''' 56 n.", 56), ("86", "C–g''' 56 t.", 56),
    ("86", "C–g''' 4½ oct.", 56), ("87", "C–c'''' 61", 61), ("88", "C,D–c'''", 48), ("88", "CD–c3", 48),
    ("89", "C/E–c'''", 45), ("89", "C/E-c3 (45)", 45), ("89", "oct. courte", None), ("89", "kurze Oktave", None),
    ("91", "GG,AA–e'''", 57), ("91", "GGAA", None), ("91", "GG no GG#", None), ("92", "FF–f3", 61),
    ("92", "FF to F", None), ("93", "G–d3", 44), ("93", "F–a''", 41), ("94", "Ped. C–d1 (27)", 27),
    ("94", "C–f1 (30)", 30), ("94", "C–g1 (32)", 32), ("94", "C–c 13", 13), ("94", "C–a 22?", 22),
    ("94", "18 n.", None), ("95", "contras 8, C–B (8 notes, short)", 8), ("96", "c0 c1 c2 c3", None),
    ("96", "c° c' c''", None), ("96", "kl. c", None), ("97", "Ten C, Mid C, Treble C, C in alt", None),
    ("97", "fiddle G", None), ("97", "tenor F", None), ("98", "Gamut G", None), ("98", "Clef F#", None),
    ("99", "H", None), ("99", "B", None), ("99", "Cis Dis Fis Gis", None), ("99", "Es As", None),
    ("99", "Fis¹", None), ("100", "c#1", None), ("100", "cis1", None), ("100", "cs1", None), ("100", "do#3", None),
    ("100", "ut#3", None), ("100", "db1", None), ("101", "key 25 = c1", None), ("101", "n° 25", None),
    ("101", "tuyau 25", None), ("102", "c1–f3 (30 p.)", 30), ("104", "A0–C8", None), ("105", "60", None),
]  # fmt: skip


def keys_and_questions(text: str, language: str | None = None) -> tuple[int | None, int]:
    """Keys of the one compass understood, and how many questions are put."""
    document = read_stoplist(text, language)
    assert document.stops == ()
    found = [d.compass.keys for d in document.divisions if d.compass and d.compass.low is not None]
    return (found[0] if found else None), len(document.questions)


@pytest.mark.parametrize(("row", "line", "keys"), LINES)
def test_line_is_a_compass_or_a_question(row: str, line: str, keys: int | None) -> None:
    found, asked = keys_and_questions(line)
    assert found == keys
    assert bool(asked) == (keys is None)


@pytest.mark.parametrize(
    "change",
    [
        lambda text: f"  {text.replace(' ', '  ')} ",
        lambda text: text.replace(" ", "\u00a0"),
        lambda text: text.replace(" ", "\t"),
        lambda text: unicodedata.normalize("NFD", text),
        lambda text: text.replace("'", "′"),
        lambda text: text.replace("–", "-").replace("½", " 1/2"),
    ],
)
def test_spaces_tabs_and_signs_change_nothing(change) -> None:
    for _row, line, keys in LINES:
        found, asked = keys_and_questions(change(line))
        assert (found, bool(asked)) == (keys, keys is None), line


@pytest.mark.parametrize("language", [None, "en", "fr", "de", "es", "it"])
@pytest.mark.parametrize("case", [str, str.upper, str.lower])
def test_case_and_language_keep_the_meaning_or_raise_a_question(case, language: str | None) -> None:
    for _row, line, keys in LINES:
        document = read_stoplist(case(line), language)
        found = [d.compass.keys for d in document.divisions if d.compass and d.compass.low is not None]
        if not document.questions:
            assert found == [keys] or keys is None, (line, document)


def test_order_of_count_and_notes_does_not_matter() -> None:
    assert keys_and_questions("54 keys, C–f3") == (54, 0)
    assert keys_and_questions("(45) C/E–c3") == (45, 0)
    assert keys_and_questions("27 n. C–d1") == (27, 0)
    assert keys_and_questions("compass: C–g3 (56 notes)") == (56, 0)


def test_ambiguous_lines_come_with_candidates() -> None:
    (question,) = read_stoplist("C to F").questions
    assert "54 keys, C to f³" in question.candidates
    (question,) = read_stoplist("60").questions
    assert question.candidates == ("the note c¹ (MIDI 60)", "pipe or key number 60")
    (question,) = read_stoplist("key 25 = c1").questions
    assert question.candidates == ("the lowest key is C, if no key is missing",)
    (question,) = read_stoplist("A0–C8").questions
    assert "piano" in question.why


def test_a_heading_takes_the_language_for_its_compass() -> None:
    compass = read_stoplist("Pedal (C–b)", "de").divisions[0].compass
    assert compass is not None and compass.keys == 23
    assert read_stoplist("Pedal (C–b)", "en").divisions[0].compass.keys == 24  # type: ignore[union-attr]
    assert read_stoplist("Pedal (C–b)").questions
