"""Key-by-key lines: practice.md §1.12 and §8.3 rows 106-110."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.key_lines import KeyLine, read_key_line
from inventory.organ.short_octaves import short_octave_notes

NOTES = tuple(range(36, 90))


def states(line: KeyLine) -> dict[int, str]:
    """State by key."""
    return {observed.key: observed.heard for observed in line.observations}


def test_run_length_prose_of_a_survey_is_read() -> None:
    """practice.md §1.12's own example."""
    text = "Bourdon 8: C–B ok; c weak; c♯ dumb; d–f¹ ok; f♯¹ cipher, stops when stop retired; g¹–f³ ok"
    line = read_key_line(text, NOTES, "en")
    assert line.stop == "Bourdon 8"
    found = states(line)
    assert [found[key] for key in (1, 12, 13, 14, 15, 30, 32, 54)] == [
        "speaks", "speaks", "weak", "silent", "speaks", "speaks", "speaks", "speaks",
    ]  # fmt: skip
    assert 31 not in found, "a cipher is not an answer to whether a key speaks"
    assert [(q.column, q.text) for q in line.questions][0] == (text.index("f♯¹") + 1, "f♯¹ cipher")
    assert len(found) == 53


def test_german_line_is_read() -> None:
    line = read_key_line("C–H ok, c schwach, cis stumm, d–f1 gut, fis1 heult", NOTES, "de")
    found = states(line)
    assert (found[12], found[13], found[14], found[30]) == ("speaks", "weak", "silent", "speaks")
    assert len(found) == 30
    assert [question.text for question in line.questions] == ["fis1 heult"]


def test_ordinals_and_codes_are_read() -> None:
    line = read_key_line("1-12 x, 13 w, 14-37 ., 38 c", NOTES)
    found = states(line)
    assert [found[key] for key in (1, 12, 13, 14, 37)] == ["silent", "silent", "weak", "speaks", "speaks"]
    assert 38 not in found
    assert line.questions[0].text == "38 c"


def test_all_except_is_read_in_four_languages() -> None:
    for text, key in (
        ("all exc. f#2 dumb", 43), ("tout sauf fa#4 muet", 43), ("todos menos fa#4 muda", 43),
        ("alle außer fis2 stumm", 43),
    ):  # fmt: skip
        found = states(read_key_line(text, NOTES))
        assert found[key] == "silent"
        assert len(found) == 54
        assert all(found[other] == "speaks" for other in found if other != key)


def test_exceptions_without_a_state_are_asked_and_not_observed() -> None:
    line = read_key_line("all exc. f#2, g2", NOTES)
    assert len(states(line)) == 52
    assert not {43, 44} & set(states(line))
    (question,) = line.questions
    assert question.candidates == ("speaks", "weak", "silent")


def test_what_is_no_answer_is_asked() -> None:
    for text in (
        "g → auch a (Durchstecher)",
        "g emprunte sur la",
        "f2: keine Pfeife, Loch zu",
        "hello",
        "c4 ok",
    ):
        line = read_key_line(text, NOTES, "de")
        assert line.observations == ()
        assert line.questions


def test_the_language_settles_b() -> None:
    assert 11 in states(read_key_line("Bourdon 8: B stumm", NOTES, "de"))
    assert 12 in states(read_key_line("Bourdon 8: B dumb", NOTES, "en"))
    line = read_key_line("Bourdon 8: B dumb", NOTES)
    assert line.observations == ()
    assert set(line.questions[0].candidates) == {"B", "A♯"}


def test_contradicted_keys_are_asked_and_not_observed() -> None:
    line = read_key_line("Gamba 8: C–f3 ok; c1 dumb", NOTES)
    assert 25 not in states(line)
    assert any("two states" in question.why for question in line.questions)


def test_short_octaves_are_read_by_note() -> None:
    line = read_key_line("Gedackt 8: C-E dumb", short_octave_notes("C/E", 84))
    assert sorted(states(line)) == [1, 3, 5]  # the keys that sound C, D and E


def test_lines_in_one_case_and_outside_the_keyboard_are_asked() -> None:
    assert read_key_line("bourdon 8: c dumb", NOTES).questions
    assert read_key_line("1-99 x", NOTES).questions
    assert read_key_line("C ok", []).questions


def test_observations_fit_the_trials_of_the_exchange_file() -> None:
    (observed,) = read_key_line("c1 weak", NOTES, stop="I-8").observations
    assert observed.as_json() == {"stop": "I-8", "key": 25, "as": "weak"}


PIECES = [
    "C",
    "c1",
    "–",
    "-",
    " ",
    ";",
    ",",
    "ok",
    "dumb",
    "all except",
    "1-12",
    "x",
    ":",
    "Bourdon 8",
    "H",
    ".",
]


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.text(max_size=80), st.lists(st.sampled_from(PIECES), max_size=20).map(" ".join)))
def test_any_text_is_read_without_an_exception(text: str) -> None:
    line = read_key_line(text, NOTES)
    keys = [observed.key for observed in line.observations]
    assert keys == sorted(set(keys))
    assert all(1 <= key <= 54 for key in keys)


def test_e_at_the_start_is_a_note_and_between_two_notes_joins_them():
    keys = range(36, 61)
    assert [o.key for o in read_key_line("C–D ok; E dumb", keys).observations] == [1, 2, 3, 5]
    assert [o.key for o in read_key_line("Flauto: c e g muto", keys).observations] == [13, 20]
