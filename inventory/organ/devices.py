"""The closed vocabulary of devices: how it is done that two stops, keys or notes reach one pipe.

Devices are kept apart from patterns (what is shared, which is computed). *Unknown* is
never a device: a segment whose device nobody saw has none. Unless a source is named,
what is said of a device is common practice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Device:
    """One way of letting several stops or keys reach one pipe."""

    code: str
    """Stable word used in files."""
    name: str
    """Plain name."""
    non_return: str
    """``needed``: wind passes back unless valves stand in the branches; ``inherent``: the
    device is itself a non-return valve; ``not needed``: its branches cannot disturb each other."""
    what_it_is: str
    """One sentence."""
    isolates: str = "no"
    """Why ``not needed`` holds: ``branch`` (each pipe has its own valve behind the branch),
    ``pair`` (its two branches cannot be open together), ``no`` (only the channel is the same:
    between different channels the wind does pass back)."""
    sharing: bool = True
    """Whether the device shares pipes at all; False for what is only mistaken for it."""
    source: str = "common practice"


DEVICES: tuple[Device, ...] = (
    Device(
        "grooved-upperboard",
        "groove in the upperboard",
        "not needed",
        "A groove cut in the upperboard joins the holes of two sliders, so that either feeds one pipe.",
        source="Dickson 1882, ch. IV, for the common bass",
    ),
    Device(
        "flap-valves",
        "flap valves over joined holes",
        "inherent",
        "Holes of two channels are joined by a groove, and a leather flap over each lets wind up, not down.",
        source="Dickson 1882, on borrowing between manuals",
    ),
    Device(
        "alternating-slider",
        "alternating slider",
        "not needed",
        "One slider with two sets of borings gives its pipes to one keyboard or the other, never to both.",
        isolates="pair",
    ),
    Device(
        "double-pallet",
        "double pallet",
        "needed",
        "Two pallets and two channels a note stand under one row of pipes, one for each keyboard.",
    ),
    Device(
        "pull-down",
        "pull-down",
        "not needed",
        "One key pulls the pallet of another: a coupler that is always on, no pipes shared between stops.",
        sharing=False,
    ),
    Device(
        "cross-bored-channel",
        "cross-bored channels",
        "needed",
        "A channel is bored through to pipes of other notes of one row, and sliders open each pitch.",
        source="Praetorius 1618/19 for the idea, as told in Grove, 'Extension organ'",
    ),
    Device(
        "octave-grooves",
        "octave grooves",
        "needed",
        "Grooves lead from each channel to the pipe an octave away, opened by a slider of their own.",
    ),
    Device(
        "partial-mixture-slider",
        "slider of several steps under a mixture",
        "not needed",
        "A slider with a boring for each pipe gives one row of a mixture or all of them, from one channel.",
    ),
    Device(
        "polyphone-pipes",
        "polyphone pipes",
        "needed",
        "One pipe speaks two or more notes by side holes with valves, so that its notes exclude each other.",
        sharing=False,
    ),
    Device(
        "second-cone",
        "second cone or valve a pipe",
        "inherent",
        "Each pipe has one cone or valve for each of two stop channels; a closed cone holds wind back.",
    ),
    Device(
        "tube-merge",
        "merged tubes without valves",
        "needed",
        "Two touch tubes or conveyances meet before one pipe, with nothing seen that parts them.",
    ),
    Device(
        "tube-merge-with-checks",
        "merged tubes with check valves",
        "inherent",
        "Two touch tubes or conveyances meet before one pipe through balls or leather discs.",
    ),
    Device(
        "unit-chest",
        "unit chest",
        "not needed",
        "Every pipe has a valve of its own, opened by whichever contact asks; there is no channel or slider.",
        isolates="branch",
    ),
    Device(
        "duplex-stop-actions",
        "two stop actions over one row",
        "not needed",
        "One row of pipes with a valve each answers to two stop actions, one for each keyboard.",
        isolates="branch",
    ),
    Device(
        "stop-relay",
        "stop relay",
        "not needed",
        "A relay for each stop joins its keys to the valves of the pipes, shifted by wiring.",
        isolates="branch",
    ),
    Device(
        "data-relay",
        "relay by data",
        "not needed",
        "A table in an electronic unit says which valve answers which key of which stop.",
        isolates="branch",
    ),
    Device(
        "combined-knob",
        "combined knob",
        "not needed",
        "One knob draws two sliders, or two knobs halves of one: it looks like sharing and is not.",
        sharing=False,
    ),
    Device(
        "off-chest-bass",
        "bass pipes off the chest",
        "not needed",
        "Conveyances take wind to pipes standing elsewhere: often mistaken for sharing.",
        sharing=False,
    ),
)
"""Every device, in the order they are offered."""

DEVICE_BY_CODE: Mapping[str, Device] = {device.code: device for device in DEVICES}


def device_name(code: str | None) -> str:
    """Plain name of a device, or ``device not known``.

    >>> device_name("flap-valves"), device_name(None)
    ('flap valves over joined holes', 'device not known')
    """
    return DEVICE_BY_CODE[code].name if code is not None and code in DEVICE_BY_CODE else "device not known"
