"""What a kept file must have been made with to be of any use: our own code, templates and words, and the settings."""

from __future__ import annotations

import hashlib
import json
import os
import sys
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from django.conf import settings

from publishing.formats.addresses import Address

_READ = {".py", ".html", ".css", ".js", ".txt", ".typ", ".mo", ".json", ".csv"}
_PACKAGES = (
    "Django", "Jinja2", "MarkupSafe", "numpy", "scipy", "pandas", "pyarrow", "Pillow", "fonttools", "typst",
)  # fmt: skip
_SETTINGS = (
    "COLLECTION_NAME", "CATALOGUE_LICENCE", "CATALOGUE_AVIF", "CATALOGUE_LANGUAGES", "CATALOGUE_CONTACT",
    "COLLECTION_COASTLINE", "RECORD_LANGUAGE", "MEDIA_ROOT", "DATA_DIR", "TIME_ZONE", "LANGUAGE_CODE",
)  # fmt: skip


@cache
def program_digest() -> str:
    """Changes with our own code, templates and words, and with the versions of what makes pages."""
    found = hashlib.sha256(sys.version.encode())
    for name in _PACKAGES:
        try:
            found.update(f"{name} {version(name)}\n".encode())
        except PackageNotFoundError:
            found.update(f"{name} missing\n".encode())
    for folder in ("inventory", "publishing"):
        for path in _sources(Path(settings.BASE_DIR) / folder):
            found.update(path.as_posix().encode())
            found.update(path.read_bytes())
    vocabularies = Path(settings.BASE_DIR) / "fixtures" / "vocabularies.json"
    found.update(vocabularies.read_bytes() if vocabularies.exists() else b"")
    return found.hexdigest()


def _sources(folder: Path) -> list[Path]:
    found = []
    for where, folders, names in os.walk(folder):
        folders[:] = [one for one in folders if one not in ("__pycache__", "migrations", "static")]
        found += [Path(where, name) for name in names if os.path.splitext(name)[1] in _READ]
    return sorted(found)


def version_of_kept(address: Address | None) -> str:
    """What a kept file must have been made with to be of any use."""
    told = {name: str(getattr(settings, name, "")) for name in _SETTINGS}
    told["address"] = address.root if address else ""
    coast = Path(settings.COLLECTION_COASTLINE)
    told["coast"] = coast.read_text(encoding="utf-8", errors="replace") if coast.is_file() else ""
    return hashlib.sha256(json.dumps([program_digest(), sorted(told.items())]).encode()).hexdigest()
