"""Published figures that no other test holds; the list of all is docs/checked-values.md."""

import pytest

from inventory.organ.footages import read_footage
from inventory.organ.pitch import frequency_hz
from inventory.organ.schemes import Scheme, Segment, Stop
from inventory.organ.sums import sum_scheme
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank


def test_a_separate_32_foot_octave_is_twelve_pipes():
    # values.md §1: "may have a separate 32' Tibia Clausa rank of 12 pipes" beside 97 (encyclopaedia, SEEN).
    scheme = Scheme(
        (full_keyboard("I"),),
        (full_rank("unit", 97, 24), full_rank("bass", 12, 12)),
        (Stop("s16", "I", "Flute", "16"), Stop("s32", "I", "Flute", "32")),
        (
            Segment("s16", (1, 61), "unit", interval=-12),
            Segment("s32", (1, 12), "bass", interval=-24),
            Segment("s32", (13, 61), "unit", interval=-24),
        ),
    )
    sums = sum_scheme(scheme)
    assert sums.stops[1].own == 12 and sums.stops[1].shared == 49 and sums.stops[1].silent == 0
    assert sums.pipes_called == 61 + 12


def test_sixteen_foot_and_its_quint_beat_at_thirty_two_foot_pitch():
    # Wedgwood 1905, "Acoustic Bass"; Miller 1913: 2 : 3 (values.md §1, SEEN): 32.703 and 49.055 give 16.352 Hz.
    # The pipe of the lowest key is as much lower as its footage is longer than 8'.
    low, quint = (frequency_hz(36) * 8 / float(read_footage(text)) for text in ("16", "10 2/3"))
    assert (low, quint) == (pytest.approx(32.703, abs=6e-4), pytest.approx(49.055, abs=6e-4))
    assert quint - low == pytest.approx(frequency_hz(12), abs=6e-4) == pytest.approx(16.352, abs=1e-3)
