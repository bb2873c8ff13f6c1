"""A user's MIDI file becomes a repertoire, or one clear line."""

import io

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.intake.midi import MOST_BYTES, MidiFileError, read_midi
from inventory.organ.registrations import play, rate_of
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop


def midi(*tracks: list[mido.Message], kind: int = 1) -> bytes:
    """A MIDI file of these tracks, as bytes."""
    file = mido.MidiFile(type=kind, ticks_per_beat=480)
    file.tracks.extend(mido.MidiTrack(track) for track in tracks)
    out = io.BytesIO()
    file.save(file=out)
    return out.getvalue()


def on(note: int, wait: int = 0, **more: int) -> mido.Message:
    return mido.Message("note_on", note=note, time=wait, **{"velocity": 64, **more})


def off(note: int, wait: int = 0, **more: int) -> mido.Message:
    return mido.Message("note_off", note=note, time=wait, **more)


def sums(data: bytes) -> dict[tuple[int, ...], float]:
    found = read_midi(data)
    return dict(zip(found.note_sets(), found.weights.tolist(), strict=True))


def test_notes_that_overlap_make_three_simultaneities() -> None:
    data = midi([on(48), on(60, 480), off(48, 240), off(60, 120)])
    assert sums(data) == {(48,): 480, (48, 60): 240, (60,): 120}


def test_two_tracks_sound_together_and_a_unison_is_one_key() -> None:
    data = midi([on(60), off(60, 480)], [on(60), on(64), off(60, 240), off(64, 240)])
    assert sums(data) == {(60, 64): 480}


def test_velocity_nought_ends_a_note_and_rests_are_left_out() -> None:
    data = midi([on(60), on(60, 100, velocity=0), on(62, 500), off(62, 100)])
    assert sums(data) == {(60,): 100, (62,): 100}


def test_the_same_chord_twice_is_added_up() -> None:
    assert sums(midi([on(60), off(60, 10), on(60, 0), off(60, 30)])) == {(60,): 40}


def test_percussion_is_left_out() -> None:
    data = midi([on(38, channel=9), on(60), off(60, 50), off(38, 50, channel=9)])
    assert sums(data) == {(60,): 50}


def test_a_note_never_ended_stops_with_its_track() -> None:
    tail = mido.MetaMessage("text", text="end", time=70)
    assert sums(midi([on(60), tail])) == {(60,): 70}


def test_tracks_of_format_2_do_not_sound_together() -> None:
    data = midi([on(60), off(60, 10)], [on(64), off(64, 10)], kind=2)
    assert sums(data) == {(60,): 10, (64,): 10}


def test_a_midi_file_alone_gives_a_coincidence_rate() -> None:
    scheme = Scheme(
        (Keyboard("I", tuple(range(36, 97))),),
        (Rank("r", 73, low=36),),
        (Stop("a", "I", "Principal", "8"), Stop("b", "I", "Octave", "4")),
        (Segment("a", (1, 61), "r", shift=0), Segment("b", (1, 61), "r", shift=12)),
    )
    music = read_midi(midi([on(48), on(60), off(48, 480), off(60, 0)]), "my piece")
    assert rate_of(play(scheme, "I", music), ("a", "b")).rate == 0.25 and music.title == "my piece"


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "not a MIDI file"),
        (b"RIFF....WAVE", "not a MIDI file"),
        (b"<score-partwise/>", "not a MIDI file"),
        (b"MThd", "damaged"),
        (b"MThd\0\0\0\6\0\1\0\1\1\xe0MTrk\0\0\0\x20\0\x90", "damaged"),
        (b"\0" * (MOST_BYTES + 1), "larger than 1 MB"),
    ],
)
def test_what_is_no_midi_file_is_refused_with_one_line(data: bytes, says: str) -> None:
    with pytest.raises(MidiFileError, match=says) as caught:
        read_midi(data)
    assert "\n" not in str(caught.value)


def test_a_note_struck_again_goes_on_and_ends_once() -> None:
    assert sums(midi([on(60), on(60, 10), off(60, 20), off(60, 5), on(62, 0), off(62, 7)])) == {
        (60,): 30,
        (62,): 7,
    }


def test_a_file_without_notes_is_refused() -> None:
    with pytest.raises(MidiFileError, match="no notes"):
        read_midi(midi([on(38, channel=9), off(38, 10, channel=9)]))


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=80), st.integers(0, 200))
def test_broken_bytes_are_read_or_refused_and_never_anything_else(noise: bytes, cut: int) -> None:
    whole = midi([on(48), on(60, 480), off(48, 240), off(60, 120)])
    for data in (b"MThd" + noise, whole[:cut], whole[:30] + noise + whole[30:]):
        try:
            assert read_midi(data).simultaneities > 0
        except MidiFileError as refused:
            assert "\n" not in str(refused)
