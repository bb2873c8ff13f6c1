"""The tables alone give the sums of every scheme: read with pandas, computed without a line of the program."""

from __future__ import annotations

import io
from collections import defaultdict

import pandas as pd
import pytest

pytestmark = pytest.mark.django_db


def read(files: dict[str, bytes], name: str) -> list[dict]:
    table = pd.read_csv(io.BytesIO(files[f"{name}.csv"]), dtype=str, keep_default_na=False)
    return table.to_dict("records")


def numbers(cell: str) -> list[int]:
    return [int(part) for part in cell.split()]


def pipes_by_note(rank: dict) -> tuple[dict[int, int], int | None]:
    """Pipe by note; where nobody counted the pipes, only the lowest note is known and the row has no upper end."""
    found: dict[int, int] = {}
    low = int(rank["low_note_midi"]) if rank["low_note_midi"] else None
    if rank["notes_midi"]:
        nominal = numbers(rank["notes_midi"])
    elif low is not None and rank["pipes"]:
        nominal = list(range(low, low + int(rank["pipes"])))
    else:
        return {}, low
    for pipe, note in enumerate(nominal, start=1):
        found.setdefault(note, pipe)
    for told in rank["pipe_tones_midi"].split():
        pipe, _colon, tones = told.partition(":")
        for tone in tones.split("+"):
            found.setdefault(int(tone), int(pipe))
    return found, None


def sums(files: dict[str, bytes]) -> dict[tuple[str, str], dict[str, int]]:
    """Calls, pipes called, pipes shared, most stops on a pipe; by instrument and specification."""
    key = ("instrument", "specification")
    boards = {(*[r[k] for k in key], r["keyboard"]): r for r in read(files, "keyboards")}
    ranks = {(*[r[k] for k in key], r["rank"]): r for r in read(files, "ranks")}
    stops = {(*[r[k] for k in key], r["stop"]): r for r in read(files, "stops")}
    calls: dict[tuple[str, str], set] = {
        tuple(r[k] for k in key): set() for r in read(files, "specifications")
    }
    for row in read(files, "stop_ranks"):
        where = (row["instrument"], row["specification"])
        stop, rank = stops[(*where, row["stop"])], ranks[(*where, row["rank"])]
        if stop["state"] == "prepared":
            continue
        notes = numbers(boards[(*where, stop["keyboard"])]["notes_midi"])
        by_note, open_end = pipes_by_note(rank)
        for place, k in enumerate(range(int(row["first_key"]), int(row["last_key"]) + 1)):
            if k > len(notes):
                continue
            if row["pipes"]:
                asked = numbers(row["pipes"])
                pipe = asked[place] if place < len(asked) else 0
            else:
                note = notes[k - 1] + int(row["interval_semitones"])
                pipe = by_note.get(note, 0) if open_end is None else note - open_end + 1
            if pipe >= 1 and (not rank["pipes"] or pipe <= int(rank["pipes"])):
                calls[where].add((row["stop"], k, row["rank"], pipe))
    answers = {}
    for where, found in calls.items():
        callers = defaultdict(set)
        for stop_code, _key, rank_code, pipe in found:
            callers[rank_code, pipe].add(stop_code)
        answers[where] = {
            "calls": len(found),
            "pipes_called": len(callers),
            "pipes_shared": sum(len(one) > 1 for one in callers.values()),
            "depth": max(map(len, callers.values()), default=0),
        }
    return answers


def printed(demo) -> dict[tuple[str, str], dict[str, int]]:
    """What the pages print: the answers of the program."""
    return {
        (organ.reference, spec.code): {
            name: spec.answer[name] for name in ("calls", "pipes_called", "pipes_shared", "depth")
        }
        for organ in demo.instruments
        for spec in organ.specifications
    }


def test_the_tables_give_the_sums_that_the_pages_print(demo):
    wanted = printed(demo)
    assert wanted and any(one["pipes_shared"] for one in wanted.values())
    assert sums(demo.files) == wanted


def test_the_sums_printed_in_the_tables_are_the_same(demo):
    told = {
        (row["instrument"], row["specification"]): {
            "calls": int(row["computed_calls"]),
            "pipes_called": int(row["computed_pipes_called"]),
            "pipes_shared": int(row["computed_pipes_shared"]),
            "depth": int(row["computed_depth_stops"]),
        }
        for row in read(demo.files, "specifications")
    }
    assert told == printed(demo)


def test_a_scheme_written_wrongly_would_be_noticed(demo):
    wrong = demo.files["stop_ranks.csv"].replace(b",12,,", b",11,,")
    assert wrong != demo.files["stop_ranks.csv"]
    assert sums(demo.files | {"stop_ranks.csv": wrong}) != printed(demo)


def test_the_demo_has_short_octaves_lists_and_intervals_to_try_it_on(demo):
    boards, rows = read(demo.files, "keyboards"), read(demo.files, "stop_ranks")
    gapped = [
        one
        for one in boards
        if len(set(map(int.__sub__, numbers(one["notes_midi"])[1:], numbers(one["notes_midi"])))) > 1
    ]
    assert gapped
    assert {bool(row["pipes"]) for row in rows} == {True, False}
    assert all(bool(row["pipes"]) != bool(row["interval_semitones"]) for row in rows)
