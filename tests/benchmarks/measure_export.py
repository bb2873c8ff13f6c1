"""The export beside a general static exporter for Django, on the same pages of instruments; run as a program.

    pip install -r tests/benchmarks/export_requirements.txt
    python -m tests.benchmarks.measure_export FOLDER [PAGES]

FOLDER lies on a memory disk; the database is that of UPPERBOARD_DATA (`manage.py make_collection`). Both ways
write PAGES pages of instruments in one language and must write the same bytes; seconds are of the processor.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable
from itertools import islice
from pathlib import Path


def seconds_of(work: Callable[[], object]) -> float:
    """Seconds of the processor that some work takes."""
    started = time.process_time()
    work()
    return time.process_time() - started


def ours(folder: Path, pages: int) -> Callable[[], None]:
    """Our way: chunks, compiled templates, links collected, parts for lists kept, written and swapped as a site."""
    from publishing.catalogue.pages import Catalogue
    from publishing.catalogue.pictures import PictureMaker
    from publishing.catalogue.writing import write_site

    def work() -> None:
        from django.conf import settings

        catalogue = Catalogue(PictureMaker(keep=Path(settings.DATA_DIR) / "derived-pictures"))
        made = (page for page in catalogue._instruments() if page[0].endswith(".html"))
        write_site(islice(made, pages), folder)

    return work


def distilled(folder: Path, pages: int) -> Callable[[], None]:
    """The general exporter's way: a request for each page."""
    from django_distill.renderer import DistillRenderer
    from django_distill.urls import get_distilled_urls

    from tests.benchmarks import naive_urls

    every, (pattern,) = naive_urls.references(), get_distilled_urls()
    pattern.distill_func = lambda: every[:pages]
    return lambda: DistillRenderer([pattern]).render_to_directory(str(folder))


def main(folder: Path, pages: int) -> None:
    """Measure and print."""
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.benchmarks.distill_settings")
    django.setup()
    from publishing.disclosure.instruments import open_collection
    from tests.benchmarks import naive_urls

    some = min(pages, 100)
    taken = {
        "ours, sheets for print typeset for the first time": seconds_of(ours(folder / "first", pages)) / pages
    }
    # From here on every way finds the sheets by their hash, as an export after the first does.
    taken["ours"] = seconds_of(ours(folder / "ours", pages)) / pages
    taken["a request a page"] = seconds_of(distilled(folder / "naive", some)) / some
    naive_urls.KEPT["whole"] = open_collection()
    taken["a request a page, links read once"] = seconds_of(distilled(folder / "careful", pages)) / pages
    content = [path.read_bytes() for path in sorted((folder / "ours" / "instruments").glob("*.html"))]
    floor = folder / "floor"
    floor.mkdir()
    taken["writing alone"] = seconds_of(
        lambda: [(floor / str(number)).write_bytes(one) for number, one in enumerate(content)]
    ) / len(content)
    for way in ("naive", "careful"):
        for path in sorted((folder / way / "instruments").glob("*.html")):
            assert path.read_bytes() == (folder / "ours" / "instruments" / path.name).read_bytes(), path
    size, among = sum(map(len, content)) // pages, len(open_collection().instruments)
    print(f"{pages} pages of {among} instruments, {size:,} bytes a page")
    for way, each in taken.items():
        print(f"{1000 * each:9.2f} ms a page  {each / taken['ours']:6.2f} × ours  {way}")
    print(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB at most")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 300)
