"""Pages, stylesheet and drawings before the Nu HTML checker: every template, with a full record and with none."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from inventory.models import Chest, Consent, Device, Instrument, Role, Segment, User
from publishing.catalogue import statistics_page
from publishing.catalogue.export import NewEdition, export_catalogue
from publishing.catalogue.rendering import Renderer
from publishing.disclosure.door import CONSENT_GROUPS
from publishing.formats.addresses import read_address
from tests.factory import add_shared_rank
from tests.publishing.canaries import Planter, World
from tests.tools.fetch_nu_checker import messages, why_not

pytestmark = pytest.mark.slow
TEMPLATES = Path(__file__).resolve().parents[3] / "publishing" / "catalogue" / "templates"
FAULTS = {
    "nested.html": ("<p>a<p><ul><p>b</ul></p>", "ul"),
    "twice.html": ('<i id="a"></i><i id="a"></i>', "Duplicate ID"),
    "picture.html": ('<img src="a.png">', "alt"),
    "attribute.html": ('<td scope="roww">', "Stray start tag"),
}


def told(found: list[dict]) -> list[str]:
    return sorted(
        {
            f"{one['page']}: {one['message']}"
            for one in found
            if one["type"] in ("error", "non-document-error")
        }
    )


@pytest.fixture
def checker():
    reason = why_not()
    if reason:
        pytest.skip(reason)
    return messages


@pytest.fixture
def rendered(monkeypatch) -> set[str]:
    """Templates that were rendered, with everything they are made of."""
    seen: set[str] = set()
    page = Renderer.page

    def noted(self, template: str, path: str, **context):
        seen.update(made_of(template))
        return page(self, template, path, **context)

    monkeypatch.setattr(Renderer, "page", noted)
    return seen


def made_of(template: str) -> set[str]:
    found = {template}
    for other in re.findall(
        r'{%-? (?:extends|import|include|from) "([^"]+)"', (TEMPLATES / template).read_text()
    ):
        found |= made_of(other)
    return found


def full_collection(house) -> None:
    """One of everything; an octave extension with flaps, its chest in order; consents; a record withdrawn."""
    planter = Planter()
    world = World(planter, "public", beside=World(planter, "neighbour"))
    World(planter, "gone", state="withdrawn")
    public = Instrument.objects.filter(state="released", audience="public").order_by("pk")
    for instrument in public:
        for group in sorted(CONSENT_GROUPS):
            Consent.objects.get_or_create(
                instrument=instrument, group=group, defaults={"code": f"c-{group}"[:20]}
            )
    editor = User.objects.create_user(username="editor", password="a long enough word", role=Role.EDITOR)
    instrument = Instrument.objects.create(
        reference="ORG-9001", name="Chancel organ", status="in use", state="released", audience="public",
        version=2, released_version=2, place=world.get(Instrument).place,
    )  # fmt: skip
    specification = add_shared_rank(instrument, editor)
    flaps = Device.objects.create(code="flap-valves", names={"en": "flap valves"}, non_return="inherent")
    chest = Chest.objects.create(
        specification=specification, code="main", name="Main chest", kind="slider",
        stop_order=["flute-8", "flute-4"], channel_order=[f"I:{key}" for key in range(1, 57)], viewed="back",
    )  # fmt: skip
    Segment.objects.filter(stop__specification=specification).update(device=flaps, chest=chest)


def test_every_template_passes_with_the_fullest_and_with_an_empty_record(
    house, checker, rendered, monkeypatch
):
    # So that a long list of groups has a page of its own.
    monkeypatch.setattr(statistics_page, "MOST_GROUPS", 1)
    monkeypatch.setattr(statistics_page.ViewPages, "most_groups", 1)
    export_catalogue(house / "site" / "empty")
    Instrument.objects.create(
        reference="ORG-9000", name="Bare organ", status="silent", state="released", audience="public", version=2,
        released_version=2,
    )  # fmt: skip
    export_catalogue(house / "site" / "bare")
    full_collection(house)
    editor = User.objects.get(username="editor")
    export_catalogue(
        house / "site" / "full", address=read_address("https://organs.example/c/"),
        edition=NewEdition(editor, "First", "All of it."),
    )  # fmt: skip
    missing = {path.name for path in TEMPLATES.iterdir()} - rendered
    assert missing == set(), "no page of the test was made of these templates: give the test a record that is"
    for name, (body, _says) in FAULTS.items():
        planted = house / "site" / "planted" / name
        planted.parent.mkdir(exist_ok=True)
        planted.write_text(
            f'<!doctype html><html lang="en"><head><title>t</title></head><body>{body}</body></html>'
        )
    (house / "site" / "planted" / "bad.css").write_text("a { colour: red; }")
    (house / "site" / "planted" / "bad.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><rect widht="2"/></svg>'
    )
    found = told(checker(house / "site"))
    planted = [one for one in found if one.startswith("planted/")]
    assert [one for one in found if one not in planted] == []
    for name, (_body, says) in FAULTS.items():
        assert any(one.startswith(f"planted/{name}") and says in one for one in planted), (name, planted)
    for name in ("bad.css", "bad.svg"):
        assert any(one.startswith(f"planted/{name}") for one in planted), (name, planted)
