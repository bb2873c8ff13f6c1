"""Every other measure of the statistics, counted again by the plainest means: sets of (stop, key, rank, pipe).

Nothing is shared with the sums: exported schemes and rows of the fixture are read as JSON and gone through.
"""

from __future__ import annotations

import csv
import json
import math
from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest

from inventory.organ.repertoire import chorales
from tests.publishing.catalogue.test_recounted import fixture_rows, pipes_at

UNIFIED = {
    "octave extension", "derived mutation", "duplex", "transmission", "transmission with extension",
}  # fmt: skip


class Organ:
    """The calls of one exported scheme, one by one."""

    def __init__(self, scheme: dict) -> None:
        self.scheme = scheme
        self.boards = {one["id"]: one for one in scheme["keyboards"]}
        self.ranks = {one["id"]: one for one in scheme["ranks"]}
        self.stops = {one["id"]: one for one in scheme["stops"]}
        self.calls: set[tuple[str, int, str, int]] = set()
        self.of_segment: list[set[tuple[int, str, int]]] = []
        for segment in scheme["segments"]:
            asked = set() if self._silent(segment) else set(self._asked(segment))
            self.of_segment.append(asked)
            self.calls |= {(segment["stop"], key, rank, pipe) for key, rank, pipe in asked}
        self.callers: dict[tuple[str, int], set[str]] = defaultdict(set)
        for stop, _key, rank, pipe in self.calls:
            self.callers[rank, pipe].add(stop)
        self.shared = {pipe for pipe, stops in self.callers.items() if len(stops) > 1}
        self.shared_ranks = {rank for rank, _pipe in self.shared}

    def _silent(self, segment: dict) -> bool:
        return self.stops[segment["stop"]].get("state") == "prepared"

    def notes(self, board: str) -> list[int]:
        one = self.boards[board]
        return one.get("notes") or list(range(one["low"], one["low"] + one["keys"]))

    def _asked(self, segment: dict):
        stop, rank = self.stops[segment["stop"]], self.ranks[segment["rank"]]
        notes = self.notes(stop["keyboard"])
        low, high = stop.get("keys") or (1, len(notes))
        first, last = segment["keys"]
        for key in range(first, min(last, len(notes)) + 1):
            if not low <= key <= high:
                continue
            if "pipes" in segment:
                found = [segment["pipes"][key - first]]
            elif "shift" in segment:
                found = [key + segment["shift"]]
            else:
                found = pipes_at(rank, notes[key - 1] + segment["interval"])
            yield from ((key, rank["id"], pipe) for pipe in found if 1 <= pipe <= (rank["pipes"] or 10**6))

    def families(self) -> list[set[str]]:
        """Stops joined by shared pipes, by walking from one to the next."""
        joined: dict[str, set[str]] = defaultdict(set)
        for pipe in self.shared:
            for stop in self.callers[pipe]:
                joined[stop] |= self.callers[pipe]
        found: list[set[str]] = []
        for start in joined:
            if any(start in family for family in found):
                continue
            family, waiting = {start}, [start]
            while waiting:
                for other in joined[waiting.pop()] - family:
                    family.add(other)
                    waiting.append(other)
            found.append(family)
        return found

    def key_of(self, stop: str) -> dict[tuple[str, int], set[int]]:
        keys: dict[tuple[str, int], set[int]] = defaultdict(set)
        for caller, key, rank, pipe in self.calls:
            if caller == stop:
                keys[rank, pipe].add(key)
        return keys


@pytest.fixture(scope="module")
def organs(demo_site) -> dict[str, Organ]:
    return {
        path.name.removesuffix(".scheme.json"): Organ(json.loads(path.read_text()))
        for path in sorted((demo_site / "instruments").glob("*.scheme.json"))
    }


@pytest.fixture(scope="module")
def sharing(organs) -> dict[str, Organ]:
    return {reference: organ for reference, organ in organs.items() if organ.shared}


