"""Files are on the disk, and their folders too, when saving returns."""

import os

from django.core.files.base import ContentFile

from inventory.storage import SyncedFileStorage


def test_a_saved_file_and_its_folders_are_synchronised(tmp_path, monkeypatch):
    synced: list[str] = []
    real = os.fsync

    def remember(handle: int) -> None:
        synced.append(os.readlink(f"/proc/self/fd/{handle}"))
        real(handle)

    monkeypatch.setattr(os, "fsync", remember)
    name = SyncedFileStorage(location=tmp_path).save("photographs/a/b.txt", ContentFile(b"pipe"))
    assert (tmp_path / name).read_bytes() == b"pipe"
    assert synced == [
        str(path)
        for path in (tmp_path / name, tmp_path / "photographs/a", tmp_path / "photographs", tmp_path)
    ]


def test_a_name_that_leads_outside_is_refused(tmp_path):
    import pytest
    from django.core.exceptions import SuspiciousFileOperation

    with pytest.raises(SuspiciousFileOperation):
        SyncedFileStorage(location=tmp_path).save("../outside.txt", ContentFile(b"x"))
