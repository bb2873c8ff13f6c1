"""The sound of the page rendered without loudspeakers: at the right pitch, and no louder for a second call."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from inventory.organ.schemes import Scheme
from inventory.organ.temperaments import TEMPERAMENTS
from publishing.catalogue.playing import carried_data
from publishing.catalogue.playing_pitch import nearest_temperament, tuning_of
from tests.publishing.catalogue.playing_schemes import hand_made_schemes
from tests.publishing.catalogue.test_playing_in_a_browser import page  # noqa: F401  (a fixture)

pytestmark = pytest.mark.browser
RATE, SECONDS = 32_000, 4.0

RENDER = """async ([data, tuning, drawn, held, failures, seconds, rate]) => {
  const scheme = Upperboard.readScheme(data);
  const heard = Upperboard.soundPipes(scheme, new Set(drawn), held);
  const net = Upperboard.readNet(data.net, [...data.stops, ...data.ranks].map(one => one.id));
  const levels = failures.length
    ? Upperboard.soundingLevels(net, new Set([...drawn, ...heard.channels]), failures) : null;
  const tones = Upperboard.tonesOf(scheme, heard, levels, tuning);
  const sound = await Upperboard.renderTones(tones, seconds, rate);
  return { tones: [...tones.keys()], calls: heard.calls, sound: Array.from(sound) };
}"""


def render(
    page: Any,  # noqa: F811
    scheme: Scheme,
    drawn: list[str],
    held: list[str],
    tuning: dict[str, Any],
    failures: Any = (),
) -> tuple[dict[str, Any], np.ndarray]:
    """What the page's own functions make of a registration, as samples after the attack."""
    data = carried_data(scheme)
    for rank in data["ranks"]:
        rank["voice"] = "principal"
    answer = page.evaluate(RENDER, [data, tuning, drawn, held, list(failures), SECONDS, RATE])
    return answer, np.asarray(answer["sound"])[RATE // 8 :]


def peak_hz(sound: np.ndarray, near_hz: float) -> float:
    """Frequency of the strongest partial within a third of a semitone, by a parabola through log power."""
    window = sound * np.hanning(len(sound))
    size = 1 << (len(sound) * 4 - 1).bit_length()
    power = np.log(np.abs(np.fft.rfft(window, size)) + 1e-12)
    low, high = (round(near_hz * 2 ** (cents / 1200) * size / RATE) for cents in (-33, 33))
    top = low + int(np.argmax(power[low : high + 1]))
    assert low < top < high, f"no peak stands near {near_hz:.2f} Hz"
    before, here, after = power[top - 1 : top + 2]
    return (top + 0.5 * (before - after) / (before - 2 * here + after)) * RATE / size


@pytest.mark.parametrize(
    ("a1", "recorded"), [("440.00", "equal"), ("446.20", ""), ("392.40", "quarter comma, softened")]
)
def test_every_peak_lies_within_a_cent_of_its_pipe(page: Any, a1: str, recorded: str) -> None:  # noqa: F811
    scheme = hand_made_schemes()["octave extension"]
    tuning, _words = tuning_of((a1, "15"), recorded)
    # Keys C, E and A flat of both stops: their wolf is the test of a temperament.
    held = ["I:1", "I:5", "I:9", "I:13"]
    answer, sound = render(page, scheme, ["a", "b"], held, tuning)
    notes = sorted({int(tone.split("@")[1]) for tone in answer["tones"]})
    assert notes == [36, 40, 44, 48, 52, 56, 60]
    temperament = TEMPERAMENTS[nearest_temperament(recorded) or "equal"]
    for note in notes:
        wanted = temperament.frequency_hz(note, float(a1))
        off = 1200 * math.log2(peak_hz(sound, wanted) / wanted)
        assert abs(off) < 1.0, f"note {note} is {off:.3f} cents off"


def test_the_measure_would_see_a_pitch_two_cents_off(page: Any) -> None:  # noqa: F811
    scheme = hand_made_schemes()["octave extension"]
    tuning, _words = tuning_of(("440", ""), "equal")
    _answer, sound = render(page, scheme, ["a"], ["I:10"], {**tuning, "a1": 440 * 2 ** (2 / 1200)})
    wanted = TEMPERAMENTS["equal"].frequency_hz(45)
    assert abs(1200 * math.log2(peak_hz(sound, wanted) / wanted)) == pytest.approx(2, abs=0.2)


def test_a_second_call_to_a_sounding_pipe_adds_no_gain(page: Any) -> None:  # noqa: F811
    scheme = hand_made_schemes()["double pallet"]
    tuning, _words = tuning_of(None, "")
    once, alone = render(page, scheme, ["a", "b"], ["I:5"], tuning)
    twice, both = render(page, scheme, ["a", "b"], ["I:5", "II:5"], tuning)
    assert (once["calls"], twice["calls"]) == (1, 2)
    assert once["tones"] == twice["tones"]
    assert float(np.sqrt(np.mean(alone**2))) > 0.01
    assert np.array_equal(alone, both)
    # Two pipes do sound louder than one, so the comparison could fail.
    _two, more = render(page, scheme, ["a", "b"], ["I:5", "II:6"], tuning)
    assert np.sqrt(np.mean(more**2)) > 1.2 * np.sqrt(np.mean(alone**2))


def test_what_murmurs_is_faint(page: Any) -> None:  # noqa: F811
    scheme = hand_made_schemes()["octave extension"]
    tuning, _words = tuning_of(None, "")
    failure = [{"part": "valve:b:1", "fails": "open"}]
    sound_chest, _samples = render(page, scheme, ["a", "b"], ["I:13"], tuning)
    leaking, samples = render(page, scheme, ["a", "b"], ["I:13"], tuning, failure)
    extra = set(leaking["tones"]) - set(sound_chest["tones"])
    assert extra == {"r:1@36"}

    def level(note: int) -> float:
        hz = TEMPERAMENTS["equal"].frequency_hz(note)
        turn = np.exp(-2j * np.pi * hz * np.arange(len(samples)) / RATE)
        return abs(np.mean(samples * np.hanning(len(samples)) * turn))

    assert 0 < level(36) < 0.3 * level(48)
