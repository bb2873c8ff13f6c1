"""Writing a site as one whole: a new folder beside the target, synced, then swapped for it.

Killed at any moment, the target holds the old site or the new one, complete (where folders cannot be exchanged
in one step it may be absent until the next start, or `repair`, puts one of the two back).
"""

import errno
import os
import stat
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.languages import said_later
from inventory.storage import sync_path

from .manifest import (
    MARKER,
    UNFINISHED,
    Mark,
    manifest_bytes,
    mark_of,
    read_manifest,
    read_plain_file,
    sha256_of,
    strangers,
)
from .names import TWICE, SiteNames
from .swapping import (
    Places,
    SiteWriteError,
    locked,
    remove_ours,
    repair_places,
    swap,
    sync_whole_file_system,
)

FILE_MODE = 0o644
FOLDER_MODE = 0o755
# From here on one sync of the whole file system before the single ones saves time.
MANY_FILES = 64


class NotHeld(SiteWriteError):
    """A page that was to be taken over is not in the former site, or not as it was written."""


@dataclass(frozen=True, slots=True)
class WriteReport:
    """What an export did: files written anew, taken over unchanged, gone, and how long it took."""

    written: int
    unchanged: int
    removed: int
    seconds: float
    remarks: tuple[str, ...] = ()
    fresh: Mapping[str, Mark] = field(default_factory=dict, repr=False)
    """How the files look that were written now, for the next export to trust."""
    gone: frozenset[str] = field(default=frozenset(), repr=False)
    """Paths of the former site that this one has not."""


def repair(to: Path) -> list[str]:
    """Complete or sweep what an interrupted export left at and beside a target; says what was done."""
    places = Places(to)
    if not places.parent.is_dir():
        return []
    with _explained(places), locked(places):
        return repair_places(places)


def write_site(
    pages: Iterable[tuple[str, bytes | None]], to: Path, trusted: Mapping[str, Mark] | None = None
) -> WriteReport:
    """Write every page (path, bytes) as the site at `to`, replacing the former site whole or not at all.

    A page without bytes (None) is taken over from the former site; `read_manifest` tells what that holds.
    Of the former site's files those that look as they did when written (`trusted`) are not read again; the
    mapping may be filled as late as the first page.
    Errors of whatever makes the pages pass through unchanged, and leave the old site as it was, too.
    """
    started = time.perf_counter()
    places = Places(to)
    with ExitStack() as held:
        with _explained(places):
            places.parent.mkdir(parents=True, exist_ok=True)
            held.enter_context(locked(places))
            remarks = repair_places(places)
            former = _former_files(places)
        folder = _NewFolder(places, former, {} if trusted is None else trusted)
        try:
            with _explained(places):
                folder.begin()
            for path, content in pages:
                try:
                    folder.add(path, content)
                except OSError as error:
                    raise _in_words(places, error) from error
            with _explained(places):
                folder.finish()
                _former_files(places)  # nobody put files of their own there meanwhile
                swap(places)
        except BaseException:
            with suppress(OSError, SiteWriteError):
                repair_places(places)
            raise
        remarks += _remove_former(places)
    gone = frozenset(former.keys() - folder.files.keys())
    seconds = time.perf_counter() - started
    return WriteReport(
        folder.written, folder.unchanged, len(gone), seconds, tuple(remarks), folder.marks, gone
    )


def _remove_former(places: Places) -> Iterator[str]:
    """Remove the site that was replaced; a failure is only a remark, for the new site stands."""
    for leftover in (places.new, places.old):
        try:
            if os.path.lexists(leftover):
                remove_ours(leftover)
            if os.path.lexists(places.journal):
                os.unlink(places.journal)
        except (OSError, SiteWriteError) as error:
            told = {"folder": leftover, "problem": error}
            yield (
                gettext("%(folder)s could not be removed (%(problem)s); the next export tries again.") % told
            )


