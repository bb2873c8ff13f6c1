"""Ways round the rule that a word in every field does not try: positions, pictures, consents, indirect claims."""

from __future__ import annotations

import io
import json
from decimal import Decimal

import pytest
from django.apps import apps
from django.core.files.base import ContentFile
from PIL import Image

from inventory.models import (
    Citation,
    Claim,
    Consent,
    Event,
    Instrument,
    Photograph,
    Place,
    Source,
    Survey,
    Term,
)
from inventory.visibility import group_of
from publishing.catalogue.export import export_catalogue
from tests.publishing.canaries import Planter, secretive_picture
from tests.publishing.conftest import ROOT
from tests.publishing.leak_scanner import Scanner

PUBLIC = {"state": "released", "audience": "public", "version": 2, "released_version": 2}
TECHNICAL = {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression"}
"""What a JPEG says of its own form."""
WORD, OTHER = "zqhiddenqz", "zqshownqz"


def make_instrument(**more) -> Instrument:
    return Instrument.objects.create(
        **{"reference": "ORG-9001", "name": "West-gallery organ", "status": "silent", **PUBLIC, **more}
    )


def found(site, *words) -> set[str]:
    return {hit.needle for hit in Scanner(words).folder(site)}


def written_forms(value: Decimal) -> set[str]:
    """A coordinate as people and programs write it: every precision that tells more than the square."""
    size = abs(value)
    rounded = {f"{size:.{places}f}" for places in range(2, 6)}
    cut = {str(size)[: str(size).index(".") + 1 + places] for places in range(2, 6)}
    degrees, minutes = divmod(size * 60, 60)
    seconds = (minutes - int(minutes)) * 60
    sexagesimal = {
        f"{degrees:.0f}°{int(minutes):02d}", f"{degrees:.0f}° {int(minutes):02d}", f"{minutes:.3f}",
        f"{int(minutes)}′{seconds:.0f}", f"{int(minutes)}' {seconds:.0f}",
    }  # fmt: skip
    digits = {form.replace(".", ",") for form in rounded} | {f"{size:.5f}".replace(".", "")}
    return rounded | cut | sexagesimal | digits


@pytest.mark.parametrize(
    ("grid", "latitude", "longitude"), [("0.1", "51.2500", "-17.8500"), ("1", "51.5", "-17.5")]
)
def test_an_exact_position_is_absent_however_it_is_written_and_its_square_is_shown(
    house, grid, latitude, longitude
):
    exact = Decimal("51.23457"), Decimal("-17.86543")
    place = Place.objects.create(
        reference="PLC-9001", name="A church", kind="building", latitude=exact[0], longitude=exact[1],
        grid_degrees=Decimal(grid), **PUBLIC,
    )  # fmt: skip
    make_instrument(place=place)
    export_catalogue(house / "site")
    assert found(house / "site", *written_forms(exact[0]), *written_forms(exact[1])) == set()
    assert found(house / "site", latitude, longitude) == {latitude, longitude}


def test_a_position_without_a_square_is_not_shown_at_all(house):
    Place.objects.create(
        reference="PLC-9001",
        name="A church",
        kind="building",
        latitude="51.23457",
        longitude="-17.86543",
        **PUBLIC,
    )
    export_catalogue(house / "site")
    forms = written_forms(Decimal("51.23457")) | written_forms(Decimal("-17.86543"))
    assert found(house / "site", *forms) == set()
    assert "51." not in (house / "site" / "places/PLC-9001.html").read_text()


def add_photograph(instrument: Instrument, code: str, original: bytes = b"", **more) -> None:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (len(code) * 9 % 256, sum(code.encode()) % 256, 90)).save(out, "PNG")
    Photograph.objects.create(
        instrument=instrument, code=code, file=ContentFile(original or out.getvalue(), name=f"zqname{code}qz.png"),
        **{"shows": f"zq{code}qz", "credit": "A. Photographer", "licence": "CC BY 4.0", "consent": "given",
           "audience": "public", **more},
    )  # fmt: skip


def test_a_photograph_without_licence_consent_or_audience_is_absent_with_its_words(house):
    instrument = make_instrument()
    shown, hidden = ["given", "notneeded"], ["unlicensed", "refused", "unasked", "team", "signed", "named"]
    add_photograph(instrument, "given")
    add_photograph(instrument, "notneeded", consent="not needed")
    add_photograph(instrument, "unlicensed", licence="")
    add_photograph(instrument, "refused", consent="refused")
    add_photograph(instrument, "unasked", consent="not asked")
    for audience in ("team", "signed in", "named"):
        add_photograph(instrument, audience.split()[0], audience=audience)
    export_catalogue(house / "site")
    words = {f"zq{code}qz" for code in (*shown, *hidden)}
    assert found(house / "site", *words) == {f"zq{code}qz" for code in shown}
    assert len(list((house / "site" / "pictures").iterdir())) == 6 * len(shown)


