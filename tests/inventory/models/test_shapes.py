"""Footages, and fields that hold lists, hold only what the sums can read."""

import pytest
from django.core.exceptions import ValidationError

from inventory.models import Chest, Keyboard, Rank, Segment, Stop, Trial
from inventory.models.shapes import SHAPES, check_shapes

GOOD = [
    Keyboard(notes=[36, 38, 40]),
    Rank(notes=[24, 26], missing=[3], tones={"1": [36, 37]}),
    Stop(footage="2 2/3"),
    Stop(footage=""),
    Stop(composition=[{"from_note": None, "footages": ["2", "1 1/3"]}]),
    Segment(pipes=[1, 2, 13]),
    Chest(stop_order=["I.flute-8"], channel_order=["I:1", "P:30"]),
    Trial(stops=["a"], keys=[{"keyboard": "I", "key": 1}], heard=[], extra=[{"rank": "r", "pipe": 1}]),
    Keyboard(notes=None),
]
BAD = [
    (Keyboard(notes="abc"), "notes"),
    (Keyboard(notes={"a": 1}), "notes"),
    (Keyboard(notes=[36, 200]), "notes"),
    (Keyboard(notes=[True]), "notes"),
    (Rank(missing=[0]), "missing"),
    (Rank(tones=[1]), "tones"),
    (Rank(tones={"²": [36]}), "tones"),
    (Rank(tones={"1": 36}), "tones"),
    (Stop(footage="VIII"), "footage"),
    (Stop(footage="' OR '1'='1"), "footage"),
    (Stop(composition=[{"footages": "2"}]), "composition"),
    (Stop(composition=[{"from_note": 36, "footages": ["2"], "x": 1}]), "composition"),
    (Segment(pipes=["1"]), "pipes"),
    (Segment(pipes=list(range(300))), "pipes"),
    (Chest(channel_order=["I1"]), "channel_order"),
    (Chest(stop_order=[["a"]]), "stop_order"),
    (Trial(heard=[{"stop": "a", "key": 1, "as": "loudly"}]), "heard"),
    (Trial(extra=[{"rank": "a", "pipe": 1, "strength": "very"}]), "extra"),
    (Trial(keys=[{"keyboard": "I"}]), "keys"),
]


@pytest.mark.parametrize("row", GOOD, ids=lambda row: type(row).__name__)
def test_lists_the_sums_can_read_pass(row):
    check_shapes(row)


@pytest.mark.parametrize("row, field", BAD)
def test_anything_else_is_refused_at_its_field(row, field):
    with pytest.raises(ValidationError) as caught:
        check_shapes(row)
    assert list(caught.value.message_dict) == [field]


def test_every_shape_names_a_field_that_exists():
    from django.apps import apps

    for model, field in SHAPES:
        kind = apps.get_model("inventory", model)._meta.get_field(field).get_internal_type()
        assert kind == "JSONField" or (model, field) == ("stop", "footage")
