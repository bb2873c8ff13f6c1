"""A user's MIDI file as a repertoire: which notes sound together, and for how long.

A MIDI file alone suffices. Tempo does not matter: weights are ticks, the file's own unit
of written length. Percussion (channel 10) has no pitch and is left out. Pedals and
programs are ignored: an organ holds a note exactly as long as its key.
"""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterable, Iterator

import mido
from django.utils.translation import gettext as _

from inventory.organ.repertoire import Repertoire, gather

MOST_BYTES = 1024 * 1024  # 340,000 notes' beginnings and ends at most: read in about 3 s
PERCUSSION = 9  # channel 10, counted from 0


class MidiFileError(ValueError):
    """The bytes are no MIDI file that can be read; the message says why and what to do."""


def read_midi(data: bytes, title: str = "") -> Repertoire:
    """Read a standard MIDI file (formats 0, 1 and 2) into weighted simultaneities."""
    if len(data) > MOST_BYTES:
        raise MidiFileError(
            _("The MIDI file is larger than %(limit)d MB; give a shorter piece.")
            % {"limit": MOST_BYTES >> 20}
        )
    if not data.startswith(b"MThd"):
        raise MidiFileError(
            _("This is not a MIDI file (it does not begin with MThd); export the music as .mid.")
        )
    try:
        file = mido.MidiFile(file=io.BytesIO(data), clip=True)
    except Exception:  # mido answers broken files with many kinds of error; people need one clear line
        raise MidiFileError(_("The MIDI file is damaged or cut short; export it again.")) from None
    # Format 2 holds pieces that do not sound together, one to a track.
    pieces = [[track] for track in file.tracks] if file.type == 2 else [file.tracks]
    repertoire = gather((sounding for piece in pieces for sounding in _simultaneities(piece)), title)
    if not repertoire.simultaneities:
        raise MidiFileError(_("The MIDI file holds no notes of any length; percussion does not count."))
    return repertoire


def _events(tracks: Iterable[Iterable[mido.Message]]) -> list[tuple[int, bool, int]]:
    """(tick, begins?, note) in order of time; at one moment ends come before beginnings."""
    found: list[tuple[int, bool, int]] = []
    for track in tracks:
        tick = 0
        held: set[tuple[int, int]] = set()
        for message in track:
            tick += message.time
            if message.type not in ("note_on", "note_off") or message.channel == PERCUSSION:
                continue
            key, begins = (message.channel, message.note), message.type == "note_on" and message.velocity > 0
            if begins != (key in held):  # a note struck again while it sounds goes on sounding
                (held.add if begins else held.discard)(key)
                found.append((tick, begins, message.note))
        # A note that is never ended stops with its track.
        found += [(tick, False, note) for _channel, note in sorted(held)]
    return sorted(found)


def _simultaneities(tracks: Iterable[Iterable[mido.Message]]) -> Iterator[tuple[frozenset[int], float]]:
    """Sets of notes with the ticks they last; what lasts no time is left out."""
    sounding: Counter[int] = Counter()  # voices on each note: a unison ends with its last voice
    before = 0
    for tick, begins, note in _events(tracks):
        if tick > before:
            yield frozenset(sounding), float(tick - before)
            before = tick
        sounding[note] += 1 if begins else -1
        if not sounding[note]:
            del sounding[note]
