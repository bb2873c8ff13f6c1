"""trace_faults as people type it."""

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

ROOT = Path(__file__).resolve().parents[3]
SCHEME = {
    "keyboards": [{"id": "I", "low": 36, "keys": 24}],
    "ranks": [{"id": "R", "pipes": 24, "low": 36}, {"id": "Q", "pipes": 24, "low": 36}],
    "stops": [
        {"id": "A", "keyboard": "I", "name": "Flute", "footage": "8"},
        {"id": "B", "keyboard": "I", "name": "Flute", "footage": "4"},
        {"id": "D", "keyboard": "I", "name": "String", "footage": "8"},
    ],
    "segments": [
        {"stop": "A", "keys": [1, 24], "rank": "R", "shift": 0, "device": "flap-valves"},
        {"stop": "B", "keys": [1, 12], "rank": "R", "shift": 12, "device": "flap-valves"},
        {"stop": "D", "keys": [1, 24], "rank": "Q", "shift": 0},
    ],
    "chests": [{"id": "c", "kind": "slider", "stops": ["A", "B", "D"], "layout": "octaves together"}],
}
TRIALS = [
    {
        "stops": ["A", "B", "D"],
        "keys": [{"keyboard": "I", "key": 5}],
        "heard": [{"stop": "D", "key": 5, "as": "speaks"}],
        "extra": [{"rank": "Q", "pipe": 17, "strength": "faint"}],
    }
]


@pytest.fixture
def files(tmp_path):
    scheme, trials = tmp_path / "scheme.json", tmp_path / "trials.json"
    scheme.write_text(json.dumps(SCHEME), encoding="utf-8")
    trials.write_text(json.dumps(TRIALS), encoding="utf-8")
    return str(scheme), str(trials)


def run(*arguments):
    out, err = io.StringIO(), io.StringIO()
    call_command("trace_faults", *arguments, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_the_answer_is_one_document_with_the_fields_of_the_design(files):
    out, err = run(*files, "--json")
    answer = json.loads(out)
    assert err == "" and out.count("\n") == 1
    assert list(answer) == ["size", "count", "groups", "next_trial", "unexplained", "suggested_cause"]
    assert (answer["size"], answer["count"], answer["unexplained"]) == (1, "5", [])
    (group,) = answer["groups"]
    assert list(group) == ["size", "count", "explanations"] and len(group["explanations"]) == 5
    failures = [one["failures"][0] for one in group["explanations"]]
    assert {"part": "valve:A:17", "fails": "open", "same_as": []} in failures
    assert list(answer["next_trial"]) == ["stops", "keys", "splits"]


def test_words_begin_with_cautions_and_never_say_the_fault_is(files):
    out, _ = run(*files)
    assert out.splitlines()[0].startswith("Before anything else")
    assert "consent" in out and "electrician" in out and "force" in out
    assert out.index("consent") < out.index("consistent with") < out.index("Next trial")
    assert "the fault is" not in out and "the non-return valve of Flute (A), key 17 (e) lets wind back" in out


def test_own_odds_are_read_and_bad_ones_refused(files, tmp_path):
    odds = tmp_path / "odds.json"
    odds.write_text('{"odds": {"valve": {"open": 1}}}', encoding="utf-8")
    first = json.loads(run(*files, "--odds", str(odds), "--json")[0])["groups"][0]["explanations"][0]
    assert first["failures"][0]["part"] == "valve:A:17" and first["odds"] == 1.0
    odds.write_text('{"odds": {"valve": {"open": 7}}}', encoding="utf-8")
    with pytest.raises(CommandError) as refusal:
        run(*files, "--odds", str(odds))
    assert refusal.value.returncode == 2


@pytest.mark.parametrize(
    "trials",
    ["", "null", "[", "[" * 300_000, '[{"stops": ["Z"], "keys": [], "heard": []}]', "[1e400]", "{}"],
)
def test_what_cannot_be_read_ends_with_two_and_one_line(files, tmp_path, trials):
    bad = tmp_path / "bad.json"
    bad.write_text(trials, encoding="utf-8")
    with pytest.raises(CommandError) as refusal:
        run(files[0], str(bad))
    assert refusal.value.returncode == 2
    assert str(bad) in str(refusal.value) and "\n" not in str(refusal.value)


def test_unknown_fields_are_noted_on_standard_error(files, tmp_path):
    noted = tmp_path / "noted.json"
    noted.write_text(json.dumps([TRIALS[0] | {"weather": "dry"}]), encoding="utf-8")
    out, err = run(files[0], str(noted), "--json")
    assert "weather" in err and json.loads(out)["size"] == 1


def test_contradicting_trials_are_named_from_one(files, tmp_path):
    note = {"stops": ["D"], "keys": [{"keyboard": "I", "key": 1}]}
    both = [note | {"heard": [{"stop": "D", "key": 1, "as": how}]} for how in ("speaks", "silent")]
    path = tmp_path / "both.json"
    path.write_text(json.dumps(both), encoding="utf-8")
    answer = json.loads(run(files[0], str(path), "--json")[0])
    assert answer["unexplained"] == [1, 2] and answer["count"] == "0" and answer["groups"] == []
    assert "1, 2" in run(files[0], str(path))[0]


def test_a_sound_chest_reads_in_words(files, tmp_path):
    path = tmp_path / "none.json"
    path.write_text("[]", encoding="utf-8")
    assert "consistent with a sound chest" in run(files[0], str(path))[0]


def test_trials_come_from_standard_input_and_not_both(files):
    command = [sys.executable, "manage.py", "trace_faults", files[0], "-", "--json"]
    done = subprocess.run(
        command, input=json.dumps(TRIALS), capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert json.loads(done.stdout)["count"] == "5"
    with pytest.raises(CommandError) as refusal:
        run("-", "-")
    assert refusal.value.returncode == 2
