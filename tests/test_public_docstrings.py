"""Public functions and classes of the pure packages say what they are, and functions show it by an example."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
WITHOUT_EXAMPLE = {
    f"inventory.organ.scheme_joins.read_{part}": "reads one part of a file; the example of read_scheme shows the whole"
    for part in ("segment", "control", "chest", "coupler")
}
"""Function -> why an example would not help."""


def public(package: str, kinds: tuple[type, ...]) -> list[tuple[str, ast.AST]]:
    found = []
    for path in sorted((ROOT / package).rglob("*.py")):
        module = path.relative_to(ROOT).with_suffix("").as_posix().replace("/", ".")
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, kinds) and not node.name.startswith("_"):
                found.append((f"{module}.{node.name}", node))
    return found


@pytest.mark.parametrize("package", ["inventory/organ", "inventory/estimates", "publishing/statistics"])
def test_everything_public_has_a_docstring(package):
    named = public(package, (ast.FunctionDef, ast.ClassDef))
    assert len(named) >= 5
    assert not [name for name, node in named if not ast.get_docstring(node)]


@pytest.mark.parametrize("package", ["inventory/organ", "inventory/estimates"])
def test_every_public_function_has_an_example(package):
    bare = {
        name
        for name, node in public(package, (ast.FunctionDef,))
        if ">>>" not in (ast.get_docstring(node) or "")
    }
    assert bare == {name for name in WITHOUT_EXAMPLE if name.startswith(package.replace("/", "."))}


def test_every_exception_from_the_rule_has_its_reason():
    assert all(len(reason.split()) >= 3 for reason in WITHOUT_EXAMPLE.values())
