"""Pictures on their way in: checked by content, decoded in a process of its own, made anew without what they carry.

The original is kept privately under its hash; only the working copy is ever shown.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import subprocess
import sys
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from inventory.storage import sync_path

MOST_BYTES = 40 * 1024 * 1024
SECONDS = 40
WORKER = Path(__file__).with_name("picture_worker.py")
# A picture that is a page, a script, a document or an archive as well is no picture for us.
HIDDEN = re.compile(rb"<script[\s>/]|<!doctype\s+html|<\?php\s|%PDF-1\.", re.IGNORECASE)


class PictureError(ValueError):
    """The file is refused; the message says why and what to do."""


@dataclass(frozen=True)
class Picture:
    """A picture that passed: its working copy and the hash its original is kept under."""

    digest: str
    kind: str
    width: int
    height: int
    copy: bytes
    ending: str


def read_picture(data: bytes) -> Picture:
    """Check an uploaded file and make its working copy, or say why it is refused."""
    if not data:
        raise PictureError(_("the file is empty."))
    if len(data) > MOST_BYTES:
        raise PictureError(_("it is larger than 40 MB; export it smaller."))
    if HIDDEN.search(data) or zipfile.is_zipfile(io.BytesIO(data)):
        raise PictureError(
            _("it holds a page, a script or an archive besides the picture; export it again as JPEG.")
        )
    with tempfile.TemporaryDirectory(prefix="picture-") as folder:
        source, target = Path(folder, "source"), Path(folder, "target")
        source.write_bytes(data)
        answer = _decode(source, target)
        if "refused" in answer:
            raise PictureError(_reason(str(answer["refused"])))
        copy = target.read_bytes()
    digest = hashlib.sha256(data).hexdigest()
    return Picture(digest, answer["kind"], answer["width"], answer["height"], copy, answer["ending"])


def _decode(source: Path, target: Path) -> dict:
    try:
        done = subprocess.run(  # noqa: S603 - our own script, paths we made
            [sys.executable, "-I", str(WORKER), str(source), str(target)],
            capture_output=True,
            timeout=SECONDS,
            check=False,
            env={"PATH": os.defpath},
        )
        found: dict = json.loads(done.stdout) if done.returncode == 0 else {"refused": "memory"}
    except subprocess.TimeoutExpired:
        return {"refused": "memory"}
    except ValueError:
        return {"refused": "damaged"}
    return found


def _reason(word: str) -> str:
    return {
        "pixels": _("it has more than 60 million pixels; export it smaller."),
        "frames": _("it holds several pictures; send each by itself."),
        "kind": _("it is no JPEG, PNG, WebP or TIFF, whatever its name says."),
        "memory": _("it takes too much memory or time to open; export it smaller."),
    }.get(word, _("it is damaged or incomplete; copy it again from the camera."))


def keep_original(data: bytes, digest: str) -> Path:
    """Keep the bytes as they came, by their hash, readable only by the program. Never served."""
    folder = Path(settings.MEDIA_ROOT) / "originals" / digest[:2]
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    path = folder / digest
    if path.exists():
        return path
    handle, name = tempfile.mkstemp(dir=folder)
    with os.fdopen(handle, "wb") as file:  # mkstemp makes it readable by its owner only
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    os.replace(name, path)
    sync_path(folder)
    return path
