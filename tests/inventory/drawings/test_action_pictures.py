"""Views of what wears: two of one seed are taken from one standpoint."""

import numpy as np
import pytest

from inventory.drawings.action_pictures import draw_grid, draw_trackers


def share_that_differs(one, other):
    """How much of two pictures differs by more than a shade."""
    return float((np.abs(np.asarray(one, dtype=int) - np.asarray(other, dtype=int)).max(axis=2) > 8).mean())


def test_a_pair_differs_in_what_was_mended_and_nowhere_else():
    before, split = draw_grid(8, 12, 4)
    after, mended = draw_grid(8, 12, 4, mended=True)
    assert before.size == (1600, 1200) and before.mode == after.mode == "RGB"
    assert 0.001 < share_that_differs(before, after) < 0.05
    assert [one.label for one in split] == ["grid, from below", "bars split"]
    assert [one.label for one in mended] == ["grid, from below", "bars mended"]
    where = split[1]
    left, right = int(where.x * 1600), int((where.x + where.width) * 1600)
    whole = np.abs(np.asarray(before, dtype=int) - np.asarray(after, dtype=int)).max(axis=2) > 8
    assert whole[:, left:right].sum() == whole.sum()


def test_trackers_hang_loose_and_are_hung_again_under_the_same_rollers():
    loose, regions = draw_trackers(3, 14, hung=False)
    hung, same = draw_trackers(3, 14)
    assert 0.001 < share_that_differs(loose, hung) < 0.2
    assert share_that_differs(loose.crop((0, 0, 1600, 310)), hung.crop((0, 0, 1600, 310))) == 0
    assert [one.label for one in regions] == ["roller board", "trackers, hanging loose", "backfalls"]
    assert [(one.x, one.y) for one in regions] == [(one.x, one.y) for one in same]


@pytest.mark.parametrize("wrong", [(1, 0), (61, 3), (27, 27), (27, -1)])
def test_what_cannot_be_drawn_is_refused_with_what_can(wrong):
    with pytest.raises(ValueError, match="draw"):
        draw_grid(1, *wrong)


@pytest.mark.parametrize("keys", [1, 62])
def test_so_many_trackers_cannot_be_drawn(keys):
    with pytest.raises(ValueError, match="2 to 61"):
        draw_trackers(1, keys)
