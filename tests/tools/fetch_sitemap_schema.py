"""Fetches the schema of sitemaps.org (sitemap.xsd, 0.9) as the npm package `sitemap` carries it; needs npm once.

python tests/tools/fetch_sitemap_schema.py
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.tools.npm_files import cache_folder, fetch_file  # noqa: E402

VERSION = "9.0.1"


def fetch() -> Path:
    """The schema's path, fetched now unless it is there; raises where npm cannot fetch it."""
    kept = cache_folder() / f"sitemap-{VERSION}.xsd"
    return fetch_file("sitemap", VERSION, "package/schema/sitemap.xsd", kept)


def why_not() -> str:
    """Why the schema is not to be had on this machine; empty where it is."""
    try:
        fetch()
    except (OSError, subprocess.SubprocessError) as error:
        return f"the schema of sitemaps cannot be fetched: {error}"
    return ""


if __name__ == "__main__":
    sys.stdout.write(f"{fetch()}\n")
