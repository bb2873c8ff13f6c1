"""Remake inventory/organ/repertoire_counts.csv.gz: which notes sound together, and for how long.

Not a test, and music21 is not a dependency of this project. In a throwaway environment:

    python -m venv m21 && m21/bin/pip install music21==10.5.1
    m21/bin/python tests/benchmarks/count_chorales.py inventory/organ/repertoire_counts.csv.gz

It reads the four-part chorales that the package carries, leaves out every file that
carries a reservation of rights, and writes sums only: sets of notes and the quarters they
last, added up over all pieces and sorted. No title, order, part or encoding is kept.
"""

from __future__ import annotations

import gzip
import io
import re
import sys
import zipfile
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

# Words by which an encoder keeps rights over formats derived from a file, or limits its use.
# Read inside every file: three say "Rights to all derivative electronic formats reserved".
RESERVED = re.compile(r"rights[^<\n]{0,60}reserved|derivative|non-?commercial|licensing agreement", re.I)


def text_of(path: Path) -> str:
    """All text of a score file, zipped or not."""
    if path.suffix == ".mxl":
        with zipfile.ZipFile(path) as packed:
            return "\n".join(packed.read(name).decode("utf-8", "replace") for name in packed.namelist())
    return path.read_text("utf-8", "replace")


def simultaneities(score: Any) -> Counter[tuple[int, ...]]:
    """Quarters that each set of notes sounds in one score; silence is left out."""
    sounding: list[tuple[Fraction, Fraction, int]] = []
    for part in score.parts:
        for element in part.flatten().notes:
            start = Fraction(element.offset).limit_denominator(1000)
            length = Fraction(element.duration.quarterLength).limit_denominator(1000)
            if length > 0:
                sounding += [(start, start + length, pitch.midi) for pitch in element.pitches]
    moments = sorted({moment for start, end, _ in sounding for moment in (start, end)})
    found: Counter[tuple[int, ...]] = Counter()
    for start, end in zip(moments, moments[1:], strict=False):
        notes = tuple(sorted({n for begin, stop, n in sounding if begin <= start and stop >= end}))
        if notes:
            found[notes] += end - start  # type: ignore[assignment]
    return found


def main(target: Path) -> None:
    """Count every chorale allowed and write the table."""
    from music21 import corpus

    total: Counter[tuple[int, ...]] = Counter()
    used, reserved, other_parts, unread = 0, 0, 0, 0
    for path in sorted(corpus.getComposer("bach")):
        if "choraleAnalyses" in path.parts:
            continue
        if RESERVED.search(text_of(path)):
            reserved += 1
            continue
        try:
            score = corpus.parse(str(path))
        except Exception as problem:  # one bad file must not hide: it is counted and named
            print("not read:", path.name, problem, file=sys.stderr)
            unread += 1
            continue
        if len(getattr(score, "parts", ())) != 4:
            other_parts += 1
            continue
        total.update(simultaneities(score.toSoundingPitch()))
        used += 1
    unit = max((Fraction(v).denominator for v in total.values()), default=1)
    while any((Fraction(v) * unit).denominator != 1 for v in total.values()):
        unit += 1
    text = io.StringIO()
    text.write(f"# {used} four-part chorales; weight in 1/{unit} of a quarter note; notes are MIDI numbers\n")
    text.write("weight,notes\n")
    for notes in sorted(total):
        text.write(f"{int(Fraction(total[notes]) * unit)},{' '.join(map(str, notes))}\n")
    # No file name and no time inside, so that the same counts are the same bytes.
    with target.open("wb") as file, gzip.GzipFile("", "wb", 9, file, mtime=0) as packed:
        packed.write(text.getvalue().encode())
    print(
        f"{used} chorales used, {reserved} left out (rights reserved), {other_parts} not in four parts, "
        f"{unread} not read; {len(total)} distinct simultaneities, {target.stat().st_size} bytes"
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