def _former_files(places: Places) -> dict[str, str]:
    """Files of the site that stands at the target; refuses a folder that is not ours alone."""
    target = places.target
    if not os.path.lexists(target):
        return {}
    if not target.is_dir():
        raise SiteWriteError(
            said_later(
                _("%(place)s is a file. Nothing was changed; name a new or empty folder."), place=target
            )
        )
    manifest = read_manifest(target)
    if manifest is None and not any(os.scandir(target)):
        return {}
    if manifest is None:
        raise SiteWriteError(
            said_later(
                _(
                    "%(place)s is not empty and was not written by Upperboard (it has no readable %(file)s). "
                    "Nothing was changed; name a new or empty folder, or empty this one yourself."
                ),
                place=target,
                file=MARKER,
            )
        )
    others = strangers(target, manifest)
    if others:
        raise SiteWriteError(
            said_later(
                _(
                    "%(place)s holds %(count)s files that Upperboard did not write, such as %(some)s; an export would "
                    "destroy them. Nothing was changed; move them elsewhere first."
                ),
                place=target,
                count=len(others),
                some=", ".join(others[:3]),
            )
        )
    return manifest


_MUST_BE_ALLOWED = _(
    "no permission; the new folder is made beside the old one, so this account must be allowed to write in %(parent)s"
)
_IS_A_DISK = _("the folder is a disk of its own or in use, and cannot be replaced; name a folder inside it")
_PART_IS_A_FILE = _("part of this path is a file; name another folder")
_REMEDIES = {
    errno.ENOSPC: _(
        "the disk is full; free some space (an export needs room for all that changed) and try again"
    ),
    errno.EDQUOT: _("the disk quota is used up; free some space and try again"),
    errno.EFBIG: _("a file is larger than this disk or this account may write (see ulimit -f)"),
    errno.EACCES: _MUST_BE_ALLOWED,
    errno.EPERM: _MUST_BE_ALLOWED,
    errno.EROFS: _("the disk can only be read; name a folder on another one"),
    errno.EXDEV: _IS_A_DISK,
    errno.EBUSY: _IS_A_DISK,
    errno.ENOTDIR: _PART_IS_A_FILE,
    errno.EEXIST: _PART_IS_A_FILE,
}


@contextmanager
def _explained(places: Places) -> Iterator[None]:
    """Turn an error of the system into one line with its remedy."""
    try:
        yield
    except OSError as error:
        raise _in_words(places, error) from error


def _in_words(places: Places, error: OSError) -> SiteWriteError:
    remedy = _REMEDIES.get(error.errno or 0, _("%(problem)s; mend this and try again"))
    return SiteWriteError(
        said_later(
            _("The site at %(place)s was not written: %(remedy)s. What stood there is as it was."),
            place=places.target,
            remedy=said_later(remedy, parent=places.parent, problem=error),
        )
    )


