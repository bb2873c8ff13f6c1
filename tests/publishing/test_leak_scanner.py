"""The scanner finds a word in every carrier, and finds nothing where nothing is."""

import base64
import gzip
import io
import json
import os
import re
import tarfile
import zipfile
import zlib
from urllib.parse import quote

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from tests.publishing.leak_scanner import Scanner, _any_of

WORD = "zqabcqz"
PHRASE = "Widow Ærnlöf’s key"


def picture(form: str, **options) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((60, 40), 50).convert("RGB").save(out, form, **options)
    return out.getvalue()


def exif_with(word: str, wide: bool = False) -> Image.Exif:
    exif = Image.Exif()
    exif[0x010E] = "nothing" if wide else word
    if wide:
        exif.get_ifd(0x8769)[0x9286] = b"UNICODE\0" + word.encode("utf-16-le")
    return exif


def png_text(word: str, packed: bool) -> bytes:
    info = PngInfo()
    info.add_text("Comment", word * 2, zip=packed)
    return picture("PNG", pnginfo=info)


def zipped(name: str, content: str, comment: str = "") -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.comment = comment.encode()
        archive.writestr(name, content)
    return out.getvalue()


def tarred(name: str, content: bytes) -> bytes:
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w:gz") as archive:
        entry = tarfile.TarInfo(name)
        entry.size = len(content)
        archive.addfile(entry, io.BytesIO(content))
    return out.getvalue()


XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:Description dc:title="&#122;q&#x61;bcqz"/></x:xmpmeta>'
CARRIERS = {
    "plain text": f"the {WORD} stands here".encode(),
    "capitals": WORD.upper().encode(),
    "decimal entities": "".join(f"&#{ord(sign)};" for sign in WORD).encode(),
    "hexadecimal entities": "".join(f"&#x{ord(sign):x};" for sign in WORD).encode(),
    "entities escaped twice": "".join(f"&amp;#{ord(sign)};" for sign in WORD).encode(),
    "split by tags": b"zq<b>abc</b>q<i>z</i>",
    "split by soft hyphens": "zq\u00adabc\u200bqz".encode(),
    "address escapes": "".join(f"%{ord(sign):02X}" for sign in WORD).encode(),
    "JSON escapes": json.dumps({"a": "".join(f"\\u{ord(sign):04x}" for sign in WORD)})
    .replace("\\\\", "\\")
    .encode(),
    "style sheet escapes": b'content: "\\7A q\\61 bcqz"',
    "base64": base64.b64encode(f"a longer text with {WORD} in it".encode()),
    "base64 in lines": base64.encodebytes(b"x" * 70 + WORD.encode() + b"y" * 70),
    "data address": b'<img src="data:text/plain;base64,' + base64.b64encode(b"some " + WORD.encode()) + b'">',
    "hexadecimal": b"id=" + WORD.encode().hex().encode(),
    "UTF-16": f"wide {WORD} text".encode("utf-16"),
    "gzip": gzip.compress(WORD.encode() * 3),
    "stream": b"header" + zlib.compress(WORD.encode() * 3),
    "zip content": zipped("a.txt", WORD * 3),
    "zip name": zipped(f"{WORD}.txt", "nothing"),
    "zip comment": zipped("a.txt", "nothing", WORD),
    "zip in zip": zipped("b.txt", base64.b64encode(zipped("a.txt", WORD)).decode()),
    "tar, gzipped": tarred("a.txt", WORD.encode()),
    "JPEG comment": picture("JPEG", comment=WORD.encode()),
    "JPEG description": picture("JPEG", exif=exif_with(WORD)),
    "JPEG wide user comment": picture("JPEG", exif=exif_with(WORD, wide=True)),
    "XMP with entities": picture("JPEG", xmp=XMP),
    "PNG text": png_text(WORD, packed=False),
    "PNG packed text": png_text(WORD, packed=True),
    "after the picture's end": picture("JPEG") + WORD.encode(),
    "SVG title": f"<svg><title>{''.join(f'&#{ord(s)};' for s in WORD)}</title></svg>".encode(),
    "search index": json.dumps({"tokens": {"z": ["other", WORD]}}).encode(),
}


@pytest.mark.parametrize("name", CARRIERS)
def test_a_word_is_found_in_every_carrier(name):
    assert {word for word, _how in Scanner([WORD, "zqotherqz"]).content(CARRIERS[name])} == {WORD}


@pytest.mark.parametrize(
    "carrier",
    [
        PHRASE.encode(),
        PHRASE.upper().encode(),
        quote(PHRASE).encode(),
        json.dumps(PHRASE).encode(),
        "Widow Ærnlo\u0308f’s key".encode(),
        b"Widow &AElig;rnl&ouml;f&rsquo;s key",
    ],
    ids=["plain", "capitals", "address", "json", "decomposed", "entities"],
)
def test_a_phrase_with_accents_is_found_however_it_is_written(carrier):
    assert Scanner([PHRASE]).content(carrier)


@pytest.mark.parametrize(
    "clean",
    [
        b"nothing of the kind, zqab cqz, zqabdqz",
        picture("JPEG"),
        picture("PNG"),
        base64.b64encode(bytes(range(256)) * 20),
        gzip.compress(b"clean " * 400),
        b"",
        b"\\u %zz &#; PK\x03\x04 \x1f\x8b\x08 x\x9c broken of every kind",
    ],
    # Names of their own: packed bytes hold the hour, and two workers must agree on the names.
    ids=["words", "jpeg", "png", "base64", "packed", "nothing", "broken"],
)
def test_what_is_clean_raises_no_alarm(clean):
    assert Scanner([WORD, PHRASE]).content(clean) == set()


def test_names_hidden_files_and_links_of_a_folder_are_read_too(tmp_path):
    (tmp_path / f"{WORD}.html").write_bytes(b"clean")
    (tmp_path / "%7aqabcqz").mkdir()
    (tmp_path / ".hidden").write_bytes(gzip.compress(WORD.encode()))
    os.symlink(f"/nowhere/{WORD}", tmp_path / "link")
    (tmp_path / "clean.html").write_bytes(b"clean")
    assert {hit.path for hit in Scanner([WORD]).folder(tmp_path)} == {
        f"{WORD}.html",
        "%7aqabcqz",
        ".hidden",
        "link",
    }
    assert len(CARRIERS) >= 20


def test_a_scanner_without_words_is_refused():
    with pytest.raises(ValueError, match="at least one word"):
        Scanner([])


@given(st.sets(st.text("ab.(", min_size=1, max_size=5), min_size=1), st.text("ab.(", max_size=40))
def test_the_longest_word_at_a_place_is_found_as_by_a_plain_list_of_words(words, text):
    longest_first = sorted(words, key=lambda word: (-len(word), word))
    listed = re.compile("|".join(map(re.escape, longest_first)))
    assert re.compile(_any_of(words)).findall(text) == listed.findall(text)
