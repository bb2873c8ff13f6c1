"""Every example in the documents for developers and conservators is run; every exchange file there is read."""

import doctest
import io
import json
import re
from pathlib import Path

import pytest
from django.core.management import call_command

FOLDER = Path(__file__).resolve().parent.parent / "docs"
WITH_EXAMPLES = ("sums.md", "nets-and-faults.md", "stoplists.md", "danger-list.md")


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_the_examples_of_a_document_hold(name):
    failed, tried = doctest.testfile(str(FOLDER / name), module_relative=False, encoding="utf-8")
    assert failed == 0 and tried >= 4


def files_of(kind: str) -> list[str]:
    """Blocks of JSON of one kind in exchange-files.md: the sentence before each says which it is."""
    text = (FOLDER / "exchange-files.md").read_text(encoding="utf-8")
    return re.findall(rf"<!-- {kind} -->\n```json\n(.+?)\n```", text, re.S)


def ask(command: str, *arguments: str) -> dict:
    out, err = io.StringIO(), io.StringIO()
    call_command(command, *arguments, "--json", stdout=out, stderr=err)
    assert err.getvalue() == "", err.getvalue()
    return json.loads(out.getvalue())


def holds(answer, part, where="answer"):
    """Whatever the document prints of an answer is in the real one, value by value."""
    if isinstance(part, dict):
        for name, value in part.items():
            assert name in answer, f"{where} has no {name}"
            holds(answer[name], value, f"{where}.{name}")
    elif isinstance(part, list):
        assert len(answer) >= len(part), where
        for place, value in enumerate(part):
            holds(answer[place], value, f"{where}[{place}]")
    else:
        assert answer == part, where


@pytest.fixture
def written(tmp_path):
    """The scheme, the trials and the stoplist of the document, as files."""
    found = {}
    for kind in ("scheme", "trials"):
        (block,) = files_of(kind)
        found[kind] = tmp_path / f"{kind}.json"
        found[kind].write_text(block, encoding="utf-8")
    text = (FOLDER / "exchange-files.md").read_text(encoding="utf-8")
    (typed,) = re.findall(r"<!-- stoplist -->\n```text\n(.+?)\n```", text, re.S)
    found["stoplist"] = tmp_path / "typed.txt"
    found["stoplist"].write_text(typed, encoding="utf-8")
    return found


@pytest.mark.parametrize(
    "kind, command, files, arguments",
    [
        ("evaluated", "evaluate_scheme", ["scheme"], []),
        ("sounded", "sound", ["scheme"], ["--stops", "flute8,flute4", "--keys", "I:1,13"]),
        ("traced", "trace_faults", ["scheme", "trials"], []),
        ("read", "read_stoplist", ["stoplist"], []),
    ],
)
def test_the_answers_in_exchange_files_are_those_of_the_commands(written, kind, command, files, arguments):
    (block,) = files_of(kind)
    answer = ask(command, *(str(written[file]) for file in files), *arguments)
    part = json.loads(block)
    holds(answer, part)
    assert set(part) == set(answer), "the document must name every field of the answer"
