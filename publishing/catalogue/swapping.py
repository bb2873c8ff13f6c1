"""Putting a finished folder in place of another, whole, and tidying up after an interruption.

Beside a target ``site`` stand, while an export runs or after it was killed: ``.site.upperboard-new`` (being
written; after the exchange it is the old site), ``.site.upperboard-old`` and ``.site.upperboard-journal`` (only
where folders cannot be exchanged) and ``.site.upperboard-lock``. The next start removes them all.
"""

import ctypes
import errno
import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.languages import said_later
from inventory.storage import sync_path

from .manifest import MARKER, read_manifest

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
_CANNOT_EXCHANGE = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM}


class SiteWriteError(Exception):
    """A site could not be written; the message names the place and what to do. The old site is whole."""


class Places:
    """The names beside a target folder."""

    def __init__(self, to: Path) -> None:
        # A link is followed once, so that the folder it names is exchanged and the link stays.
        self.target = Path(os.path.realpath(to))
        self.parent = self.target.parent
        stem = f".{self.target.name}.upperboard"
        self.new = self.parent / f"{stem}-new"
        self.old = self.parent / f"{stem}-old"
        self.journal = self.parent / f"{stem}-journal"
        self.lock = self.parent / f"{stem}-lock"
        if self.parent == self.target:
            raise SiteWriteError(
                said_later(
                    _(
                        "%(place)s is the root of the disk; name a folder for the site, such as %(place)ssite."
                    ),
                    place=to,
                )
            )


def exchange(first: Path, second: Path) -> bool:
    """Exchange two folders in one step; False where the system or the file system cannot."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError):
        return False
    done = rename(_AT_FDCWD, os.fsencode(first), _AT_FDCWD, os.fsencode(second), _RENAME_EXCHANGE)
    if done == 0:
        return True
    number = ctypes.get_errno()
    if number in _CANNOT_EXCHANGE:
        return False
    raise OSError(number, os.strerror(number), str(second))


@contextmanager
def locked(places: Places) -> Iterator[None]:
    """Hold the lock of a target; a second export is refused. The lock file goes when the lock does."""
    number = _take_lock(places)
    try:
        yield
    finally:
        # Still locked: whoever opened this file meanwhile finds it gone and opens the next one.
        with suppress(OSError):
            os.unlink(places.lock)
        os.close(number)


def _take_lock(places: Places) -> int:
    while True:
        number = os.open(places.lock, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o644)
        try:
            fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(number)
            raise SiteWriteError(
                said_later(
                    _(
                        "Another export to %(place)s is running. Wait until it ends, or export to another folder."
                    ),
                    place=places.target,
                )
            ) from None
        except OSError:
            os.close(number)
            raise
        with suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(number), os.stat(places.lock)):
                return number
        os.close(number)


def swap(places: Places) -> None:
    """Put the new folder in the target's place; the old one, if any, is at `places.new` or `places.old` then."""
    if not os.path.lexists(places.target) or not any(os.scandir(places.target)):
        os.rename(places.new, places.target)  # replaces an empty folder in the same step
        sync_path(places.parent)
        return
    if exchange(places.new, places.target):
        try:
            sync_path(places.parent)
        except OSError:
            exchange(places.new, places.target)  # not surely on disk: the old one back, then report
            raise
        return
    _swap_in_two_steps(places)


def _swap_in_two_steps(places: Places) -> None:
    number = os.open(places.journal, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_NOFOLLOW, 0o644)
    try:
        os.write(number, f"{places.target.name}: being replaced by {places.new.name}\n".encode())
        os.fsync(number)
    finally:
        os.close(number)
    sync_path(places.parent)
    os.rename(places.target, places.old)
    try:
        os.rename(places.new, places.target)
        sync_path(places.parent)
    except OSError:
        if os.path.lexists(places.target):
            os.rename(places.target, places.new)
        os.rename(places.old, places.target)
        raise
    # The new site stands: a journal that stays is swept by whoever tidies up next.
    with suppress(OSError):
        os.unlink(places.journal)


def repair_places(places: Places) -> list[str]:
    """Complete or undo what an interruption left, under the lock; says what it did."""
    done = []
    if not os.path.lexists(places.target):
        # Only the swap in two steps leaves no target. Forward if the new site is finished, else back.
        if os.path.lexists(places.journal) and read_manifest(places.new) is not None:
            with suppress(OSError):
                os.rename(places.new, places.target)
                done.append(
                    gettext("The finished export to %(place)s was put in place.") % {"place": places.target}
                )
        if not done and read_manifest(places.old) is not None:
            os.rename(places.old, places.target)
            done.append(gettext("The former site at %(place)s was put back.") % {"place": places.target})
        if done:
            sync_path(places.parent)
    for leftover in (places.new, places.old):
        if os.path.lexists(leftover):
            remove_ours(leftover)
            told = gettext("%(file)s, left by an interrupted export, was removed.")
            done.append(told % {"file": leftover.name})
    if os.path.lexists(places.journal):
        os.unlink(places.journal)
    return done


def remove_ours(folder: Path) -> None:
    """Remove a folder that is empty or carries our mark, the mark last; refuse any other."""
    if folder.is_symlink() or not folder.is_dir():
        raise SiteWriteError(
            said_later(_("%(folder)s is in the way and is not ours; move it elsewhere."), folder=folder)
        )
    entries = [Path(entry.path) for entry in os.scandir(folder)]
    if entries and not any(entry.name == MARKER for entry in entries):
        raise SiteWriteError(
            said_later(
                _("%(folder)s is in the way and was not written by us; move it elsewhere."), folder=folder
            )
        )
    for entry in sorted(entries, key=lambda entry: entry.name == MARKER):
        if entry.is_dir() and not entry.is_symlink():
            shutil.rmtree(entry)
        else:
            os.unlink(entry)
    os.rmdir(folder)


def sync_whole_file_system(folder: Path) -> None:
    """Ask for everything to be written at once, which makes many single syncs cheap; no harm where it cannot."""
    with suppress(AttributeError, OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            ctypes.CDLL(None, use_errno=True).syncfs(number)
        finally:
            os.close(number)
