"""A record of each kind with hostile rows side by side, and what pages show of them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from django.apps import apps
from django.db import models
from django.forms import ModelForm, modelform_factory
from django.template.loader import get_template
from django.utils.html import escape

from inventory.curating.forms import make_form
from inventory.curating.parts import PARTS, Reader
from inventory.models import Instrument, Maker, Place, Source, User
from inventory.models.choices import Audience
from tests.inventory.hostile_rows import MARK, Filled, Packer, fill, models_with_texts
from tests.inventory.hostile_scripts import EVERYTHING
from tests.inventory.markup import Markup
from tests.publishing.canaries import Planter, World

PLURALS = {Instrument: "instruments", Maker: "makers", Place: "places", Source: "sources"}
WORDS_INSIDE = {"term.names": "en", "device.names": "en", "criterion.scale": "0", "criterion.names": "fr",
                "criterion.meanings": "fr"}  # fmt: skip
"""Structures that hold words for readers, with a place for a word in them."""
ONE_EACH = {"worksplan"}
"""Kinds of rows of which a record holds one: it is saved again for each of its values."""
SET_BY_ACTIONS = {"findinganswer.finding", "findinganswer.facts"}
"""Texts nobody types: codes and digests that the action writes."""
BACK_OFFICE = {
    "fieldstate", "tie", "makertie", "division", "count", "rank", "rankrange", "pipereading", "chest", "segment", "term",
    "device", "criterion", "keyboard", "control", "coupler", "accessory",
}  # fmt: skip
"""Kinds of rows with fields that only the back office and programs ask for."""


class Worlds:
    """One row of each kind, hanging together, and hostile rows beside each."""

    def __init__(self) -> None:
        self.world = World(Planter(), "public")
        self.roots = {kind: self.world.get(kind) for kind in PLURALS}
        self.packer = Packer()
        self.filled: dict[str, list[Filled]] = {}
        for model in (*PLURALS, *(one for one in models_with_texts() if one not in PLURALS)):
            self._fill(model)

    def _fill(self, model: type[models.Model]) -> None:
        name = str(model._meta.model_name)
        row = self.world.made.get(model) or self.world.make(model, other=self._other(model))
        made = self.filled[name] = fill(row, self.packer, leave=SET_BY_ACTIONS)
        for one in made[1:]:
            for flag in ("is_current", "preferred"):
                if hasattr(one.row, flag):
                    setattr(one.row, flag, False)
        for field, key in WORDS_INSIDE.items():
            if field.startswith(f"{name}."):
                setattr(row, field.partition(".")[2], {key: f"{self.packer.mark()} {EVERYTHING}"})
        models.Model.save_base(row)
        if name not in ONE_EACH:
            model._base_manager.bulk_create([one.row for one in made[1:]])

    def _other(self, model: type[models.Model]) -> models.Model:
        """The other end of a tie: the copy of a record."""
        return self.filled[str(model._meta.get_field("other").related_model._meta.model_name)][1].row

    def one_by_one(self) -> Iterator[models.Model]:
        """Rows of which a record holds one, saved again with each further value."""
        for one in (one for name in ONE_EACH for one in self.filled[name][1:]):
            there = type(one.row)._base_manager.get(**{type(one.row).root_path: one.row.get_root()})
            one.row.pk = there.pk
            models.Model.save_base(one.row)
            yield one.row

    def addresses(self) -> list[str]:
        """Pages of the workroom that show rows, with all the hostile rows in them."""
        found = ["/", "/danger/", "/people/", f"/?q={MARK}"]
        for kind, root in self.roots.items():
            one = f"/{PLURALS[kind]}/{root.reference}/"
            found += [one, f"/{PLURALS[kind]}/", f"/choose/{PLURALS[kind]}/?q={MARK}"]
            found += [f"{one}parts/{part.code}/" for part in PARTS[kind] if part.is_fetched_later]
            found += [] if kind is Source else [f"{one}evidence/?about=name"]
        organ = self.roots[Instrument]
        one, code = f"/instruments/{organ.reference}/", organ.specifications.current().get().code
        photograph = self.world.made[apps.get_model("inventory", "photograph")].code
        pages = (
            "findings compare-stoplists course next-visit trials danger works add-photographs read-stoplist"
        )
        found += [f"{one}{page}/" for page in pages.split()]
        found += [f"{one}stoplists/{code}/{page}" for page in ("", "scheme/", "copy/")]
        return [*found, f"{one}photographs/{photograph}/", f"/desk{one}briefs/"]


class Shown:
    """Everything pages showed, as a reader or a form would have it, and whatever no page of ours has."""

    def __init__(self) -> None:
        self.wrong: dict[str, list[str]] = {}
        self.texts: list[str] = []

    def read(self, where: str, html: str) -> None:
        markup = Markup()
        markup.feed(html)
        markup.close()
        told = "".join(markup.text)
        if markup.wrong or "9872" in told:  # 1234 × 8: a template of the server's would have reckoned it
            self.wrong[where] = markup.wrong[:3] or ["a template was carried out"]
        self.texts += [plain(told), *(plain(one) for one in markup.values if len(one) > 3)]

    def missing(self, worlds: Worlds) -> set[str]:
        """Fields of which some value is shown nowhere as it was written."""
        after: dict[str, list[str]] = {}
        for text in self.texts:
            for hit in re.finditer(f"{MARK}...", text):
                after.setdefault(hit.group(), []).append(text[hit.start() : hit.start() + 2500])
        whole = set(self.texts)
        found = set()
        for one in (one for filled in worlds.filled.values() for one in filled):
            for name, packed in one.packed.items():
                value = plain(packed.value)
                marked = any(text.startswith(value) for text in after.get(value[:4], ()))
                if not (marked if value.startswith(MARK) else value in whole):
                    found.add(f"{one.row._meta.model_name}.{name}")
        return found


def plain(text: str) -> str:
    """A text without blanks and ends of lines, which pages are free to set."""
    return re.sub(r"\s", "", text)


def fields_of_forms() -> dict[str, list[str]]:
    """Fields of each model that a form of the workroom asks for, by the model's name."""
    found: dict[str, list[str]] = {}
    for kind, parts in PARTS.items():
        for part in parts:
            for group in part.groups:
                found.setdefault(kind.kind_name(), []).extend(group.fields)
            for rows in part.rows:
                found.setdefault(str(rows.model._meta.model_name), []).extend(rows.fields)
    return found


def forms_of(worlds: Worlds, keeper: User) -> Iterator[tuple[str, str]]:
    """The text fields of each form of each row, as the template of forms writes them, and what the row is called."""
    template = get_template("curating/_field.html")
    asked = fields_of_forms()
    made: dict[tuple[str, ...], type[ModelForm]] = {}
    for name, filled in worlds.filled.items():
        for number, one in enumerate(filled):
            ours = [field for field in asked.get(name, ()) if field in one.packed]
            others = [field for field in one.packed if field not in ours] if name in BACK_OFFICE else []
            html = []
            for fields, is_ours in ((ours, True), (others, False)):
                if not fields:
                    continue
                key = (name, *fields)
                if key not in made and is_ours:
                    reader, root = Reader(keeper, Audience.NAMED), one.row.get_root()  # type: ignore[attr-defined]
                    made[key] = type(make_form(one.row, fields, reader, root))
                elif key not in made:
                    made[key] = modelform_factory(type(one.row), fields=fields)
                form = made[key](instance=one.row)
                html += [template.render({"field": form[field]}) for field in fields]
            yield f"form of {name} {number}", f"<p>{escape(one.row)}</p>{''.join(html)}"
