"""Pictures on their way in: what passes, what is refused and why; nothing a camera wrote goes along."""

from __future__ import annotations

import io
import struct
import time
import zipfile
import zlib

import pytest
from PIL import Image

from inventory.intake.pictures import PictureError, keep_original, read_picture


def picture(kind: str = "JPEG", size=(40, 30), mode: str = "RGB", **more) -> bytes:
    to = io.BytesIO()
    Image.new(mode, size, 120).save(to, kind, **more)
    return to.getvalue()


def png_that_claims(width: int, height: int) -> bytes:
    """A small file whose header promises a large picture."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    line = b"\0" * (width // 8 + 2)
    body = zlib.compress(line * height, 1) if width * height < 2e8 else b""
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_the_four_kinds_pass_by_their_content(kind):
    found = read_picture(picture(kind))
    assert (found.kind, found.width, found.height, found.ending) == (kind, 40, 30, "jpg")
    assert Image.open(io.BytesIO(found.copy)).size == (40, 30)


def test_position_comment_and_turning_do_not_go_along():
    exif = Image.Exif()
    exif[0x0112] = 6  # lies on its side
    exif[0x010E] = "who lives here"
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)  # a position
    found = read_picture(picture("JPEG", exif=exif.tobytes(), comment=b"private words"))
    copy = Image.open(io.BytesIO(found.copy))
    assert copy.size == (30, 40)  # stood upright before the mark was dropped
    assert not copy.getexif() and "comment" not in copy.info
    assert b"private" not in found.copy and b"lives here" not in found.copy


def test_what_is_seen_through_stays_seen_through():
    found = read_picture(picture("PNG", mode="RGBA"))
    assert found.ending == "png" and Image.open(io.BytesIO(found.copy)).mode == "RGBA"


def test_a_large_picture_is_shown_smaller():
    found = read_picture(picture("JPEG", size=(6000, 3000)))
    assert (found.width, found.height) == (4096, 2048)


def several() -> bytes:
    to = io.BytesIO()
    Image.new("RGB", (9, 9)).save(to, "TIFF", save_all=True, append_images=[Image.new("RGB", (9, 9), 200)])
    return to.getvalue()


def archive() -> bytes:
    to = io.BytesIO(picture())
    to.seek(0, 2)
    with zipfile.ZipFile(to, "a") as file:
        file.writestr("a.txt", "x")
    return to.getvalue()


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><circle r="9"/></svg>'
HOSTILE = {
    "100 megapixel": (png_that_claims(10_000, 10_000), "60 million"),
    "400 megapixel": (png_that_claims(20_000, 20_000), "60 million"),
    "claims four thousand million": (png_that_claims(65_000, 65_000), "60 million"),
    "truncated JPEG": (picture(size=(400, 300))[:-200], "damaged"),
    "truncated PNG": (picture("PNG", size=(400, 300))[:60], "damaged"),
    "polyglot with a script": (picture() + b"<script>alert(1)</script>", "script"),
    "polyglot with a comment": (picture(comment=b"<ScRiPt >x"), "script"),
    "polyglot with an archive": (archive(), "archive"),
    "polyglot with a document": (picture() + b"\n%PDF-1.4\n", "archive"),
    "SVG": (SVG, "no JPEG"),
    "SVG with a script": (SVG[:-6] + b"<script>1</script></svg>", "script"),
    "HTML": (b"<!doctype html><title>x</title>", "page"),
    "GIF": (picture("GIF", mode="P"), "no JPEG"),
    "several pictures": (several(), "several"),
    "empty": (b"", "empty"),
    "noise": (bytes(range(256)) * 40, "no JPEG"),
    "40 MB and more": (b"\xff\xd8" + bytes(40 * 1024 * 1024), "40 MB"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_files_are_refused_with_the_reason_and_soon(name):
    data, words = HOSTILE[name]
    began = time.perf_counter()
    with pytest.raises(PictureError, match=words):
        read_picture(data)
    assert time.perf_counter() - began < 30  # usually well under a second; the machine may be busy


def test_originals_are_kept_by_hash_for_the_program_alone(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    data = picture()
    digest = read_picture(data).digest
    path = keep_original(data, digest)
    assert path.read_bytes() == data and path.name == digest and path.stat().st_mode & 0o077 == 0
    assert keep_original(data, digest) == path and len(list(tmp_path.rglob("*"))) == 3
