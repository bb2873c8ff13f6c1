"""Pictures: the same bytes each time, in widths and forms, with rights and no other metadata; enlarged by keyboard."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ElementTree

import pytest
from PIL import Image

from publishing.catalogue import pictures
from publishing.catalogue.pictures import WIDTHS, PictureMaker, derive, rights_packet
from publishing.disclosure.values import PictureValue
from tests.publishing.catalogue.browsing import CHROMIUM, FLAGS

RIGHTS = rights_packet('Ä. & <B> "C"', "CC BY 4.0")


def original(width: int = 2000, height: int = 1000, form: str = "PNG") -> bytes:
    out = io.BytesIO()
    Image.linear_gradient("L").resize((width, height)).convert("RGB").save(out, form)
    return out.getvalue()


def noisy(width: int, height: int) -> bytes:
    """A picture on which no form can save much."""
    out = io.BytesIO()
    Image.effect_noise((width, height), 90).convert("RGB").save(out, "PNG")
    return out.getvalue()


@pytest.fixture(autouse=True)
def every_form(settings):
    settings.CATALOGUE_AVIF = True


def forms_of(made: dict[str, bytes]) -> set[str]:
    assert {name.partition(".")[0] for name in made} == {*WIDTHS}
    forms = {name.partition(".")[2] for name in made}
    assert len(made) == len(WIDTHS) * len(forms), "each form in every width"
    return forms


def test_avif_is_kept_only_where_its_sizes_together_are_smaller_by_fifteen_parts_in_a_hundred(monkeypatch):
    smooth, rough = derive(original(), RIGHTS), derive(noisy(700, 500), RIGHTS)
    kept = {"jpg", "webp", "avif"}
    assert forms_of(smooth) in (kept, kept - {"avif"}) and forms_of(rough) in (kept, kept - {"avif"})
    monkeypatch.setattr(pictures, "PAYS_BELOW", 9.0)
    every = derive(original(), RIGHTS)
    assert forms_of(every) == kept
    ratio = pictures._bytes_of(every, "avif") / pictures._bytes_of(every, "webp")
    for limit, wanted in ((ratio * 1.01, kept), (ratio * 0.99, kept - {"avif"})):
        monkeypatch.setattr(pictures, "PAYS_BELOW", limit)
        assert forms_of(derive(original(), RIGHTS)) == wanted


def test_every_width_in_every_form_keeps_the_shape(monkeypatch):
    monkeypatch.setattr(pictures, "PAYS_BELOW", 9.0)
    made = derive(original(), RIGHTS)
    assert forms_of(made) == {"jpg", "webp", "avif"}
    for name, content in made.items():
        with Image.open(io.BytesIO(content)) as opened:
            size, ending = name.split(".")
            assert opened.size == (WIDTHS[size], WIDTHS[size] / 2)
            assert opened.format == {"jpg": "JPEG", "webp": "WEBP", "avif": "AVIF"}[ending]


def test_a_small_picture_is_never_enlarged():
    for content in derive(original(300, 200)).values():
        with Image.open(io.BytesIO(content)) as opened:
            assert opened.size == (300, 200)


def test_the_same_picture_gives_the_same_bytes():
    assert derive(original(), RIGHTS) == derive(original(), RIGHTS)


def test_rights_are_the_only_metadata_and_are_well_formed(monkeypatch):
    monkeypatch.setattr(pictures, "PAYS_BELOW", 9.0)
    for content in derive(original(), RIGHTS).values():
        with Image.open(io.BytesIO(content)) as opened:
            assert opened.info["xmp"] == RIGHTS and not opened.getexif() and "icc_profile" not in opened.info
    tree = ElementTree.fromstring(RIGHTS)
    texts = [element.text for element in tree.iter() if element.text]
    assert 'Ä. & <B> "C" · CC BY 4.0' in texts
    assert any(
        "creativecommons.org/licenses/by/4.0/" in value
        for one in tree.iter()
        for value in one.attrib.values()
    )


def test_other_rights_on_the_same_picture_are_other_files(house):
    path = house / "media" / "photographs"
    path.mkdir(parents=True)
    (path / "a.png").write_bytes(original(700, 350))
    maker = PictureMaker(keep=house / "kept")
    first, again, other = (
        maker.make(
            PictureValue("c", "photographs/a.png", 700, 350, "shows", "", False, None, credit, "CC0 1.0", ())
        )
        for credit in ("A", "A", "B")
    )
    assert first == again and first.src != other.src and len(maker.fresh_files()) in (12, 18)
    assert first.srcset("webp", "../").count(",") == 1, "700 px stands for medium and large alike"
    assert PictureMaker(keep=house / "kept").make(
        PictureValue("c", "photographs/a.png", 700, 350, "shows", "", False, None, "A", "CC0 1.0", ())
    ) == first  # fmt: skip


@pytest.mark.browser
@pytest.mark.slow
@pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine (apt-get install chromium)")
def test_a_picture_is_enlarged_turned_over_and_closed_by_keyboard(demo_site):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page(viewport={"width": 360, "height": 700})
        page.goto((demo_site / "instruments" / "ORG-0001.html").as_uri())
        link = page.locator("a.enlarge").first
        assert (
            link.locator("img")
            .evaluate("image => image.decode().then(() => image.currentSrc)")
            .endswith((".webp", ".avif"))
        )
        link.focus()
        page.keyboard.press("Enter")
        shown = page.locator("dialog[open] img")
        first = shown.get_attribute("src")
        assert shown.get_attribute("alt")
        page.keyboard.press("ArrowRight")
        assert page.locator("dialog[open] img").get_attribute("src") != first
        assert page.locator("dialog [role=status]").inner_text().startswith("2 of ")
        box = page.locator("dialog[open] img").bounding_box()
        assert box["x"] >= 0 and box["x"] + box["width"] <= 360
        page.keyboard.press("Escape")
        assert page.locator("dialog[open]").count() == 0
        assert page.evaluate("document.activeElement.className") == "enlarge"
        browser.close()
