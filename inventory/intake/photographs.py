"""Photographs on their way into a record: checked one by one, kept, saved in one change or not at all."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _

from inventory.actions import change_record
from inventory.models import Instrument, Photograph, User

from .pictures import MOST_BYTES, Picture, PictureError, keep_original, read_picture


@dataclass
class Brought:
    """What came: rows ready to be saved, and what was refused and why."""

    rows: list[Photograph] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)


def read_upload(file: UploadedFile) -> tuple[bytes, Picture]:
    """The bytes of an upload and the picture in them, or `PictureError`."""
    if (file.size or 0) > MOST_BYTES:
        raise PictureError(_("it is larger than 40 MB; export it smaller."))
    content = file.read()
    return content, read_picture(content)


def code_of(picture: Picture) -> str:
    """The code of a picture: the same file has the same one, so that it comes in once."""
    return f"p-{picture.digest[:12]}"


def bring_photographs(
    root: Instrument, files: Iterable[UploadedFile], fill: Callable[[Photograph], None]
) -> Brought:
    """Rows for the files that pass; `fill` writes what holds for all of them."""
    taken = set(root.photographs.values_list("code", flat=True))
    last = max(root.photographs.values_list("order", flat=True), default=0)
    brought = Brought()
    for file in files:
        name = _short(file.name or "")
        try:
            content, picture = read_upload(file)
            if code_of(picture) in taken:
                raise PictureError(_("this picture is here already."))
        except PictureError as error:
            brought.refused.append((name, str(error)))
            continue
        taken.add(code_of(picture))
        row = Photograph(instrument=root, code=code_of(picture), order=last + len(brought.rows) + 1)
        fill(row)
        attach(row, content, picture)
        brought.rows.append(row)
    return brought


def attach(row: Photograph, content: bytes, picture: Picture) -> None:
    """Keep the original privately and give the row its working copy."""
    keep_original(content, picture.digest)
    row.file.save(f"{picture.digest}.{picture.ending}", ContentFile(picture.copy), save=False)


def save_photographs(root: Instrument, rows: list[Photograph], *, version: int, by: User, why: str) -> None:
    """Save the rows in one change; where that fails their working copies go again."""
    files = [row.file for row in rows]
    try:
        change_record(root, version=version, by=by, why=why, put=rows)
    except Exception:
        for kept in files:
            kept.storage.delete(kept.name)
        raise


def _short(name: str) -> str:
    return name if len(name) < 60 else name[:40] + "…" + name[-10:]
