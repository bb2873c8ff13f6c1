"""Marked, standing and sounding notes: hand-solved ranks."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.errors import NoteError
from inventory.organ.mark_shifts import MarkedPipe, analyse_marks


def rank(shifts, first=36, sounding=None):
    """Pipes from a note upward with these shifts; sounding as ``standing`` or ``marked`` or not heard."""
    pipes = []
    for standing, shift in enumerate(shifts, start=first):
        marked = None if shift is None else standing - shift
        heard = {"standing": standing, "marked": marked}.get(sounding)
        pipes.append(MarkedPipe(standing, marked, heard))
    return pipes


def test_marked_d_standing_at_c_is_shift_minus_two():
    assert analyse_marks(rank([-2] * 12)).sections[0].shift == -2


def test_a_rank_where_it_was_made_to_stand():
    found = analyse_marks(rank([0] * 12))
    assert (found.kind, found.exceptions) == ("as marked", ())
    assert found.explanations == ("consistent with the pipes standing where their maker meant them",)


def test_a_constant_shift_speaks_of_a_move_for_scale_or_pitch():
    found = analyse_marks(rank([1] * 54))
    assert found.kind == "constant"
    assert "moved up 1 semitone, which makes it wider" in found.explanations[0]
    assert "pitch having been made about 1 semitone lower" in found.explanations[1]


def test_a_shift_of_an_octave_or_a_fifth_speaks_of_another_footage():
    assert any("another footage" in text for text in analyse_marks(rank([12] * 20)).explanations)
    assert any("quint" in text for text in analyse_marks(rank([-7] * 20)).explanations)
    assert not any("pitch" in text for text in analyse_marks(rank([12] * 20)).explanations)


def test_a_change_of_shift_is_a_step_and_its_place_is_named():
    found = analyse_marks(rank([0] * 12 + [3] * 12 + [0] * 12))
    assert found.kind == "stepwise"
    assert [(s.first, s.last, s.shift, s.pipes) for s in found.sections] == [
        (36, 47, 0, 12),
        (48, 59, 3, 12),
        (60, 71, 0, 12),
    ]
    assert "between notes 47 and 48" in found.explanations[0]
    assert not any("lost" in text for text in found.explanations)


@pytest.mark.parametrize(("after", "word"), [(-1, "a pipe lost"), (1, "a pipe added")])
def test_a_step_of_one_is_consistent_with_one_pipe_lost_or_added(after, word):
    found = analyse_marks(rank([0] * 10 + [after] * 10))
    assert any(word in text for text in found.explanations)


def test_a_single_stranger_is_an_exception_not_a_section():
    found = analyse_marks(rank([-2] * 10 + [5] + [-2] * 10))
    assert (found.kind, len(found.sections), found.sections[0].pipes) == ("constant", 1, 20)
    assert [pipe.standing for pipe in found.exceptions] == [46]


def test_pipes_gathered_from_everywhere_are_mixed():
    found = analyse_marks(rank([0, 4, -3, 1, 1, 7, 0, 2, -5, 0, 3, 3]))
    assert found.kind == "mixed"
    assert "which hand" in found.explanations[0]


def test_unread_marks_are_passed_over_and_few_readings_propose_nothing():
    assert analyse_marks(rank([None, 0, None, 0, 0])).kind == "too few"
    assert analyse_marks([]).explanations == ()
    found = analyse_marks(rank([None, -1, None, -1, -1, None, -1]))
    assert (found.kind, found.read) == ("constant", 4)


def test_the_sounding_note_tells_a_tuned_move_from_an_untuned_one():
    assert any(
        "speak the notes they stand on" in t
        for t in analyse_marks(rank([-2] * 9, 36, "standing")).explanations
    )
    assert any(
        "still speak their marked notes" in t
        for t in analyse_marks(rank([-2] * 9, 36, "marked")).explanations
    )
    assert not any("speak" in t for t in analyse_marks(rank([-2] * 9)).explanations)


def test_two_pipes_on_one_hole_are_refused():
    with pytest.raises(NoteError, match="2 pipes stand on note 40"):
        analyse_marks([MarkedPipe(40, 40), MarkedPipe(40, 41)])


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.one_of(st.none(), st.integers(-14, 14)), max_size=60),
    st.sampled_from([None, "standing", "marked"]),
)
def test_words_stay_polite_and_every_read_pipe_is_counted_once(shifts, sounding):
    found = analyse_marks(rank(shifts, sounding=sounding))
    assert all("consistent with" in text for text in found.explanations)
    if found.kind != "too few":
        assert sum(section.pipes for section in found.sections) + len(found.exceptions) == found.read


@settings(max_examples=40, deadline=None)
@given(st.permutations(rank([0] * 6 + [2] * 6)))
def test_the_order_of_reading_does_not_matter(pipes):
    assert analyse_marks(pipes) == analyse_marks(rank([0] * 6 + [2] * 6))
