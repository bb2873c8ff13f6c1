"""CITATION.cff 1.2.0: how the data want to be cited, for programs."""

from __future__ import annotations

import json

from .licences import licence_of
from .release import Release


def citation_file(release: Release) -> str:
    """The file; every text is quoted as JSON, which YAML reads the same."""
    licence = licence_of(release.licence)
    lines = {
        "cff-version": "1.2.0",
        "message": "If you use these data, please cite them with their version.",
        "type": "dataset",
        "title": release.title,
        "version": release.version,
        "date-released": release.day,
        "license": licence.spdx,
        "url": release.address.of("index.html") if release.address else "",
        "abstract": release.about,
    }
    text = "".join(
        f"{name}: {json.dumps(value, ensure_ascii=False)}\n" for name, value in lines.items() if value
    )
    return text + f"authors:\n  - name: {json.dumps(release.publisher, ensure_ascii=False)}\n"
