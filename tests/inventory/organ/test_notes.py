"""Names of notes."""

import pytest

from inventory.organ.errors import NoteError
from inventory.organ.notes import interval_name, note_name, note_range, pitch_class_name, spans_of


def test_the_octaves_of_the_helmholtz_names():
    # values.md §2: C=36, c=48, c1=60, c2=72, c3=84, c4=96 (DERIVED).
    assert [note_name(n) for n in (36, 48, 60, 72, 84, 96)] == ["C", "c", "c¹", "c²", "c³", "c⁴"]
    # values.md §3: 16' C is MIDI 24, 32' C 12, 64' C 0.
    assert [note_name(n) for n in (24, 12, 0)] == ["C₁", "C₂", "C₃"]


def test_sharps_and_compasses():
    assert note_name(37) == "C♯" and note_name(61) == "c♯¹"
    assert pitch_class_name(71) == "B"
    # Dickson 1882, ll. 590 and 612: 54 notes, CC to f in alt (values.md §2, SEEN, MIDI 36-89).
    assert note_range(36, 89) == "C–f³" and 89 - 36 + 1 == 54


def test_every_note_has_its_own_name():
    names = [note_name(n) for n in range(-24, 300)]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("note", [-25, 1128, 10**9])
def test_a_note_that_cannot_be_is_refused(note):
    with pytest.raises(NoteError, match="lowest note"):
        note_name(note)


def test_intervals_and_spans_in_words():
    assert [interval_name(n) for n in (-12, 0, 7)] == ["−12", "0", "+7"]
    assert spans_of([3, 1, 2, 2, 9]) == "1–3, 9" and spans_of([]) == ""
