import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.drawings.ranks import rank_drawing
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
from tests.drawing_checks import boxes_of_text, check_drawing, one_rank_scheme


def words_of(drawing, prefix="rank"):
    return [box[0] for box in boxes_of_text(check_drawing(drawing, prefix))]


def test_an_octave_extension_shows_49_shared_pipes_and_both_brackets():
    # DESIGN §4: 61 keys at 8′ + 4′ on one rank: D 73, S 49, own pipes 24.
    drawing = rank_drawing(one_rank_scheme(61, 73, [0, 12]), "Row")
    words = words_of(drawing)
    assert "49 shared pipes" in words and "24 pipes of one stop only" in words
    assert "Stop 0 · pipes 1–61" in words and "Stop 1 · pipes 13–73" in words
    assert [w for w in words if w in {"C", "c", "c¹", "c²", "c³", "c⁴", "c⁵"}] == [
        "C",
        "c",
        "c¹",
        "c²",
        "c³",
        "c⁴",
        "c⁵",
    ]
    assert "Nothing here was measured" in drawing.caption


def test_lengths_halve_at_every_octave():
    svg = rank_drawing(one_rank_scheme(25, 25, [0]), "Row").svg
    pipes = re.findall(r'<path d="M [\d.]+ ([\d.]+) V ([\d.]+) H[^"]+" data-pipe="\d+"', svg)
    high = [float(mouth) - float(top) for mouth, top in pipes]
    assert len(high) == 25
    assert high[0] / high[12] == pytest.approx(2, abs=0.01)
    assert high[0] / high[24] == pytest.approx(4, abs=0.02)


def test_every_pipe_of_the_wide_drawing_can_be_lit_by_its_number_and_the_narrow_one_stays_small():
    scheme = one_rank_scheme(61, 73, [0, 12])
    wide = rank_drawing(scheme, "Row").svg
    assert sorted(int(n) for n in re.findall(r'data-pipe="(\d+)"', wide)) == list(range(1, 74))
    assert 'data-rank="Row"' in wide
    narrow = rank_drawing(scheme, "Row", narrow=True).svg
    assert "data-pipe" not in narrow and len(narrow) < len(wide)


@given(
    st.integers(1, 130),
    st.lists(st.integers(-12, 36), min_size=1, max_size=8),
    st.integers(12, 60),
    st.booleans(),
)
@settings(max_examples=40, deadline=None)
def test_every_size_of_rank_and_number_of_stops_is_drawn_whole(pipes, intervals, low, narrow):
    scheme = one_rank_scheme(min(pipes, 61), pipes, intervals, low)
    drawing = rank_drawing(scheme, "Row", prefix="p", narrow=narrow)
    root = check_drawing(drawing, "p")
    assert float(root.get("viewBox").split()[2]) == (360 if narrow else 720)
    assert drawing == rank_drawing(scheme, "Row", prefix="p", narrow=narrow)


def test_a_rank_never_counted_and_of_unknown_pitch_is_drawn_and_said_to_be_so():
    keyboard = Keyboard("I", tuple(range(36, 66)))
    scheme = Scheme(
        (keyboard,),
        (Rank("R", None),),
        (Stop("a", "I", "Flute", "8"),),
        (Segment("a", (1, 30), "R", shift=0),),
    )
    drawing = rank_drawing(scheme, "R")
    check_drawing(drawing, "rank")
    assert "not known" in drawing.caption and "not counted" in drawing.caption
    assert "30 pipes are drawn" in drawing.description


def test_foldback_pipes_are_named_as_called_at_two_keys():
    keyboard = Keyboard("I", tuple(range(36, 60)))
    segments = (Segment("a", (1, 12), "R", shift=0), Segment("a", (13, 24), "R", shift=-12))
    scheme = Scheme((keyboard,), (Rank("R", 12, tuple(range(36, 48))),), (Stop("a", "I", "Flute"),), segments)
    assert any("1–12 at two keys or more" in words for words in words_of(rank_drawing(scheme, "R")))


def test_missing_and_uncalled_pipes_are_dashed_not_only_coloured():
    scheme = one_rank_scheme(10, 15, [0])
    scheme = replace(scheme, ranks=(replace(scheme.ranks[0], missing=frozenset({3})),))
    drawing = rank_drawing(scheme, "Row")
    check_drawing(drawing, "rank")
    assert 'stroke-dasharray="1 2"' in drawing.svg and 'stroke-dasharray="2 2"' in drawing.svg
    assert "5 pipes not called" in words_of(drawing)
