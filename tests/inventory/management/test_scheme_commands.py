"""evaluate_scheme and sound as people type them."""

import io
import json
import subprocess
import sys
import time
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

ROOT = Path(__file__).resolve().parents[3]
SCHEMES = ROOT / "tests" / "inventory" / "organ" / "schemes"
TIERCE = str(SCHEMES / "tierce-too-high.json")
TWO = str(SCHEMES / "two-pitches-one-row.json")


def run(*arguments, **options):
    out, err = io.StringIO(), io.StringIO()
    call_command(*arguments, stdout=out, stderr=err, **options)
    return out.getvalue(), err.getvalue()


def test_the_answer_is_one_document_with_the_fields_of_the_design():
    out, err = run("evaluate_scheme", TIERCE, "--json")
    answer = json.loads(out)
    assert err == "" and out.count("\n") == 1
    assert list(answer) == [
        "calls", "pipes_recorded", "pipes_called", "pipes_shared", "pipes_own", "pipes_repeated", "pipes_uncalled",
        "depth", "economy", "stops", "families", "valves", "findings",
    ]  # fmt: skip
    # values.md §1, the trap (DERIVED).
    assert (answer["calls"], answer["pipes_shared"], answer["stops"][4]["silent"]) == (301, 85, 4)
    assert list(answer["stops"][0]) == ["id", "keys", "own", "shared", "silent", "sharing", "partners"]
    assert list(answer["families"][0]) == ["stops", "ranks", "patterns", "signature"]
    assert list(answer["findings"][0]) == ["code", "severity", "message", "where"]


def test_the_table_reads_in_words():
    out, _ = run("evaluate_scheme", TIERCE)
    assert "Calls (stop, key, pipe)" in out and "4 top keys silent" in out and "octave extension" in out
    assert max(len(line) for line in out.splitlines()) < 200


def test_sound_answers_with_pipes_and_their_calls():
    out, _ = run("sound", TWO, "--stops", "flute8,flute4", "--keys", "I:25,37", "--json")
    answer = json.loads(out)
    assert (answer["calls"], answer["coincide"], answer["cannot_sound_together"], len(answer["pipes"])) == (
        4,
        1,
        0,
        3,
    )
    assert answer["pipes"][1] == {
        "rank": "stopped",
        "pipe": 37,
        "calls": [{"stop": "flute4", "key": 25}, {"stop": "flute8", "key": 37}],
    }
    plain, _ = run("sound", TWO, "--stops", "flute8,flute4", "--keys", "I:25,37")
    assert "4 calls · 3 pipes sound · 1 calls coincide" in plain and "c²" in plain


@pytest.mark.parametrize(
    "words",
    [
        ["--keys", "I:1,13;II:5"],
        ["--keys", "I:1,13 II:5"],
        ["--keys", "I:1", "--keys", "I:13", "--keys", "II:5"],
        ["--keys", "I:1,13", "II:5"],
    ],
)
def test_keys_of_several_keyboards_may_be_written_in_several_ways(words):
    ten = str(SCHEMES / "ten-knobs-three-rows.json")
    out, _ = run("sound", ten, "--stops", "I.flute8,II.flute8", *words, "--json")
    assert json.loads(out)["calls"] == 3
    last, _ = run("sound", "--stops", "I.flute8", "--stops", "II.flute8", *words, ten, "--json")
    assert last == out


@pytest.mark.parametrize(
    "arguments",
    [
        ["sound", TWO, "--stops", "nobody", "--keys", "I:1"],
        ["sound", TWO, "--stops", "flute8", "--keys", "I:62"],
        ["sound", TWO, "--stops", "flute8", "--keys", "Z:1"],
        ["sound", TWO, "--stops", "flute8", "--keys", "I"],
        ["sound", TWO, "--stops", "flute8", "--keys", "I:0"],
        ["sound", "--stops", "flute8", "--keys", "I:1"],
        ["evaluate_scheme", "no/such/file.json"],
        ["evaluate_scheme", "no-such-file.json"],
        ["evaluate_scheme", str(SCHEMES)],
        ["evaluate_scheme", "a\nb c"],
        ["evaluate_scheme", "x" * 5000],
    ],
)
def test_what_cannot_be_answered_ends_with_status_two_and_one_line(arguments):
    with pytest.raises(CommandError) as refused:
        run(*arguments)
    assert refused.value.returncode == 2
    assert "\n" not in str(refused.value) and ": " in str(refused.value)


@pytest.mark.django_db
def test_a_reference_nobody_has_is_refused_with_what_to_do():
    with pytest.raises(CommandError) as refused:
        run("evaluate_scheme", "NOBODY-1")
    assert refused.value.returncode == 2 and "NOBODY-1" in str(refused.value)


def bad_files():
    good = (SCHEMES / "two-pitches-one-row.json").read_text(encoding="utf-8")
    negative = json.loads(good)
    negative["segments"][0]["keys"] = [-1, 61]
    bad = {
        "unknown id": good.replace('"rank": "stopped"', '"rank": "other"', 1),
        "negative key": json.dumps(negative),
        "banana": good.replace('"footage": "8"', '"footage": "banana"'),
        "1e400": good.replace("61", "1e400", 1),
        "brackets": "[" * 300_000,
        "empty": "",
        "null": "null",
    }
    assert good not in bad.values()
    return {name: text.encode() for name, text in bad.items()} | {"binary": bytes(range(256)) * 20}


@pytest.mark.parametrize("name", list(bad_files()))
def test_bad_files_end_with_status_two_one_line_and_no_traceback(name, tmp_path):
    # Issue 2, "True at the end".
    path = tmp_path / "bad.json"
    path.write_bytes(bad_files()[name])
    with pytest.raises(CommandError) as refused:
        run("evaluate_scheme", str(path))
    line = str(refused.value)
    assert (
        refused.value.returncode == 2 and line.startswith(str(path)) and "\n" not in line and len(line) < 500
    )


def test_as_typed_a_bad_file_gives_one_line_in_a_moment(tmp_path):
    path = tmp_path / "deep.json"
    path.write_bytes(b"[" * 300_000)
    started = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "manage.py", "evaluate_scheme", str(path), "--json"],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2 and done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1 and "Traceback" not in done.stderr
    assert (
        time.perf_counter() - started < 20
    )  # starting Django on a loaded machine; reading takes milliseconds


def test_standard_input_and_notes_on_standard_error(monkeypatch):
    document = json.loads((SCHEMES / "two-pitches-one-row.json").read_text(encoding="utf-8"))
    document["colour"] = "red"

    class Input:
        buffer = io.BytesIO(json.dumps(document).encode())

    monkeypatch.setattr(sys, "stdin", Input)
    out, err = run("evaluate_scheme", "-", "--json")
    assert json.loads(out)["calls"] == 122
    assert err == "standard input: the file: not read, as no such field is known: 'colour'\n"
