"""Which file names a site may have: the same on every disk, memory stick and web host."""

import re
import unicodedata

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


class SiteNames:
    """Remembers every path of one site and refuses what could overwrite, leave or confuse it."""

    def __init__(self) -> None:
        self._spelling: dict[str, str] = {}
        self._files: set[str] = set()

    def refusal(self, path: str) -> str:
        """Why a path cannot be added; empty if it was added."""
        steps = path.split("/")
        if path.startswith("/"):
            return "it is absolute; paths begin at the site's own folder"
        if _FORBIDDEN.search(path):
            return 'it has a sign that some disks forbid (a control sign, \\ < > : " | ? *)'
        for step in steps:
            if step in ("", ".", ".."):
                return "it has an empty step, “.” or “..”; write every folder by name"
            if step.endswith((".", " ")) or step.partition(".")[0].casefold() in _DEVICES:
                return f"“{step}” is a name that some disks change or forbid"
            if len(step.encode("utf-8", "surrogatepass")) > 200:
                return f"“{step[:30]}…” is longer than 200 bytes"
            if step.encode("utf-8", "replace").decode() != step:
                return "it is no text that UTF-8 can write"
        if path.casefold() == MARKER:
            return "that name is our own mark"
        return self._add(steps, path)

    def _add(self, steps: list[str], path: str) -> str:
        spelled = {"/".join(steps[:count]) for count in range(1, len(steps) + 1)}
        for part in spelled:
            earlier = self._spelling.get(_folded(part), part)
            if earlier != part:
                return f"“{part}” and “{earlier}” are one name on disks that ignore capitals or accent forms"
        if path in self._files:
            return "it is written twice"
        if any(part in self._files for part in spelled) or _folded(path) in self._spelling:
            return "it is both a file and a folder"
        self._spelling.update((_folded(part), part) for part in spelled)
        self._files.add(path)
        return ""


def _folded(text: str) -> str:
    if text.isascii():
        return text.lower()
    return unicodedata.normalize("NFC", unicodedata.normalize("NFKD", text).casefold())