@cache
def table(site: Path) -> dict[tuple[str, str], dict[str, tuple[float, float]]]:
    """The published contributions, read once: measure and key → reference → count and of."""
    found: dict[tuple[str, str], dict[str, tuple[float, float]]] = defaultdict(dict)
    with (site / "statistics" / "as-found-contributions.csv").open(newline="") as lines:
        for row in csv.DictReader(lines):
            if float(row["of"]):
                found[row["measure"], row["key"]][row["reference"]] = float(row["count"]), float(row["of"])
    return found


def told(site: Path, measure: str, key: str) -> dict[str, tuple[float, float]]:
    return table(site).get((measure, key), {})


def test_control_a_scheme_without_one_of_its_segments_is_counted_otherwise(sharing, demo_site):
    scheme = json.loads(json.dumps(sharing["ORG-0041"].scheme))
    scheme["segments"] = [one for one in scheme["segments"] if one["rank"] != "tibia"]
    assert float(len(Organ(scheme).families())) < told(demo_site, "families", "families")["ORG-0041"][0]


def test_stops_per_rank_and_families(sharing, demo_site):
    expected = {
        reference: (
            float(len({(stop, rank) for stop, _key, rank, _pipe in organ.calls})),
            float(len({rank for _stop, _key, rank, _pipe in organ.calls})),
        )
        for reference, organ in sharing.items()
    }
    assert told(demo_site, "ranks", "stops-per-rank") == expected
    families = {reference: (float(len(organ.families())), 1.0) for reference, organ in sharing.items()}
    assert told(demo_site, "families", "families") == families


def test_the_pedal_s_share(organs, demo_site):
    expected = {}
    for reference, organ in organs.items():
        pedal = [s for s, one in organ.stops.items() if organ.boards[one["keyboard"]].get("kind") == "pedal"]
        shares = [s for s in pedal if any(s in organ.callers[pipe] for pipe in organ.shared)]
        if pedal:
            expected[reference] = (float(len(shares)), float(len(pedal)))
    assert told(demo_site, "pedal", "pedal-stops") == expected and len(expected) > 10


def test_families_of_sound_as_the_fixture_names_them(organs, demo_site):
    current = {
        (row["instrument"][0], row["code"])
        for row in fixture_rows("inventory.specification")
        if row.get("is_current")
    }
    expected: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(lambda: [0.0, 0.0]))
    for row in fixture_rows("inventory.stop"):
        reference, specification = row["specification"]
        if reference in organs and (reference, specification) in current and row.get("family"):
            organ = organs[reference]
            pair = expected[row["family"][-1]][reference]
            pair[0] += any(row["code"] in organ.callers[pipe] for pipe in organ.shared)
            pair[1] += 1
    words = {row["code"]: row["names"]["en"] for row in vocabulary() if row["vocabulary"] == "family"}
    assert len(expected) > 5
    for family, pairs in expected.items():
        assert told(demo_site, "sounds", words[family]) == {r: tuple(p) for r, p in pairs.items()}, family


def vocabulary() -> list[dict]:
    from tests.publishing.conftest import ROOT

    rows = json.loads((ROOT / "fixtures" / "vocabularies.json").read_text())
    return [row["fields"] for row in rows if row["model"] == "inventory.term"]


def test_devices_and_evidence_of_what_is_shared(sharing, demo_site):
    devices: dict[str, set[str]] = defaultdict(set)
    evidence: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for reference, organ in sharing.items():
        for segment, asked in zip(organ.scheme["segments"], organ.of_segment, strict=True):
            if segment["rank"] in organ.shared_ranks:
                devices[segment.get("device", "")].add(reference)
            if any((rank, pipe) in organ.shared for _key, rank, pipe in asked):
                evidence[segment.get("evidence", "")][reference] += 1
    for device, references in devices.items():
        counted = {r for r, (count, _of) in told(demo_site, "devices", device).items() if count}
        assert counted == references, device
        assert set(told(demo_site, "devices", device)) == set(sharing)
    for kind, counts in evidence.items():
        found = {r: count for r, (count, _of) in told(demo_site, "evidence", kind).items() if count}
        assert found == counts, kind