def test_the_original_tells_where_it_was_taken_and_the_published_picture_tells_nothing(house, settings):
    settings.CATALOGUE_AVIF = True
    planter = Planter()
    original = secretive_picture(planter, "here")
    words = [form for canary in planter.canaries for form in canary.forms]
    assert {word for word, _how in Scanner(words).content(original)} == set(words)
    with Image.open(io.BytesIO(original)) as opened:
        assert opened.getexif().get_ifd(0x8825) and opened.info["comment"]
    add_photograph(make_instrument(), "front", original)
    export_catalogue(house / "site")
    pictures = list((house / "site" / "pictures").iterdir())
    assert len(pictures) in (6, 9)  # AVIF only where it pays
    for picture in pictures:
        with Image.open(picture) as opened:
            form = {".jpg": "JPEG", ".webp": "WEBP", ".avif": "AVIF"}[picture.suffix]
            assert opened.format == form and not opened.getexif()
            assert b"A. Photographer" in opened.info["xmp"]  # whose it is, and nothing else
            assert opened.info.keys() <= {
                "jfif",
                "jfif_version",
                "jfif_unit",
                "jfif_density",
                "progressive",
                "progression",
                "xmp",
                "loop",
                "background",
                "timestamp",
                "duration",
            }
    assert found(house / "site", *words, "zqnamefrontqz") == set()


def add_survey(instrument: Instrument) -> None:
    Survey.objects.create(
        instrument=instrument, code="visit", when="2021-05", level=2, surveyor="N. N.", limits="the bellows loft",
        findings=WORD, notes_heard=7351, notes_tried=8462,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("consent", "shown"),
    [
        (None, False),
        ({}, True),
        ({"group": "danger"}, False),
        ({"withdrawn": True}, False),
        ({"until": "1990"}, False),
        ({"until": "2999-12"}, True),
        ({"until": "2020/.."}, True),
    ],
)
def test_condition_is_told_only_while_a_consent_for_it_stands(house, consent, shown):
    instrument = make_instrument()
    add_survey(instrument)
    if consent is not None:
        Consent.objects.create(
            instrument=instrument,
            code="c",
            **{"group": "condition", "given_by": "N. N.", "when": "1980", **consent},
        )
    export_catalogue(house / "site")
    wanted = {WORD, "7351", "8462"}
    assert found(house / "site", *wanted) == (wanted if shown else set())


def test_one_instrument_s_consent_opens_nothing_of_another(house):
    add_survey(make_instrument())
    other = make_instrument(reference="ORG-9002")
    Consent.objects.create(instrument=other, code="c", group="condition", given_by="N. N.", when="1980")
    export_catalogue(house / "site")
    assert found(house / "site", WORD) == set()


@pytest.mark.parametrize(
    ("about", "shown"),
    [
        ("", True),
        ("name", True),
        ("event:public", True),
        ("event:public#when", True),
        ("stop:as-found/flute#footage", True),
        ("owner", False),
        ("contact", False),
        ("value_estimate", False),
        ("access_note", False),
        ("working_note", False),
        ("store", False),
        ("no_such_field", False),
        ("event:secret", False),
        ("event:secret#when", False),
        ("event:gone", False),
        ("part:case#opening", False),
        ("part:case#materials", False),
        ("rank:as-found/flute#alloy", False),
        ("pipereading:as-found/flute/p1#outside_diameter_mm", False),
        ("pipereading:as-found/flute/p1", False),
        ("movement:case/m1#went_to", False),
        ("movement:case/m1", False),
        ("survey:visit#private_findings", False),
        ("survey:visit#findings", False),
        ("survey:visit#limits", True),
        ("survey:visit", False),
        ("hazard:floor", False),
        ("danger:roof", False),
        ("judgement:loss", False),
        ("consent:c#given_by", False),
        ("photograph:hidden", False),
        ("user:somebody", False),
    ],
)
def test_what_is_said_about_a_private_field_or_row_is_private_itself(house, about, shown):
    """A claim “value: 40,000” would tell the value although the field itself is withheld."""
    instrument = make_instrument()
    kind = Term.objects.create(vocabulary="event", code="built", names={"en": "built"})
    Event.objects.create(instrument=instrument, code="public", kind=kind)
    Event.objects.create(instrument=instrument, code="secret", kind=kind, audience="team")
    Photograph.objects.create(
        instrument=instrument, code="hidden", file="photographs/none.jpg", width=1, height=1, shows="nothing"
    )
    letter = Term.objects.create(vocabulary="source", code="letter", names={"en": "letter"})
    source = Source.objects.create(reference="SRC-9001", name="A letter", kind=letter, **PUBLIC)
    Claim.objects.create(instrument=instrument, code="a", about=about, value=WORD, source=source)
    Citation.objects.create(instrument=instrument, code="a", about=about, quote=OTHER, source=source)
    export_catalogue(house / "site")
    assert found(house / "site", WORD, OTHER) == ({WORD, OTHER} if shown else set())
    page = (house / "site" / "sources/SRC-9001.html").read_text()
    assert ("ORG-9001" in page) == shown


def test_a_withdrawn_record_leaves_its_reference_and_the_reason_and_nothing_else(house):
    make_instrument(state="withdrawn", withdrawn_because=OTHER, summary=WORD, name=f"Organ of {WORD}")
    export_catalogue(house / "site")
    assert found(house / "site", WORD, OTHER, "ORG-9001") == {OTHER, "ORG-9001"}
    make_instrument(reference="ORG-9002", state="withdrawn", withdrawn_because=OTHER, audience="team")
    export_catalogue(house / "site")
    assert found(house / "site", "ORG-9002") == set()


def test_the_demo_s_own_planted_words_are_absent_where_private_and_found_where_public(demo_site):
    planted = json.loads((ROOT / "fixtures" / "canaries.json").read_text())
    groups = {row["token"]: group_of(apps.get_model(row["model"]), row["field"]) for row in planted}
    private = {token for token, group in groups.items() if group.audience != "public"}
    assert len(private) > 40
    assert found(demo_site, *private) == set()
