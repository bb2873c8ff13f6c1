"""One file of the catalogue as an export would write it now; with one record as if it were released today.

The pages are made by the catalogue's own makers from what disclosure gives, so that a preview can show nothing
that an export would not. An instrument's page needs that instrument only; lists and figures need every
instrument's parts, which are kept in a file of their own between previews.
"""

from __future__ import annotations

import re
import threading
from collections import deque
from collections.abc import Iterator, Mapping
from functools import cached_property
from itertools import chain
from pathlib import Path

from django.conf import settings
from django.utils import translation

from inventory.models import Root
from publishing.catalogue.assets import asset_files
from publishing.catalogue.kept import Kept, KeptDamaged, forget
from publishing.catalogue.languages import plain_path
from publishing.catalogue.making import make_instruments, part_names
from publishing.catalogue.packing import pack
from publishing.catalogue.page_scripts import page_script_files
from publishing.catalogue.pages import Catalogue
from publishing.catalogue.pictures import PictureMaker
from publishing.catalogue.program import version_of_kept
from publishing.catalogue.rendering import Renderer
from publishing.catalogue.stages import Stage
from publishing.catalogue.statistics_page import small_script
from publishing.disclosure.door import as_if_released
from publishing.disclosure.instruments import read_instruments
from publishing.snapshot import reading_snapshot

KEPT = "preview-parts.sqlite3"
_INSTRUMENT = re.compile(r"instruments/([A-Za-z0-9_-][A-Za-z0-9._-]*?)(?:\.html|\.[a-z0-9.-]+)")
_PICTURE = re.compile(r"pictures/([0-9a-f]{20}-[a-z]+\.[a-z]+)")
_STAGES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"(index|instruments/index|instruments/parts/.+)\.html", ("home",)),
    (r"shared-pipes\.html|parts/shared-pipes-.+", ("shared",)),
    (r"method\.html", ("method",)),
    (r"statistics.*\.html|statistics/[^/]+", ("figures",)),
    (r"search\.html|assets/search-data\..+", ("search",)),
    (r"map\.html|map/.+", ("map",)),
    (r"methods/.+", ("ways",)),
    (r"timeline\.html|timeline/.+", ("time",)),
    (r"(condition|glossary|report)\.html", ("around",)),
    (r"(data|cite|editions|changes)\.html|editions/[^/]+\.html", ("data",)),
    (r"data/.+|editions/.+|[^/]+\.(xml|atom|txt|cff|json)", ("package",)),
    (r"(makers|places|sources)/.+", ("records", "gone")),
    (r"instruments/.+\.html", ("gone",)),
)
"""Which stage makes a path, without its language."""
_one_at_a_time = threading.Lock()


class PreviewKept(Kept):
    """Keeps the parts of instruments, and no pages: every page that is asked for is made."""

    def page(self, path: str) -> bytes:
        """No page was kept."""
        return b""

    def put_page(self, path: str, digest: bytes) -> None:
        """No page is kept."""


class Preview(Catalogue):
    """An export of which one file is wanted."""

    asked = ""
    """The language of the page that is wanted."""

    def renderers(self) -> list[Renderer]:
        """Pages that are made in all languages at once are made in one."""
        return [one.renderer for one in self.tongues if one.languages.here == self.asked]

    def file(self, path: str) -> bytes | None:
        """The bytes of a path; None where an export writes no such file."""
        for known, content in self._without_records(path):
            if known == path:
                return content
        plain = plain_path(path)
        found = _INSTRUMENT.fullmatch(plain)
        if found and found[1] in self._keys:
            return self._of_instrument(found[1]).get(path)
        self.asked = self._language(path)
        names = next((names for pattern, names in _STAGES if re.fullmatch(pattern, plain)), ())
        for stage in self._stages_named(names):
            if stage.name.partition(":")[2] in ("", self._language(path)):
                for made, content in stage.make():
                    if made == path:
                        return content
        return None

    def _without_records(self, path: str) -> Iterator[tuple[str, bytes]]:
        if path.startswith("assets/"):
            yield from chain(
                asset_files(), page_script_files(), map(small_script, ("filter", "registrations"))
            )
        picture = _PICTURE.fullmatch(path)
        if picture:  # derived when the page that shows it was made
            kept = self.pictures.keep / picture[1] if self.pictures.keep else None
            if kept is not None and kept.is_file():
                yield path, kept.read_bytes()

    @cached_property
    def _keys(self) -> Mapping[str, int]:
        return {link.reference: pk for pk, link in self.collection.instruments.items()}

    def _of_instrument(self, reference: str) -> dict[str, bytes]:
        organs = read_instruments([self._keys[reference]], self.collection)
        (made,) = make_instruments(pack(self.facts), organs)
        return dict(made.files)

    def _stages_named(self, names: tuple[str, ...]) -> Iterator[Stage]:
        for stage in self._free_stages() if names else ():
            if stage.name in names:
                self._gather(stage)
                yield stage
        for tongue in self.tongues if names else ():
            for stage in tongue.stages():
                if stage.name.partition(":")[0] in names:
                    self._gather(stage)
                    if stage.name.startswith("records:"):
                        self.statistics.profiles = self.statistics.maker_profiles()
                    if stage.name.startswith("data:"):
                        deque(self.data.files(), maxlen=0)  # its pages tell of its files
                    yield stage

    def _gather(self, stage: Stage) -> None:
        """Bring up to date what instruments give to lists and figures, if this stage tells of any."""
        parts = {*part_names(self.codes), "package"}
        if not self.gathered and parts & {*stage.inputs, stage.name}:
            deque(self._instruments(), maxlen=0)
            self.gathered = True

    gathered = False

    def _language(self, path: str) -> str:
        folder = path.partition("/")[0]
        return folder if folder in self.codes[1:] else self.codes[0]


def preview_file(path: str, root: Root | None = None) -> bytes | None:
    """The bytes an export would write at a path now, with a record as if it were released; None where none."""
    kept_at = Path(settings.DATA_DIR) / KEPT
    pictures = PictureMaker(keep=Path(settings.DATA_DIR) / "derived-pictures")
    with (
        _one_at_a_time,
        translation.override(settings.CATALOGUE_LANGUAGES[0]),
        reading_snapshot(),
        as_if_released(root),
    ):
        for place in (kept_at, None):
            kept = PreviewKept(place, version_of_kept(None), "")
            try:
                found = Preview(pictures, None, kept=kept).file(path)
                kept.commit("")
                return found
            except KeptDamaged:
                forget(kept_at)
            finally:
                kept.close()
    return None
