"""Nothing private leaves the house, and what is public does: every text of every model has a word of its own."""

from __future__ import annotations

import ast

import pytest
from django.core.files.storage import default_storage

from inventory.models import (
    Citation,
    Claim,
    Consent,
    Event,
    Instrument,
    Layer,
    Maker,
    Part,
    Photograph,
    Place,
    Source,
)
from publishing.catalogue.export import export_catalogue
from tests.publishing.canaries import (
    STRUCTURES,
    Canary,
    Planter,
    World,
    found_in,
    house_models,
    is_private,
    plant_rows,
    text_fields,
)
from tests.publishing.conftest import ROOT

LANGUAGES = ("en", "fr", "es")
CONFIDENTIAL = {
    "draft": {"state": "draft"},
    "in review": {"state": "in review"},
    "withdrawn before it was public": {"state": "withdrawn", "audience": "team"},
    "for the team": {"audience": "team"},
    "for people who are signed in": {"audience": "signed in"},
    "for named persons": {"audience": "named"},
}
NEVER_PRINTED = {
    "photograph.file": "only a picture made anew is shown; the original's name stays",
    "consent.until": "a consent is permission, not content",
    "maker.sort_name": "an order, not a text",
    **{
        f"{root}.withdrawn_because": "printed on the page that a withdrawn record leaves; these are not withdrawn"
        for root in ("instrument", "maker", "place", "source")
    },
}
"""Public by the rule, yet in no page on purpose."""

NOT_PRINTED_YET = {
    "authorityid.value", "criterion.meanings", "criterion.more_means", "criterion.name", "criterion.names",
    "criterion.scale", "device.what_to_look_for",
    "fieldstate.note", "keyboard.compass_as_written", "makername.language", "movement.when",
    "photograph.direction", "segment.when", "source.transcription", "source.translation",
    "specification.as_written", "specification.language", "term.explanation", "term.names",
}  # fmt: skip
"""Public fields that no page and no table of data prints yet: take out what begins to be printed."""


CONDITION_NEVER_PRINTED = {
    "defect.where",  # may say which panel lifts: the kind and the part are printed, the place is not
}
"""The same, of what a consent for condition opens: on purpose."""


PRINTED_WITH_DANGER = {"criterion.meanings", "criterion.more_means", "criterion.name", "criterion.names"}
"""Criteria are printed where something is judged by them in public."""


def plant_everything(planter: Planter) -> World:
    """Two public sets, one of every confidential kind, and rows that public records keep for fewer people."""
    neighbour = World(planter, "neighbour")
    public = World(planter, "public", beside=neighbour)
    for audience in ("signed in", "team", "named"):
        plant_rows(planter, public, audience)
    for where, how in CONFIDENTIAL.items():
        hidden = World(planter, where, beside=neighbour, **how)
        name_from_outside(planter, public, hidden)
    return public


def name_from_outside(planter: Planter, public: World, hidden: World) -> None:
    """Public rows of a public instrument that point to a confidential maker, place, source and instrument."""
    instrument = {"instrument": public.get(Instrument)}
    maker, place, source = hidden.get(Maker), hidden.get(Place), hidden.get(Source)
    public.make(Event, **instrument, maker=maker, place=place, from_place=place)
    public.make(Layer, **instrument, maker=maker)
    public.make(Citation, **instrument, maker=None, place=None, source=source)
    public.make(Claim, **instrument, maker=None, place=None, source=source, preferred=False)
    before, public.beside = public.beside, hidden
    for model in ("tie", "makertie"):
        public.make(Instrument._meta.apps.get_model("inventory", model))
    public.beside = before
    other = public.make(Place, parent=place)
    public.make(Maker, workshop_place=place)
    public.make(Instrument, place=place)
    public.make(Instrument, place=other)


def secret(canary: Canary, consents: frozenset[str]) -> bool:
    """Whether everybody must be kept from it: by the field, the row or the record it stands in.

    The vocabulary of devices and the criteria of danger are published whole, whoever uses a word of them.
    """
    if canary.field.startswith(("device.", "criterion.")) or canary.where == "vocabulary":
        return False
    return canary.where not in ("public", "neighbour") or is_private(canary, consents)


