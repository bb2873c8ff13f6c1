"""A file storage that is on the disk when it says so: files and folders are synchronised."""

from __future__ import annotations

import os
from pathlib import Path

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage
from django.utils.deconstruct import deconstructible


def sync_path(path: Path) -> None:
    """Ask the system to write a file, or a folder's entries, to the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@deconstructible(path="inventory.storage.SyncedFileStorage")
class SyncedFileStorage(FileSystemStorage):
    """Django's storage never synchronises: after a power cut, rows name files that are empty."""

    def _save(self, name: str, content: File) -> str:
        saved = super()._save(name, content)
        path = Path(self.path(saved))
        sync_path(path)
        root = Path(self.location)
        folder = path.parent
        sync_path(folder)
        while folder != root and root in folder.parents:
            folder = folder.parent
            sync_path(folder)
        return saved
