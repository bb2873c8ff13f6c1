"""Which file names a site may have: the same on every disk, memory stick and web host."""

import re
import unicodedata
from collections.abc import Iterable

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from inventory.languages import said_later

from .manifest import MARKER

_FORBIDDEN = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\]')
_DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"com{n}" for n in range(1, 10)),
    *(f"lpt{n}" for n in range(1, 10)),
}


TWICE = _("it is written twice")
_BOTH = _("it is both a file and a folder")


class SiteNames:
    """Remembers every path of one site and refuses what could overwrite, leave or confuse it."""

    def __init__(self) -> None:
        self._spelling: dict[str, str] = {}
        self._files: set[str] = set()

    def refusal(self, path: str) -> str | Promise:
        """Why a path cannot be added; empty if it was added."""
        steps = path.split("/")
        if path.startswith("/"):
            return _("it is absolute; paths begin at the site's own folder")
        if _FORBIDDEN.search(path):
            return _('it has a sign that some disks forbid (a control sign, \\ < > : " | ? *)')
        for step in steps:
            if step in ("", ".", ".."):
                return _("it has an empty step, “.” or “..”; write every folder by name")
            if step.endswith((".", " ")) or step.partition(".")[0].casefold() in _DEVICES:
                return said_later(_("“%(name)s” is a name that some disks change or forbid"), name=step)
            if len(step.encode("utf-8", "surrogatepass")) > 200:
                return said_later(_("“%(name)s…” is longer than 200 bytes"), name=step[:30])
            if step.encode("utf-8", "replace").decode() != step:
                return _("it is no text that UTF-8 can write")
        if path.casefold() == MARKER:
            return _("that name is our own mark")
        return self._add(steps, path)

    def _add(self, steps: list[str], path: str) -> str | Promise:
        spelled = {"/".join(steps[:count]) for count in range(1, len(steps) + 1)}
        for part in spelled:
            earlier = self._spelling.get(_folded(part), part)
            if earlier != part:
                return _one_name(part, earlier)
        if path in self._files:
            return TWICE
        if any(part in self._files for part in spelled) or _folded(path) in self._spelling:
            return _BOTH
        self._spelling.update((_folded(part), part) for part in spelled)
        self._files.add(path)
        return ""

    def clash(self, others: Iterable[str]) -> tuple[str, str | Promise] | None:
        """One of the added paths that cannot stand beside others, which an earlier site had together; and why."""
        if not self._files:
            return None
        folders: set[str] = set()
        for path in others:
            found = self._spelling.get(_folded(path))
            if found is not None:
                return found, _one_name(found, path) if found != path else _BOTH
            folders.add(path.rpartition("/")[0])
        for folder in list(folders):
            steps = folder.split("/")
            folders.update("/".join(steps[:count]) for count in range(1, len(steps)))
        for folder in sorted(folders):
            found = self._spelling.get(_folded(folder))
            if found is not None and (found != folder or found in self._files):
                return found, _one_name(found, folder) if found != folder else _BOTH
        return None


def _one_name(one: str, other: str) -> str | Promise:
    told = _("“%(one)s” and “%(other)s” are one name on disks that ignore capitals or accent forms")
    return said_later(told, one=one, other=other)


def _folded(text: str) -> str:
    if text.isascii():
        return text.lower()
    return unicodedata.normalize("NFC", unicodedata.normalize("NFKD", text).casefold())
