"""Music as weighted sets of notes."""

import pytest

from inventory.organ.errors import NoteError
from inventory.organ.repertoire import chorales, gather


def test_equal_sets_are_added_and_silence_is_left_out() -> None:
    music = gather([((60, 64), 1), ([64, 60, 60], 2.5), ((), 9), ((0, 127), 1)], "three")
    assert dict(zip(music.note_sets(), music.weights.tolist(), strict=True)) == {(60, 64): 3.5, (0, 127): 1}
    assert music.title == "three" and music.words.shape == (2, 2)


def test_the_order_given_does_not_matter() -> None:
    sets = [((60, 64), 1.0), ((36,), 2.0), ((36, 127), 3.0)]
    assert gather(sets).note_sets() == gather(reversed(sets)).note_sets()


@pytest.mark.parametrize("note", [-1, 128, 1000])
def test_a_note_outside_midi_is_refused_with_the_range(note: int) -> None:
    with pytest.raises(NoteError, match=f"{note} is outside MIDI's 0 to 127"):
        gather([((note,), 1)])


@pytest.mark.parametrize("weight", [0, -1, float("inf"), float("nan")])
def test_a_weight_that_is_no_length_of_time_is_refused(weight: float) -> None:
    with pytest.raises(NoteError, match="not above 0"):
        gather([((60,), weight)])


def test_music_without_notes_is_an_empty_repertoire() -> None:
    assert gather([]).simultaneities == 0 and gather([]).words.shape == (2, 0)


def test_the_shipped_chorales_are_in_four_voices_and_a_choir_s_compass() -> None:
    sets = chorales().note_sets()
    assert max(map(len, sets)) == 4
    # Common practice: a bass goes down to about C, a treble up to about a2.
    assert min(s[0] for s in sets) >= 36 and max(s[-1] for s in sets) <= 81
    assert len(sets) == len(set(sets)) > 4000
    assert all(weight == int(weight) for weight in chorales().weights.tolist())
