"""The command read_stoplist: tables, JSON, standard input, what it refuses."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

LIST = "GO (C–f3)\nMontre 8\nQuinte 3\n[Trompette 8]\nPéd. C–d1\nSoubasse 16 (emprunt GO)\nII/I\nTremblant\n"


def run(*arguments: Any, **options: Any) -> str:
    """What the command prints."""
    out = io.StringIO()
    call_command("read_stoplist", *arguments, stdout=out, **options)
    return out.getvalue()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A stoplist in a file."""
    path = tmp_path / "list.txt"
    path.write_text(LIST, "utf-8")
    return path


def test_tables_first_then_what_is_asked(file: Path) -> None:
    text = run(str(file))
    understood, asked = text.split("ASKED")
    assert understood.startswith("UNDERSTOOD")
    assert "54 keys, C to f³" in understood
    assert "old label: 3 on a quint stands" in understood
    assert "pipes of GO" in understood
    assert "line 4, column 1: “[Trompette 8]”" in asked
    assert "prepared · or missing" in asked


def test_json_is_one_document_with_the_fields_of_the_design(file: Path) -> None:
    document = json.loads(run(str(file), "--json"))
    assert set(document) == {"divisions", "couplers", "accessories", "questions"}
    first = document["divisions"][0]
    assert set(first) == {"name", "kind", "compass", "stops"}
    assert first["compass"] == {"low": 36, "high": 89, "keys": 54, "missing": [], "text": "54 keys, C to f³"}
    assert document["couplers"] == [{"line": 7, "text": "II/I", "from": "I", "to": "II", "shift": 0}]
    assert document["accessories"] == [{"line": 8, "text": "Tremblant"}]
    (question,) = document["questions"]
    assert set(question) == {"line", "column", "text", "why", "candidates"}


def test_standard_input_and_language(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"Bourdon 8 (ab B)"), "utf-8"))
    document = json.loads(run("-", "--json", "--language", "de"))
    assert document["divisions"][0]["stops"][0]["from_note"] == 46


def test_a_list_without_questions_says_so(tmp_path: Path) -> None:
    path = tmp_path / "list.txt"
    path.write_bytes(b"\xef\xbb\xbfMontre 8\r\n")
    assert "Nothing is asked." in run(str(path))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"Montre 8\nFl\xfbte 8", "line 2: not UTF-8"),
        (b"\xff\xfeM\x00", "line 1: not UTF-8"),
        (b"Montre\x00 8", "zero byte"),
        (b"a" * (8 * 1024 * 1024 + 1), "more than 8 MB"),
    ],
)
def test_what_is_no_text_is_refused_in_one_line(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "list.txt"
    path.write_bytes(content)
    with pytest.raises(CommandError, match=said) as refused:
        run(str(path))
    assert refused.value.returncode == 2
    assert "\n" not in str(refused.value)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read") as refused:
        run(str(tmp_path / "none.txt"))
    assert refused.value.returncode == 2
