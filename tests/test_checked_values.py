"""Every test that docs/checked-values.md names exists, and every row names one."""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LIST = (ROOT / "docs" / "checked-values.md").read_text(encoding="utf-8")
NAMED = re.findall(r"`([\w/]+\.py)::(test_\w+)`", LIST)


def names_in(path: Path) -> set[str]:
    return {
        node.name
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }


def test_every_named_test_exists():
    assert len(NAMED) >= 50
    missing = [
        f"{file}::{name}"
        for file, name in NAMED
        if not (ROOT / "tests/inventory" / file).exists()
        or name not in names_in(ROOT / "tests/inventory" / file)
    ]
    assert not missing


def test_every_row_of_the_list_names_a_test():
    rows = [line for line in LIST.splitlines() if line.startswith("| ") and not line.startswith("| value")]
    assert len(rows) >= 50 and not [row for row in rows if "::test_" not in row]
