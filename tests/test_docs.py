"""README, DEVELOPERS, help texts and the build say the same."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
OURS = sorted(name for name, app in get_commands().items() if app in ("inventory", "publishing"))


@pytest.mark.parametrize("name", OURS)
def test_every_command_has_help_and_stands_in_the_readme(name):
    command = load_command_class(get_commands()[name], name)
    assert str(command.help).strip(), f"{name} has no help"
    assert re.search(rf"^\| `{name}` \|", README, re.M), f"{name} is not in README's table of commands"


def test_every_command_of_the_readme_exists():
    named = set(re.findall(r"^\| `(\w+)` \|", README, re.M)) | set(re.findall(r"manage\.py (\w+)", README))
    assert named <= set(OURS)


def test_the_build_runs_exactly_the_test_command_of_the_readme():
    commands = re.findall(r"```sh\n(.+?)\n```", README, re.S)
    run, test = commands
    assert "manage.py demo" in run and "pytest" in test
    assert test in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_every_picture_and_link_of_the_documents_exists():
    for text in (README, DEVELOPERS):
        for target in re.findall(r"\]\(([^)#:]+)\)", text):
            assert (ROOT / target).exists(), target


def test_every_folder_of_the_map_exists():
    for name in re.findall(r"^\| `([\w/.]+)` \|", DEVELOPERS, re.M):
        assert (ROOT / name).exists(), name


def test_every_requirement_is_pinned_and_has_a_reason():
    for file in (ROOT / "requirements.txt", ROOT / "tests" / "requirements.txt"):
        for line in file.read_text(encoding="utf-8").splitlines():
            if line.startswith(("#", "-r")) or not line.strip():
                continue
            assert re.match(r"^[\w.\[\]-]+==[\w.]+(; .+?)?\s+# \S+", line), line


def test_no_path_of_a_machine_is_in_the_repository():
    forbidden = re.compile("/" + "work/|/" + "opt/ub|/" + "tmp/[a-z]")
    for path in ROOT.rglob("*"):
        if path.is_dir() or {".git", ".venv", "var", "site", "__pycache__"} & set(path.parts):
            continue
        if path.suffix in {".py", ".md", ".html", ".css", ".js", ".json", ".toml", ".txt"}:
            assert not forbidden.search(path.read_text(encoding="utf-8", errors="ignore")), path