class _NewFolder:
    """The folder being written; bytes equal to the former site's become links to the same file."""

    def __init__(self, places: Places, former: dict[str, str], trusted: Mapping[str, Mark]) -> None:
        self.root = places.new
        self.target = places.target
        self.former, self.trusted = former, trusted
        self.marks: dict[str, Mark] = {}
        self._made_folders: set[str] = set()
        self.names = SiteNames()
        self.files: dict[str, str] = {}
        self.folders: list[str] = []
        self.fresh: list[str] = []
        self.written = self.unchanged = 0

    def begin(self) -> None:
        """Make the folder; our mark comes first, so that an interruption leaves nothing unmarked."""
        os.mkdir(self.root, FOLDER_MODE)
        os.chmod(self.root, FOLDER_MODE)
        self._write(MARKER, UNFINISHED)

    def add(self, path: str, content: bytes | None) -> None:
        """Write one page, or link it if the former site has the same bytes."""
        # What the former site had it had beside its other files: only new names are looked at one by one.
        reason = TWICE if path in self.files else "" if path in self.former else self.names.refusal(path)
        if reason:
            raise _refused(path, reason)
        try:
            self._put(path, content)
        except (FileExistsError, NotADirectoryError):
            self._refuse_clashes(path)
            raise

    def _refuse_clashes(self, *more: str) -> None:
        """Refuse new names that cannot stand beside those taken over from the former site."""
        clash = self.names.clash(path for path in (*self.files, *more) if path in self.former)
        if clash is not None:
            raise _refused(*clash)

    def _put(self, path: str, content: bytes | None) -> None:
        self._make_folders(path)
        kept = self._take_over(path, content)
        if kept is not None:
            self.files[path] = kept
            self.unchanged += 1
            return
        if content is None:
            raise NotHeld(
                said_later(
                    _(
                        "The page “%(page)s” was to stay as it was, but the site at %(place)s does not hold it "
                        "unchanged. Export everything anew (--full)."
                    ),
                    page=path,
                    place=self.target,
                )
            )
        self._write(path, content)
        self.files[path] = sha256_of(content)
        self.fresh.append(path)
        self.written += 1

    def finish(self) -> None:
        """Have everything on disk, read back what was written, and mark the folder as finished."""
        self._refuse_clashes()
        if len(self.fresh) > MANY_FILES:
            sync_whole_file_system(self.root)
        for path in self.fresh:
            sync_path(self.root / path)
            if sha256_of((self.root / path).read_bytes()) != self.files[path]:
                told = gettext("what was written reads back differently")
                raise OSError(errno.EIO, told, str(self.root / path))
            self.marks[path] = mark_of(os.lstat(self.root / path))
        # The mark is replaced in one step: half a list of files is never a finished site.
        self._write(MARKER + "-", manifest_bytes(self.files))
        sync_path(self.root / (MARKER + "-"))
        os.rename(self.root / (MARKER + "-"), self.root / MARKER)
        for folder in reversed(self.folders):
            sync_path(self.root / folder)
        sync_path(self.root)

    def _make_folders(self, path: str) -> None:
        if path.rpartition("/")[0] in self._made_folders:
            return
        self._made_folders.add(path.rpartition("/")[0])
        steps = path.split("/")[:-1]
        for count in range(1, len(steps) + 1):
            folder = "/".join(steps[:count])
            with suppress(FileExistsError):
                os.mkdir(self.root / folder, FOLDER_MODE)
                os.chmod(self.root / folder, FOLDER_MODE)
                self.folders.append(folder)

    def _take_over(self, path: str, content: bytes | None) -> str | None:
        """Link a file of the former site if its bytes are these; the SHA-256 if that was done."""
        digest = self.former.get(path)
        if digest is None:
            return None
        former = f"{self.target}/{path}"
        found: bytes | None = None
        if not self._is_trusted(former, path) or (content is not None and sha256_of(content) != digest):
            found = read_plain_file(Path(former))
            if found is None or sha256_of(found) != digest or (content is not None and found != content):
                return None
        try:
            if found is None or os.lstat(former).st_mode & 0o777 == FILE_MODE:
                os.link(former, f"{self.root}/{path}", follow_symlinks=False)
                if found is not None:
                    self.marks[path] = mark_of(os.lstat(former))
                return digest
        except OSError as error:
            if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EIO):
                raise
        found = found if found is not None else read_plain_file(Path(former))
        if found is None or sha256_of(found) != digest:
            return None
        # No links on this disk, too many of one file, or other permissions than ours: a copy.
        self._write(path, found)
        self.fresh.append(path)
        return digest

    def _is_trusted(self, former: str, path: str) -> bool:
        """Whether a file of the former site looks as it did when it was written: a plain one, of our permissions."""
        mark = self.trusted.get(path)
        if mark is None:
            return False
        try:
            state = os.lstat(former)
        except OSError:
            return False
        return mark_of(state) == mark and state.st_mode == stat.S_IFREG | FILE_MODE

    def _write(self, path: str, content: bytes) -> None:
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW
        number = os.open(self.root / path, flags, FILE_MODE)
        try:
            os.fchmod(number, FILE_MODE)
            rest = memoryview(content)
            while rest:
                rest = rest[os.write(number, rest) :]
        finally:
            os.close(number)


def _refused(path: str, reason: str | Promise) -> SiteWriteError:
    return SiteWriteError(
        said_later(
            _(
                "The page “%(page)s” cannot be written: %(reason)s. Nothing was changed; give it another path."
            ),
            page=path[:200],
            reason=reason,
        )
    )
