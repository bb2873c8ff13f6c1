"""Fetches the Nu HTML checker into a cache folder outside the checkout; needs npm once, and Java to run it.

    python tests/tools/fetch_nu_checker.py

The version is pinned. Nothing of it comes into the repository: tests that use it skip with a
reason where it, Java or npm is absent.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.tools.npm_files import cache_folder, fetch_file  # noqa: E402

VERSION = "26.9.27"
JAR = "package/build/dist/vnu.jar"


def kept_jar() -> Path:
    """Where the checker lies once it is fetched."""
    return cache_folder() / f"vnu-{VERSION}.jar"


def fetch() -> Path:
    """The checker's path, fetched now unless it is there; raises where npm cannot fetch it."""
    return fetch_file("vnu-jar", VERSION, JAR, kept_jar())


def why_not() -> str:
    """Why the checker cannot run on this machine; empty where it can."""
    if shutil.which("java") is None:
        return "no Java on this machine (apt-get install default-jre-headless)"
    try:
        fetch()
    except (OSError, subprocess.SubprocessError) as error:
        return f"the Nu HTML checker cannot be fetched: {error}"
    return ""


def messages(folder: Path, kinds: Iterable[str] = (".html", ".css", ".svg")) -> list[dict[str, Any]]:
    """What the checker says of every page, stylesheet and drawing of a folder, in one run of Java."""
    with tempfile.TemporaryDirectory() as copied:
        for path in folder.rglob("*"):
            if path.suffix in kinds:
                target = Path(copied) / path.relative_to(folder)
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(path, target)
        done = subprocess.run(
            ["java", "-Xmx512m", "-jar", str(fetch()), "--also-check-css", "--also-check-svg", "--format", "json",
             copied],
            capture_output=True, text=True, timeout=300,
        )  # fmt: skip
        found = json.loads(done.stderr)["messages"]
        for one in found:
            one["page"] = one.get("url", "").partition(Path(copied).name + "/")[2]
    return found


if __name__ == "__main__":
    sys.stdout.write(f"{fetch()}\n")
