import itertools
from dataclasses import replace

import pytest

from inventory.drawings.section_parts import Plate
from inventory.drawings.sections import SectionPipe, section_drawing
from tests.drawing_checks import boxes_of_text, check_drawing

EIGHT = SectionPipe("Principal 8′", "pipe 25, c¹", twin="Octave 4′, key c")
FOUR = SectionPipe("Octave 4′", "pipe 37, c²", twin="Principal 8′, key c²", relative_length=0.5)


def test_a_pressed_key_blows_the_pipes_of_the_drawn_sliders_only():
    plate = Plate((EIGHT, replace(FOUR, drawn=False)), pressed=True, flaps=True)
    assert [plate.blown(p) for p in plate.pipes] == [True, False]
    assert not plate.groove_blown(EIGHT)


def test_the_twin_channel_blows_the_pipe_but_not_this_channel_while_flaps_hold():
    plate = Plate((replace(EIGHT, twin_blows=True), FOUR), pressed=False, flaps=True)
    assert [plate.blown(p) for p in plate.pipes] == [True, False]
    assert not plate.channel_blown


def test_without_flaps_wind_comes_back_and_every_drawn_stop_speaks():
    # practice.md §2.2 M3: without the flaps wind fills both channels and every drawn stop speaks.
    plate = Plate((replace(EIGHT, twin_blows=True), FOUR), pressed=False, flaps=False)
    assert plate.channel_blown
    assert [plate.blown(p) for p in plate.pipes] == [True, True]
    assert plate.groove_blown(FOUR)
    shut = Plate((replace(EIGHT, twin_blows=True, drawn=False), FOUR), pressed=False, flaps=False)
    assert not shut.channel_blown  # a slider that is off bars the way


@pytest.mark.parametrize("narrow", [False, True])
def test_every_state_of_the_chest_is_drawn_whole_and_no_two_labels_overlap(narrow):
    for pressed, flaps, one, two, blows, alone in itertools.product([False, True], repeat=6):
        pipes = (
            replace(EIGHT, drawn=one, twin_blows=blows),
            replace(FOUR, drawn=two, twin=None if alone else FOUR.twin),
        )
        drawing = section_drawing(pipes, "c¹", pressed=pressed, flaps=flaps, narrow=narrow)
        boxes = boxes_of_text(check_drawing(drawing, "section"))
        for (a, ax0, ay0, ax1, ay1), (b, bx0, by0, bx1, by1) in itertools.combinations(boxes, 2):
            # Lines of one label stand a line apart; their boxes may touch by a hair.
            assert ax1 <= bx0 or bx1 <= ax0 or ay1 <= by0 + 2 or by1 <= ay0 + 2, (a, b)


def test_the_description_says_which_pipes_speak_and_what_the_flaps_do():
    drawing = section_drawing((EIGHT, replace(FOUR, drawn=False)), "c¹")
    assert "pipe 25, c¹: speaks" in drawing.description and "pipe 37, c²: silent" in drawing.description
    assert "flap of leather" in drawing.description
    assert "slider of Octave 4′, off" in " ".join(
        box[0] for box in boxes_of_text(check_drawing(drawing, "section"))
    )


def test_long_names_are_wrapped_inside_the_sheet():
    pipes = (replace(EIGHT, stop="Grosse Doppelflöte mit sehr langem Namen 8′", pipe="x" * 60), FOUR)
    for narrow in (False, True):
        check_drawing(section_drawing(pipes, "c¹", narrow=narrow), "section")


def test_the_same_values_give_the_same_bytes_and_other_numbers_of_pipes_are_refused():
    assert section_drawing((EIGHT, FOUR), "c¹") == section_drawing((EIGHT, FOUR), "c¹")
    with pytest.raises(ValueError, match="exactly two"):
        section_drawing((EIGHT,), "c¹")
