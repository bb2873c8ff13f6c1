"""The directions of the house: publishing → inventory → organ, estimates; never back."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
STANDARD = sys.stdlib_module_names
SOURCES = sorted(
    path
    for folder in ("inventory", "publishing")
    for path in (ROOT / folder).rglob("*.py")
    if "migrations" not in path.parts
)
DECIDE_NOTHING = ("management/commands/", "admin/", "api/", "curating/", "desk/")


def imports(path: Path, root: Path = ROOT) -> set[str]:
    """Full names of everything a module imports, relative imports resolved."""
    package = list(path.relative_to(root).with_suffix("").parts)
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                # One dot is the package of the module; __init__ counts as its own package.
                up = node.level - (1 if path.name == "__init__.py" else 0)
                folder = package[:-1] if path.name == "__init__.py" else package
                base = ".".join([*folder[: len(folder) - up], *([node.module] if node.module else [])])
            found |= {f"{base}.{alias.name}" for alias in node.names} | {base}
    return found


def top(name: str) -> str:
    return name.partition(".")[0]


def broken(rule: str, path: Path, root: Path = ROOT) -> list[str]:
    """Imports of one module that break a rule."""
    names = imports(path, root)
    allowed = {
        "organ": lambda n: (
            top(n) in STANDARD | {"numpy"} or n.startswith("inventory.organ") or n == "inventory"
        ),
        "estimates": lambda n: (
            top(n) in STANDARD | {"numpy", "scipy"} or n.startswith("inventory.estimates") or n == "inventory"
        ),
        "inventory": lambda n: top(n) != "publishing",
        "disclosure": lambda n: (
            not n.startswith(("publishing.catalogue", "publishing.statistics", "publishing.briefs"))
        ),
        "statistics": lambda n: (
            not n.startswith(("publishing.catalogue", "inventory.models", "inventory.actions"))
        ),
    }[rule]
    return sorted(name for name in names if not allowed(name))


@pytest.mark.parametrize(
    "rule, folder",
    [
        ("organ", "inventory/organ"),
        ("estimates", "inventory/estimates"),
        ("inventory", "inventory"),
        ("disclosure", "publishing/disclosure"),
        ("statistics", "publishing/statistics"),
    ],
)
def test_imports_go_one_way(rule, folder):
    wrong = {
        str(path.relative_to(ROOT)): broken(rule, path)
        for path in SOURCES
        if path.is_relative_to(ROOT / folder) and broken(rule, path)
    }
    assert not wrong


def test_a_module_that_breaks_a_rule_is_found(tmp_path):
    bad = tmp_path / "inventory" / "organ" / "bad.py"
    bad.parent.mkdir(parents=True)
    bad.write_text("import math\nimport django\nfrom ..models import Stop\nfrom . import schemes\n")
    found = broken("organ", bad, tmp_path)
    assert "django" in found and "inventory.models.Stop" in found
    assert not [name for name in found if name.startswith(("inventory.organ", "math"))]


def test_only_disclosure_reads_the_records_for_the_public():
    """Catalogue and statistics know records only as disclosure's values; closed lists of words are no records."""
    wrong = []
    for path in SOURCES:
        if not path.is_relative_to(ROOT / "publishing") or path.is_relative_to(
            ROOT / "publishing/disclosure"
        ):
            continue
        if path.name in {"demonstration.py", "demo.py"}:
            continue  # loads the demo through actions and fixtures
        if ".objects" in path.read_text(encoding="utf-8"):
            wrong.append(str(path.relative_to(ROOT)))
    assert not wrong


def test_only_actions_write_to_the_record():
    """No .save(), .create(), .update() or .delete() on records outside actions (and the demo's own keeper)."""
    writing = re.compile(r"\.(bulk_create|bulk_update|objects\.create|objects\.update_or_create)\(")
    wrong = [
        str(path.relative_to(ROOT))
        for path in SOURCES
        if not path.is_relative_to(ROOT / "inventory/actions")
        and writing.search(path.read_text(encoding="utf-8"))
    ]
    # Fixtures and made-up collections come in bulk, before anybody has a version of them in hand.
    assert set(wrong) <= {"inventory/intake/collections.py", "inventory/fixture_loading.py"}


def test_no_module_is_longer_than_400_lines():
    long = {
        str(path.relative_to(ROOT)): lines
        for path in [
            *SOURCES,
            *sorted((ROOT / "tests").rglob("*.py")),
            *sorted((ROOT / "fixtures").rglob("*.py")),
        ]
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert not long


def test_the_core_runs_where_django_is_not_installed():
    code = (
        "import sys; sys.modules['django'] = None\n"
        "import inventory.organ.answers, inventory.organ.fault_answers, inventory.organ.stoplists\n"
        "import inventory.estimates.wilson\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_nothing_third_party_lies_in_the_repository():
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True
    ).stdout.splitlines()
    if not tracked:
        pytest.skip("not a git checkout")
    pasted = [
        name
        for name in tracked
        if re.search(r"\.min\.(js|css)$|\.(woff2?|ttf|otf)$|node_modules|/vendor/", name)
    ]
    assert not pasted
