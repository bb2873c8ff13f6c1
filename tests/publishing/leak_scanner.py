"""Finds words in bytes however they are wrapped: a plain search misses three of four ways a secret travels.

Every content is looked at in many readings (escapes undone, tags taken out, streams unpacked), and
what a reading contains is looked at again, some levels deep.
"""

from __future__ import annotations

import base64
import binascii
import gzip
import html
import io
import os
import re
import tarfile
import unicodedata
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote_to_bytes

DEEPEST = 5
MOST_UNPACKED = 20_000_000
_BASE64 = re.compile(rb"[A-Za-z0-9+/_-]{12,}={0,2}")
_HEX = re.compile(rb"(?:[0-9A-Fa-f]{2}){6,}")
_ESCAPES = re.compile(
    rb"\\u\{([0-9A-Fa-f]{1,6})\}|\\u([0-9A-Fa-f]{4})|\\x([0-9A-Fa-f]{2})|\\([0-9A-Fa-f]{2,6}) ?"
)
_WORDS = re.compile(rb"[\x20-\x7e]{6,}")
_COMBINING = re.compile("[\u0300-\u036f]")
_TAGS = re.compile(r"<[^<>]*>")
_ZLIB = re.compile(rb"\x78[\x01\x5e\x9c\xda]")
_UNSEEN = dict.fromkeys([0xAD, 0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF, 0])


@dataclass(frozen=True, order=True)
class Hit:
    """A word found: in which file (or in its name), through which readings."""

    needle: str
    path: str
    how: str


class Scanner:
    """Looks for words, all at once."""

    def __init__(self, needles: Iterable[str]) -> None:
        self.needles = {_folded(needle): needle for needle in needles}
        if "" in self.needles or not self.needles:
            raise ValueError("name at least one word, and no empty one")
        self.pattern = re.compile(_any_of(self.needles))

    def folder(self, root: Path) -> list[Hit]:
        """Every word in the bytes, names and links of a folder, hidden files too."""
        hits: set[Hit] = set()
        for directory, folders, files in os.walk(root):
            for name in (*folders, *files):
                path = Path(directory, name)
                shown = path.relative_to(root).as_posix()
                hits |= {Hit(word, shown, f"name, {how}") for word, how in self.content(os.fsencode(name))}
                if path.is_symlink():
                    target = os.fsencode(os.readlink(path))
                    hits |= {Hit(word, shown, f"link, {how}") for word, how in self.content(target)}
                elif path.is_file():
                    hits |= {Hit(word, shown, how) for word, how in self.content(path.read_bytes())}
        return sorted(hits)

    def content(self, content: bytes) -> set[tuple[str, str]]:
        """Words in bytes, each with the readings that led to it."""
        found: dict[str, str] = {}
        seen: set[bytes] = set()
        waiting = [(content, "plain", 0)]
        while waiting:
            reading, how, depth = waiting.pop()
            if reading in seen:
                continue
            seen.add(reading)
            for text in _texts(reading):
                for match in self.pattern.finditer(text):
                    found.setdefault(self.needles[match.group()], how)
            if depth < DEEPEST:
                waiting += [(more, f"{how} > {step}", depth + 1) for step, more in _readings(reading)]
        return set(found.items())


def _any_of(words: Iterable[str]) -> str:
    """A pattern for the longest of the words at a place, letter by letter: ten times as fast as a list of them."""
    by_letter: dict[str, list[str]] = {}
    for word in sorted(set(words)):
        by_letter.setdefault(word[:1], []).append(word[1:])
    may_end = by_letter.pop("", None) is not None
    branches = [re.escape(letter) + _any_of(rest) for letter, rest in by_letter.items()]
    if not branches:
        return ""
    whole = branches[0] if len(branches) == 1 and not may_end else f"(?:{'|'.join(branches)})"
    return f"{whole}?" if may_end else whole