def meetings(organ: Organ) -> set[tuple[str, str, int, bool]]:
    """Pairs of stops that call one pipe: both, the semitones between their keys, whether on one keyboard.

    Pipes that a stop has at several keys, or that speak several notes, are left to the sums: folding back.
    """
    found = set()
    for rank, pipe in organ.shared:
        if len((organ.ranks[rank].get("tones") or {}).get(str(pipe), ())) > 1:
            continue
        stops = sorted(organ.callers[rank, pipe], key=list(organ.stops).index)
        for place, one in enumerate(stops):
            for other in stops[place + 1 :]:
                keys, others = organ.key_of(one)[rank, pipe], organ.key_of(other)[rank, pipe]
                if len(keys) == len(others) == 1:
                    boards = organ.stops[one]["keyboard"], organ.stops[other]["keyboard"]
                    apart = organ.notes(boards[1])[min(others) - 1] - organ.notes(boards[0])[min(keys) - 1]
                    found.add((one, other, apart, boards[0] == boards[1]))
    return found


def folds(organ: Organ) -> bool:
    """Whether some stop's pipes stop rising with its keys, or are asked twice by it: then plain pairs say too little."""
    for stop in organ.stops:
        lifts = set()
        for (rank, pipe), keys in organ.key_of(stop).items():
            lifts.add((rank, pipe - min(keys)))
            if len(keys) > 1:
                return True
        if len({lift for _rank, lift in lifts}) > len({rank for rank, _lift in lifts}):
            return True
    return False


def test_intervals_and_patterns_of_instruments_without_foldbacks_and_gaps(sharing, demo_site):
    plain = {r: o for r, o in sharing.items() if not folds(o)}
    assert len(plain) >= 10
    for reference, organ in plain.items():
        pairs = meetings(organ)
        intervals = {str(abs(apart)) for _one, _other, apart, _same in pairs}
        told_here = {
            key for key in map(str, range(60)) if told(demo_site, "intervals", key).get(reference, (0,))[0]
        }
        assert told_here == intervals, reference
        kinds = set()
        for one, other, apart, same in pairs:
            boards = [organ.boards[organ.stops[s]["keyboard"]].get("kind", "manual") for s in (one, other)]
            if same and apart:
                kinds.add("octave extension" if apart % 12 == 0 else "derived mutation")
            elif not same and apart == 0:
                kinds.add("duplex" if boards[0] == boards[1] else "transmission")
            elif not same:
                kinds.add("transmission with extension")
        named = {key for key in UNIFIED if told(demo_site, "patterns", key).get(reference, (0,))[0]}
        assert named == kinds, reference
        unified = told(demo_site, "instruments", "unified")[reference]
        assert unified == (float(bool(kinds)), 1.0), reference


def test_common_basses_and_their_length(sharing, demo_site):
    """Two stops of one keyboard on the same pipes for the keys from the lowest both have, and not for all."""
    plain = {r: o for r, o in sharing.items() if not folds(o)}
    counted = 0
    for reference, organ in plain.items():
        lengths = []
        names = list(organ.stops)
        for place, one in enumerate(names):
            for other in names[place + 1 :]:
                if organ.stops[one]["keyboard"] != organ.stops[other]["keyboard"]:
                    continue
                by_rank: dict[str, set[int]] = defaultdict(set)
                mine, theirs = organ.key_of(one), organ.key_of(other)
                for pipe in mine.keys() & theirs.keys():
                    for key in mine[pipe] & theirs[pipe]:
                        by_rank[pipe[0]].add(key)
                low = max((organ.stops[s].get("keys") or (1, 0))[0] for s in (one, other))
                size = len(organ.notes(organ.stops[one]["keyboard"]))
                lengths += [
                    len(keys)
                    for keys in by_rank.values()
                    if keys == set(range(low, low + len(keys))) and max(keys) < size
                ]
        assert bool(told(demo_site, "basses", "common-bass")[reference][0]) == bool(lengths), reference
        found = told(demo_site, "basses", "common-bass-keys").get(reference, (0.0, 0.0))
        assert found == (float(sum(lengths)), float(len(lengths))), reference
        counted += len(lengths)
    assert counted >= 2


