"""JSON-LD against the vocabulary of schema.org: every term exists and stands where it belongs."""

from __future__ import annotations

import dataclasses
import json

import pytest

from publishing.formats.addresses import read_address
from publishing.formats.linked import dataset, instrument_page, script_text
from publishing.formats.release import Release

from .web_checks import Vocabulary

pytestmark = pytest.mark.django_db
ADDRESS = read_address("https://organs.example/c/")


@pytest.fixture(scope="module")
def vocabulary(schemas) -> Vocabulary:
    return Vocabulary(schemas / "schemaorg" / "schemaorg-current-https.ttl")


def page_of(organ, **more):
    kinds = {"licence": "CC BY 4.0", "language": "en", "maker_kinds": {}, "picture": "pictures/a-large.jpg"}
    return instrument_page(organ, ADDRESS, **kinds | more)


def test_every_page_of_the_demo_uses_only_terms_that_exist_where_they_belong(demo, vocabulary):
    kinds = {one.reference: one.kind for one in demo.collection.makers.values()}
    assert set(kinds.values()) == {"person", "firm"}
    for organ in demo.instruments:
        node = page_of(organ, maker_kinds=kinds)
        assert list(vocabulary.problems(node)) == []
        assert node["@type"] == "ItemPage" and node["mainEntity"]["@type"] == "VisualArtwork"


def test_the_dataset_uses_only_terms_that_exist_where_they_belong(vocabulary):
    node = dataset(
        Release("Test", "CC BY 4.0", "1", "2031-03-01", edition="First"),
        ADDRESS,
        language="en",
        bytes_of={"data/stops.csv": 12, "data/instruments.geojson": 9, "data/checksums-sha256.txt": 3},
        years=(790, 1935),
    )
    assert list(vocabulary.problems(node)) == []
    assert node["temporalCoverage"] == "0790/1935"
    assert [one["contentUrl"] for one in node["distribution"]] == [
        "https://organs.example/c/data/instruments.geojson",
        "https://organs.example/c/data/stops.csv",
    ]
    # 50 to 5,000 letters: guidance of search engines, from memory (standards.md 3.4).
    assert 50 <= len(node["description"]) <= 5000


@pytest.mark.parametrize(
    "path, wrong, expected",
    [
        ("mainEntity", {"@type": "MusicInstrument"}, "no class MusicInstrument"),
        (
            "mainEntity",
            {"additionalProperty": "8 stops"},
            "additionalProperty does not belong to VisualArtwork",
        ),
        ("mainEntity", {"itemCondition": "poor"}, "itemCondition does not belong to VisualArtwork"),
        ("mainEntity", {"stops": 8}, "no property stops"),
        ("", {"artform": "pipe organ"}, "artform does not belong to ItemPage"),
        ("mainEntity", {"@type": None}, "no type"),
    ],
)
def test_a_broken_copy_is_found(demo, vocabulary, path, wrong, expected):
    node = json.loads(json.dumps(page_of(demo.instruments[0])))
    (node[path] if path else node).update(wrong)
    assert any(expected in problem for problem in vocabulary.problems(node))


def test_a_text_cannot_end_the_script_it_stands_in(demo):
    organ = dataclasses.replace(demo.instruments[0], name="</script><script>alert(1)</script><!-- &amp;")
    text = script_text(page_of(organ))
    assert "<" not in text and ">" not in text and "&" not in text
    assert json.loads(text)["name"] == organ.name


def test_a_rejected_or_weak_attribution_is_no_creator(demo):
    for organ in demo.instruments:
        doubtful = tuple(dataclasses.replace(one, attribution="rejected") for one in organ.events)
        assert "creator" not in page_of(dataclasses.replace(organ, events=doubtful))["mainEntity"]
    assert any("creator" in page_of(organ)["mainEntity"] for organ in demo.instruments)


def test_an_uncertain_year_is_no_date_of_creation(demo):
    told = {organ.reference: page_of(organ)["mainEntity"].get("dateCreated") for organ in demo.instruments}
    assert any(told.values()) and not all(told.values())
    assert all(one is None or (len(one) == 4 and one.isdigit()) for one in told.values())
