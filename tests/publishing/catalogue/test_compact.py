"""Stylesheet and scripts travel without idle signs; texts, patterns and ends of lines stay."""

from __future__ import annotations

import shutil
import subprocess
from importlib.resources import files

import pytest

from publishing.catalogue.assets import (
    COMMON,
    RARE,
    SCRIPTS,
    font,
    scripts,
    stylesheet,
    unicode_ranges,
)
from publishing.catalogue.compact import compact_script, compact_styles


def test_styles_keep_texts_and_sums_and_lose_comments():
    written = (
        '/* a */\n.a, .b { content: " ;  { "; width: calc(100% - 2rem); }\n@media (a) and (b) { i { c: d; } }'
    )
    assert compact_styles(written) == (
        '.a,.b{content:" ;  { ";width:calc(100% - 2rem)}@media (a) and (b){i{c:d}}\n'
    )


def test_scripts_keep_texts_patterns_and_lines():
    written = (
        '/** Says\n * it. */\n// gone\nconst a = b ? "x , y" : `c , ${ d }`;\n\n'
        "  e = f.replace(/ , /g, g);\nreturn\n  a - -b + +c;\n"
    )
    assert compact_script(written) == (
        'const a=b?"x , y":`c , ${ d }`;\ne = f.replace(/ , /g, g);\nreturn\na - -b + +c;\n'
    )


def test_a_text_over_the_end_of_a_line_is_refused():
    with pytest.raises(ValueError, match="goes over the end"):
        compact_script("const a = `b\nc`;")


@pytest.mark.skipif(shutil.which("node") is None, reason="no node on this machine to read scripts with")
def test_every_compact_script_can_still_be_read(tmp_path):
    for name, content in scripts():
        (tmp_path / name).write_bytes(content)
        assert subprocess.run(["node", "--check", tmp_path / name], capture_output=True).returncode == 0, name


def test_what_travels_is_a_quarter_smaller_than_what_is_written():
    folder = files("publishing.catalogue") / "assets"
    written = sum(len((folder / f"{name}.js").read_bytes()) for name in SCRIPTS)
    assert sum(len(content) for _name, content in scripts()) < 0.76 * written


def test_letters_are_in_one_part_of_the_fonts_each_and_the_styles_name_them():
    assert not {*COMMON} & {*RARE}
    assert unicode_ranges("abcx") == "U+61-63,U+78"
    sheet = stylesheet()[1].decode()
    assert "U+0;" not in sheet and "U+0-more" not in sheet
    assert sheet.count(unicode_ranges(RARE)) == 3  # regular, italic, semibold; the rest is in the first file
    assert "ř" in RARE and "é" in COMMON and "♯" in COMMON


def test_the_part_most_pages_load_is_small():
    assert len(font("serif-regular")) + len(font("serif-semibold")) < 28_000
