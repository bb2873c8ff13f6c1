"""Trials written as lines that `trial_lines` reads back: stops alone gathered key by key, the rest a line each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inventory.organ.nets import Key
from inventory.organ.notes import note_name
from inventory.organ.schemes import Keyboard, Scheme, asked_pipes
from inventory.organ.trial_lines import names_of_stops, pipes_of_note
from inventory.organ.trials import Trial
from inventory.organ.typed_text import fold


def write_trial_lines(scheme: Scheme, trials: Iterable[Trial]) -> str:
    """Trials as lines that read back as the same trials.

    >>> from inventory.organ.schemes import Stop
    >>> from inventory.organ.trial_lines import read_trial_lines
    >>> scheme = Scheme((Keyboard("I", (36, 37, 38)),), (), (Stop("A", "I", "Flute"),), ())
    >>> print(write_trial_lines(scheme, read_trial_lines("Flute: C–C♯ ok; D dumb", scheme).trials))
    Flute: C–C♯ speaks; D silent
    """
    lines: list[str] = []
    alone: dict[tuple[str, bool], dict[int, str]] = {}
    places: dict[tuple[str, bool], int] = {}
    for trial in trials:
        sign = _alone(trial, scheme)
        if sign is None or sign[1] in alone.get((sign[0], sign[3]), {}):
            lines.append(_write_barred(scheme, trial))
            continue
        stop, key, manner, quiet = sign
        if (stop, quiet) not in places:
            places[stop, quiet] = len(lines)
            lines.append("")
        alone.setdefault((stop, quiet), {})[key] = manner
    for (stop, quiet), heard in alone.items():
        told = [f"{keys} {manner}" for keys, manner in key_runs(scheme.keyboard_of(stop), heard)]
        told += ["nothing else"] * quiet
        lines[places[stop, quiet]] = f"{stop_name(scheme, stop)}: {'; '.join(told)}"
    return "\n".join(lines)


def key_runs(board: Keyboard, heard: dict[int, str]) -> list[tuple[str, str]]:
    """Keys in runs of one manner, from the lowest up.

    >>> key_runs(Keyboard("I", (36, 37, 38)), {1: "speaks", 2: "speaks", 3: "silent"})
    [('C–C♯', 'speaks'), ('D', 'silent')]
    """
    runs: list[tuple[int, int, str]] = []
    for key, manner in sorted(heard.items()):
        if runs and key == runs[-1][1] + 1 and manner == runs[-1][2]:
            runs[-1] = (runs[-1][0], key, manner)
        else:
            runs.append((key, key, manner))
    return [(_range(board, first, last), manner) for first, last, manner in runs]


def stop_name(scheme: Scheme, one: str) -> str:
    """The label of a stop where no other has it, else its id.

    >>> stop_name(Scheme((), (), (), ()), "coupler")
    'coupler'
    """
    if one not in scheme.stop:
        return one
    label = " ".join((scheme.stop[one].name or one).split())
    unclear = set(label) & set(":;|+#") or len(names_of_stops(scheme).get(fold(label), [])) != 1
    return one if unclear else label


def key_name(board: Keyboard, key: int) -> str:
    """The note of a key, or its number where notes do not rise from key to key.

    >>> key_name(Keyboard("I", (36, 37)), 2), key_name(Keyboard("I", (40, 36)), 2)
    ('C♯', '2')
    """
    rising = all(a < b for a, b in zip(board.notes, board.notes[1:], strict=False))
    return note_name(board.notes[key - 1]) if rising and key <= board.keys else str(key)


def _alone(trial: Trial, scheme: Scheme) -> tuple[str, int, str, bool] | None:
    """(stop, key, manner, listened) where one stop was tried at one key and nothing else sounded."""
    if len(trial.drawn) != 1 or len(trial.keys) != 1 or len(trial.heard) != 1 or trial.extra:
        return None
    stop, key, manner = trial.heard[0]
    if trial.drawn != {stop} or trial.keys != {(scheme.stop[stop].keyboard, key)}:
        return None
    return stop, key, manner, trial.extra is not None


def _write_barred(scheme: Scheme, trial: Trial) -> str:
    drawn = " + ".join(stop_name(scheme, one) for one in sorted(trial.drawn)) or "no stop"
    told = [
        f"{stop_name(scheme, stop)} {key_name(scheme.keyboard_of(stop), key)} {manner}"
        for stop, key, manner in trial.heard
    ]
    for rank, pipe, strength in trial.extra or ():
        told.append(f"{note_of_pipe(scheme, rank, pipe)} {'murmurs' if strength == 'faint' else 'sounds'}")
    if trial.extra is not None and not trial.extra:
        told.append("nothing else")
    return f"{drawn} | {held_keys(scheme, sorted(trial.keys))}: {'; '.join(told)}"


def held_keys(scheme: Scheme, keys: Sequence[Key]) -> str:
    """Keys held, with their keyboards.

    >>> held_keys(Scheme((), (), (), ()), [])
    'nothing held'
    """
    return ", ".join(f"{name} {key_name(scheme.keyboard[name], key)}" for name, key in keys) or "nothing held"


def note_of_pipe(scheme: Scheme, rank: str, pipe: int) -> str:
    """A stop and note that ask this pipe, if possible no other, as people name it.

    >>> note_of_pipe(Scheme((), (), (), ()), "row", 3)
    'row 3'
    """
    best = ""
    for segment in scheme.segments:
        board = scheme.keyboard_of(segment.stop)
        for key, asked in asked_pipes(scheme, segment) if segment.rank == rank else ():
            if asked == pipe and key <= board.keys:
                name = f"{stop_name(scheme, segment.stop)} {key_name(board, key)}"
                if len(pipes_of_note(scheme, segment.stop, key)) == 1:
                    return name
                best = best or name
    return best or f"{rank} {pipe}"


def _range(board: Keyboard, first: int, last: int) -> str:
    if first == last:
        return key_name(board, first)
    dash = "-" if key_name(board, first) == str(first) else "–"
    return f"{key_name(board, first)}{dash}{key_name(board, last)}"
