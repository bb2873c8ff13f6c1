"""Curves of deviations: what may stand on one, and what may not."""

import pytest

from inventory.organ.errors import ScaleError
from inventory.organ.scale_curves import PipeSize, scale_curve


def test_a_curve_is_in_order_of_note_and_says_what_stands_on_it():
    curve = scale_curve([PipeSize(60, 50.4), PipeSize(36, 155.5)])
    assert curve.notes == (36, 60)
    assert curve.deviations == pytest.approx((0, -2), abs=0.05)
    assert curve.label == "open, round"


def test_other_forms_are_refused_unless_named():
    sizes = [PipeSize(36, 100, "stopped"), PipeSize(48, 80)]
    with pytest.raises(ScaleError, match="stopped pipes do not stand on one curve with open ones"):
        scale_curve(sizes)
    assert scale_curve(sizes, forms=("open", "stopped")).label == "open, stopped, round"
    for form in ("tapered", "reed"):
        with pytest.raises(ScaleError, match=f"{form} pipes do not stand"):
            scale_curve([PipeSize(36, 100, form)])
    with pytest.raises(ScaleError, match="is not one of open"):
        scale_curve([PipeSize(36, 100, "conical")])


def test_rules_of_equivalence_are_not_mixed():
    area, diagonal, odd = (
        PipeSize(36 + n, 100, "open", rule) for n, rule in enumerate(("area", "diagonal", "width"))
    )
    assert scale_curve([area]).label == "open, rectangular by area"
    with pytest.raises(ScaleError, match="area and diagonal"):
        scale_curve([area, diagonal])
    with pytest.raises(ScaleError, match="area and round"):
        scale_curve([area, PipeSize(48, 90)])
    with pytest.raises(ScaleError, match="leave it empty if round"):
        scale_curve([odd])


def test_a_curve_needs_pipes_and_each_note_once():
    with pytest.raises(ScaleError, match="no pipe"):
        scale_curve([])
    with pytest.raises(ScaleError, match="note 36 comes twice"):
        scale_curve([PipeSize(36, 100), PipeSize(36, 101)])