def _folded(text: str) -> str:
    """Without accents, capitals and signs nobody sees: as a slug or a search index would hold it."""
    if text.isascii():
        return text.replace("\0", "").lower()
    return _COMBINING.sub("", unicodedata.normalize("NFKD", text.translate(_UNSEEN).casefold()))


def _texts(content: bytes) -> Iterator[str]:
    """The content as text: as it stands, and with tags taken out so that none can split a word."""
    text = content.decode("utf-8", "replace")
    yield _folded(text)
    if "<" in text:
        yield _folded(_TAGS.sub("", text))


def _readings(content: bytes) -> Iterator[tuple[str, bytes]]:
    """Other ways to read the same bytes, and what is packed inside them."""
    yield from _packed(content)
    if content.count(0) > 4:
        yield "wide", b"\n".join(_WORDS.findall(content.replace(b"\0", b"")))
    if not _is_text(content):
        yield "words", b"\n".join(_WORDS.findall(content))
        return
    if b"&" in content and b";" in content:
        yield "entities", html.unescape(content.decode()).encode("utf-8", "replace")
    if b"%" in content:
        yield "address", unquote_to_bytes(content)
    if b"\\" in content:
        yield "escapes", _ESCAPES.sub(_unescaped, content)
    yield from _runs(content)


def _is_text(content: bytes) -> bool:
    try:
        content.decode()
    except UnicodeDecodeError:
        return False
    return True


def _unescaped(match: re.Match[bytes]) -> bytes:
    number = int(next(group for group in match.groups() if group), 16)
    return chr(number).encode("utf-8", "replace") if number < 0x110000 else b""


def _runs(content: bytes) -> Iterator[tuple[str, bytes]]:
    """Runs of base64 (from each of four starts) and of hexadecimal digits."""
    joined = re.sub(rb"(?<=[A-Za-z0-9+/])\r?\n(?=[A-Za-z0-9+/=])", b"", content)
    short: list[bytes] = []
    for match in _BASE64.finditer(joined):
        run = match.group().rstrip(b"=").replace(b"-", b"+").replace(b"_", b"/")
        for start in range(4):
            part = run[start:]
            part = part[: len(part) - (len(part) % 4 == 1)]
            decoded = base64.b64decode(part + b"=" * (-len(part) % 4))
            if len(run) < 100:
                short.append(decoded)
            else:
                yield "base64", decoded
    for match in _HEX.finditer(content):
        digits = match.group()
        short += [binascii.unhexlify(digits), binascii.unhexlify(digits[1:-1])]
    if short:
        yield "base64 or hexadecimal", b"\n".join(short)


def _packed(content: bytes) -> Iterator[tuple[str, bytes]]:
    """What archives and compressed streams hold, with the names inside."""
    for start in (match.start() for match in re.finditer(rb"\x1f\x8b\x08", content)):
        try:
            yield "gzip", gzip.GzipFile(fileobj=io.BytesIO(content[start:])).read(MOST_UNPACKED)
        except (OSError, EOFError, zlib.error):
            continue
    for match in _ZLIB.finditer(content):
        try:
            yield "stream", zlib.decompressobj().decompress(content[match.start() :], MOST_UNPACKED)
        except zlib.error:
            continue
    if b"PK\x03\x04" in content:
        try:
            with zipfile.ZipFile(io.BytesIO(content)) as archive:
                yield "zip comment", archive.comment
                for entry in archive.infolist():
                    yield "zip name", entry.filename.encode() + b"\n" + entry.comment
                    if entry.file_size <= MOST_UNPACKED:
                        yield "zip", archive.read(entry)
        except (zipfile.BadZipFile, OSError, RuntimeError, zlib.error, NotImplementedError):
            pass
    if content[257:262] == b"ustar":
        try:
            with tarfile.open(fileobj=io.BytesIO(content)) as archive:
                for member in archive.getmembers():
                    yield "tar name", member.name.encode()
        except tarfile.TarError:
            pass
