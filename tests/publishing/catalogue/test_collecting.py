"""The collector is left alone while much is made, and set back whatever happens."""

from __future__ import annotations

import gc

import pytest

from publishing.catalogue.collecting import THRESHOLDS, collecting_less


def test_the_collector_is_set_back_even_after_a_failure():
    before = gc.get_threshold()
    with pytest.raises(RuntimeError), collecting_less():
        assert gc.get_threshold() == THRESHOLDS
        raise RuntimeError
    assert gc.get_threshold() == before and gc.get_freeze_count() == 0