def test_mistuning_of_derived_mutations_from_fifths_and_thirds(demo_site):
    """Equal: 100·interval − 1200·log2(harmonic). Quarter comma: eleven fifths a quarter comma narrow from E♭."""
    found = told(demo_site, "mistuning", "mistuning")
    quint = abs(1900 - 1200 * math.log2(3))
    assert found["ORG-0041"] == (pytest.approx(quint, abs=1e-6), 1.0)  # a twelfth
    assert found["ORG-0045"] == (pytest.approx(quint, abs=1e-6), 1.0)  # a quint of 10 2/3
    comma = 1200 * math.log2(81 / 80)
    narrow = 1200 * math.log2(3 / 2) - comma / 4
    wolf = 8400 - 11 * narrow
    pure = 1200 * math.log2(3 / 2)
    mean = (11 * abs(narrow - pure) + abs(wolf - pure)) / 12
    assert found["ORG-0017"] == (pytest.approx(mean, abs=1e-6), 1.0)
    assert len(found) == 3


def test_coincidence_with_all_stops_of_a_family_drawn_by_sets(sharing, demo_site):
    """Every second simultaneity would not do: all of them, for three instruments of different kinds."""
    found = told(demo_site, "repertoire", "coincidence")
    repertoire = list(zip(chorales().note_sets(), chorales().weights.tolist(), strict=True))
    for reference in ("ORG-0001", "ORG-0017", "ORG-0024"):
        organ = sharing[reference]
        calls = coincide = 0.0
        for family in organ.families():
            for board in organ.boards:
                stops = [s for s in organ.stops if s in family and organ.stops[s]["keyboard"] == board]
                if len(stops) < 2:
                    continue
                place: dict[int, int] = {}
                for key, note in enumerate(organ.notes(board), start=1):
                    place.setdefault(note, key)
                asks: dict[int, list[tuple[str, int]]] = defaultdict(list)
                for stop, key, rank, pipe in organ.calls:
                    if stop in stops:
                        asks[key].append((rank, pipe))
                for chord, weight in repertoire:
                    made = [pipe for note in chord if note in place for pipe in asks[place[note]]]
                    calls += weight * len(made)
                    coincide += weight * (len(made) - len(set(made)))
        assert found[reference] == (coincide, calls), reference


def test_the_top_of_higher_stops_speaks_or_is_silent(sharing, demo_site):
    """Added or silent: whether the highest key of the higher stop of an extension has a pipe."""
    plain = {r: o for r, o in sharing.items() if not folds(o)}
    checked = 0
    for reference, organ in plain.items():
        higher = set()
        for one, other, apart, same in meetings(organ):
            if same and apart:
                higher.add(other if apart < 0 else one)
        silent = 0
        for stop in higher:
            last = (organ.stops[stop].get("keys") or (1, len(organ.notes(organ.stops[stop]["keyboard"]))))[1]
            silent += not any(caller == stop and key == last for caller, key, _rank, _pipe in organ.calls)
        if higher:
            assert told(demo_site, "trebles", "silent")[reference] == (float(silent), float(len(higher))), (
                reference
            )
            added = told(demo_site, "trebles", "added")[reference]
            assert added == (float(len(higher) - silent), float(len(higher))), reference
            checked += 1
    assert checked >= 4