@pytest.mark.parametrize(
    "consents",
    [frozenset(), frozenset({"condition"}), frozenset({"danger"})],
    ids=["no consent", "condition", "danger"],
)
def test_every_private_text_is_absent_and_every_public_one_is_printed(house, settings, consents):
    settings.CATALOGUE_LANGUAGES = LANGUAGES
    planter = Planter()
    public = plant_everything(planter)
    for group in consents:
        Consent.objects.create(
            instrument=public.get(Instrument), code="c", group=group, given_by="nobody", when="2020"
        )
    planted = {canary.field for canary in planter.canaries}
    export_catalogue(house / "site")
    found = found_in(house / "site", planter.canaries)

    leaks = [
        f"{canary.field} of “{canary.where}” in {', '.join(places)}"
        for canary, places in found.items()
        if secret(canary, consents)
    ]
    assert leaks == []
    assert text_fields() - planted - structures() == set()
    public_fields = {c.field for c in planter.canaries if c.where == "public" and not is_private(c, consents)}
    wanted = {name for name in public_fields if not name.endswith(".code")} - NEVER_PRINTED.keys()
    unprinted = NOT_PRINTED_YET | (CONDITION_NEVER_PRINTED if "condition" in consents else set())
    unprinted -= PRINTED_WITH_DANGER if "danger" in consents else set()
    assert wanted - {canary.field for canary in found if canary.where == "public"} == unprinted
    for language in LANGUAGES:
        own = {name for name in wanted if language_of(name) == language}
        assert own and own - printed_in(found, language) == unprinted & own, language


def language_of(name: str) -> str:
    """The language of a field: that of its name's end or of what was planted in it, else the record's own."""
    if name in ("criterion.names", "criterion.meanings"):
        return "fr"
    return next((language for language in LANGUAGES[1:] if name.endswith(f"_{language}")), LANGUAGES[0])


def printed_in(found: dict[Canary, list[str]], language: str) -> set[str]:
    """Public fields whose words stand in pages or data of this language: in its folder, or outside those of others."""
    others = tuple(f"{other}/" for other in LANGUAGES[1:] if other != language)
    home = f"{language}/" if language != LANGUAGES[0] else ""
    return {
        canary.field
        for canary, places in found.items()
        if canary.where == "public"
        and any(at.startswith(home) and not at.startswith(others) for at in places)
    }


def structures() -> set[str]:
    """Fields no word fits into, each with its reason."""
    assert all(STRUCTURES.values()) and STRUCTURES.keys() <= text_fields()
    return set(STRUCTURES)


def test_publishing_never_names_the_history_or_the_workroom_s_own_tables():
    names = {model.__name__ for model in house_models()} - {
        "User"
    }  # who makes an edition, who keeps the demo
    assert {"Change", "Confidence"} <= names
    for module in sorted((ROOT / "publishing").rglob("*.py")):
        if "desk" not in module.parts:
            used = {node.id for node in ast.walk(ast.parse(module.read_text())) if isinstance(node, ast.Name)}
            assert not used & names, module


def test_control_a_private_text_carried_into_a_page_is_found(house):
    """The same check, on a site somebody spoiled in three ways."""
    planter = Planter()
    public = World(planter, "public")
    export_catalogue(house / "site")
    instrument = public.get(Instrument)
    page = house / "site" / f"instruments/{instrument.reference}.html"
    entities = "".join(f"&#{ord(sign)};" for sign in instrument.owner)
    page.write_text(page.read_text().replace("</main>", f"<!-- {entities} --></main>"))
    picture = next((house / "site" / "pictures").glob("*.jpg"))
    picture.write_bytes(default_storage.open(public.get(Photograph).file.name).read())
    (house / "site" / f"{public.get(Part).opening}.txt").write_bytes(b"")
    leaked = {canary.field for canary in found_in(house / "site", planter.canaries) if is_private(canary)}
    assert {"instrument.owner", "photograph.private_note", "part.opening"} <= leaked
