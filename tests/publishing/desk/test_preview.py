"""The preview gives the bytes of the export, shows nothing private of a draft, and answers editors alone."""

from __future__ import annotations

import pytest
from django.test import Client
from lxml import html

from inventory.actions import change_record, withdraw
from inventory.models import Event, Layer
from publishing.catalogue.export import export_catalogue
from publishing.desk.previewing import KEPT, preview_file
from tests.factory import (
    add_shared_rank,
    make_instrument,
    make_maker,
    make_place,
    make_public,
    make_term,
)

ROLES = ("reader", "surveyor", "curator", "editor", "keeper")
CANARIES = {
    "owner": "zqowner",
    "access_note": "zqaccess",
    "working_note": "zqworking",
    "name": "Zqname organ",
}


@pytest.fixture
def collection(people, settings, tmp_path):
    """Two published instruments by a published maker, a draft full of private facts, one withdrawn."""
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path / "data", str(tmp_path / "media")
    settings.CATALOGUE_LANGUAGES = ("en", "fr")
    (tmp_path / "data").mkdir()
    make_term("event", "built")
    maker = make_public(make_maker(people.curator), people.editor)
    place = make_public(make_place(people.curator), people.editor)
    organs = []
    for name in ("One", "Two", CANARIES["name"], "Gone"):
        facts = {key: text for key, text in CANARIES.items() if key != "name"}
        organ = make_instrument(people.surveyor, name=name, place=place, **facts)
        add_shared_rank(organ, people.curator, keys=12)
        organ.refresh_from_db()
        layer = Layer(instrument=organ, code="built", name="Built", when="1850", maker=maker)
        hidden = Event(
            instrument=organ, code="built", kind_id=_kind(), text="zqevent", audience="team", when="1850"
        )
        organs.append(change_record(organ, version=organ.version, by=people.curator, put=[layer, hidden]))
    first, second = (make_public(one, people.editor) for one in organs[:2])
    gone = make_public(organs[3], people.editor)
    gone = withdraw(gone, version=gone.version, by=people.editor, because="entered twice")
    return {"one": first, "two": second, "draft": organs[2], "gone": gone, "maker": maker, "at": tmp_path}


def _kind() -> int:
    from inventory.models import Term

    return Term.objects.get(vocabulary="event", code="built").pk


def test_every_kind_of_page_is_byte_for_byte_that_of_the_export(collection):
    site = collection["at"] / "site"
    export_catalogue(site)
    files = {path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file()} - {
        ".upperboard-site"
    }
    one, maker = collection["one"].reference, collection["maker"].reference
    asked = {
        "index.html", "fr/index.html", f"instruments/{one}.html", f"fr/instruments/{one}.html", "statistics.html",
        f"instruments/{one}.scheme.json", f"fr/makers/{maker}.html", "method.html", "fr/map.html", "timeline.html",
        "data.html", "data/stops.csv", "search.html", "shared-pipes.html", "fr/condition.html", "methods/index.html",
        f"instruments/{collection['gone'].reference}.html", "statistics/as-found-stops.csv",
    }  # fmt: skip
    asked |= {path for path in files if path.startswith("assets/")}
    asked |= set(sorted(path for path in files if path.startswith(f"instruments/{one}."))[:4])
    assert asked <= files
    wrong = [path for path in sorted(asked) if preview_file(path) != (site / path).read_bytes()]
    assert not wrong
    assert preview_file("nothing.html") is None and preview_file("../secret_key") is None
    assert preview_file("instruments/ORG-NONE.html") is None
    # What was kept between previews does not outlive an edit.
    assert (collection["at"] / "data" / KEPT).exists()


def test_a_draft_is_shown_as_if_released_with_nothing_private_and_in_lists_too(collection):
    draft = collection["draft"]
    path = f"instruments/{draft.reference}.html"
    assert preview_file(path) is None
    seen = {
        one: preview_file(one, draft)
        for one in (path, f"fr/{path}", "instruments/index.html", "data/events.csv")
    }
    assert "Zqname organ" in seen[path].decode() and "Zqname organ" in seen["instruments/index.html"].decode()
    for place, content in seen.items():
        for word in ("zqowner", "zqaccess", "zqworking", "zqevent"):
            assert word not in content.decode(), (place, word)
    # Afterwards nothing of it is left in what others see.
    assert preview_file(path) is None
    assert draft.reference not in preview_file("instruments/index.html").decode()
    draft.refresh_from_db()
    assert draft.state == "draft" and draft.audience == "team"


def test_the_preview_of_a_draft_is_the_page_that_its_release_publishes(collection, people):
    draft = collection["draft"]
    path = f"instruments/{draft.reference}.html"
    seen, before = preview_file(path, draft).decode(), draft.version
    released = make_public(draft, people.editor)
    published = preview_file(path).decode()
    assert seen.replace(f"version {before}", f"version {released.version}") == published


def test_a_withdrawn_record_is_previewed_as_its_page_would_be_again(collection):
    gone = collection["gone"]
    path = f"instruments/{gone.reference}.html"
    assert "entered twice" in preview_file(path).decode()
    assert "entered twice" not in preview_file(path, gone).decode()


def test_only_editors_see_previews_and_nobody_keeps_them(collection, people):
    draft = collection["draft"]
    page = f"instruments/{draft.reference}.html"
    addresses = [
        f"/desk/preview-of/instruments/{draft.reference}/{page}",
        f"/desk/preview-file-of/instruments/{draft.reference}/{page}",
        "/desk/preview/index.html",
        "/desk/preview-file/assets/mark.svg",
    ]
    for address in addresses:
        assert "/sign-in/" in Client().get(address)["Location"]
        for role in ROLES:
            client = Client()
            client.force_login(getattr(people, role))
            answer = client.get(address)
            assert answer.status_code == (200 if role in ("editor", "keeper") else 403), (role, address)
            if answer.status_code == 200:
                assert answer["Cache-Control"] == "private, no-store"
    editor = Client()
    editor.force_login(people.editor)
    bar, bare = editor.get(addresses[0]), editor.get(addresses[1])
    (frame,) = html.fromstring(bar.content.decode()).xpath("//iframe/@src")
    assert frame == addresses[1] and "Nothing of this is published" in bar.content.decode()
    assert bare.content == preview_file(page, draft)
    assert (
        bare["X-Frame-Options"] == "SAMEORIGIN"
        and "frame-ancestors 'self'" in bare["Content-Security-Policy"]
    )
    assert "frame-src 'self'" in bar["Content-Security-Policy"]
    assert editor.get("/desk/preview-file/nothing.html").status_code == 404
    record = editor.get(f"/instruments/{draft.reference}/").content.decode()
    assert addresses[0] in record


def test_a_record_that_is_not_for_an_editor_is_not_previewed_by_one(collection, people):
    secret = make_instrument(people.keeper, audience="named")
    client = Client()
    client.force_login(people.editor)
    path = f"instruments/{secret.reference}.html"
    assert client.get(f"/desk/preview-of/instruments/{secret.reference}/{path}").status_code == 404
    assert client.get(f"/desk/preview-file-of/instruments/{secret.reference}/{path}").status_code == 404
