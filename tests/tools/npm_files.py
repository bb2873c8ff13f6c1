"""Single files of pinned npm packages, in a cache folder outside the checkout; nothing of them is kept in it."""

from __future__ import annotations

import os
import shutil
import subprocess
import tarfile
import tempfile
from pathlib import Path


def cache_folder() -> Path:
    """Where fetched tools are kept, for all checkouts of a person."""
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "upperboard-tools"


def fetch_file(package: str, version: str, member: str, kept: Path) -> Path:
    """One file of a package at `kept`, fetched now unless it is there; raises where npm cannot fetch it."""
    if kept.exists():
        return kept
    npm = shutil.which("npm")
    if npm is None:
        raise OSError(f"npm is not installed (apt-get install npm), so {package} cannot be fetched")
    kept.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            [npm, "pack", "--silent", f"{package}@{version}"], cwd=folder, check=True, timeout=300,
            stdout=subprocess.DEVNULL,
        )  # fmt: skip
        with tarfile.open(Path(folder) / f"{package}-{version}.tgz") as packed:
            found = packed.extractfile(member)
            assert found is not None, f"{package} {version} holds no {member}"
            part = kept.with_suffix(f".{os.getpid()}.part")
            with part.open("wb") as out:
                shutil.copyfileobj(found, out)
    part.replace(kept)
    return kept
