"""No private word of the demo stands in the open data or in a frozen edition."""

from __future__ import annotations

import pytest

from publishing.models import pack
from tests.publishing.leak_scanner import Scanner

pytestmark = pytest.mark.django_db


def test_no_private_word_stands_in_the_data_or_in_the_edition(demo, canaries):
    scanner = Scanner(canaries)
    for content in (pack(demo.files.items()), bytes(demo.edition.archive)):
        assert {canaries[word] for word, _how in scanner.content(content)} == set()


def test_a_private_word_would_be_found(demo, canaries):
    scanner, word = Scanner(canaries), sorted(canaries)[0]
    leaking = demo.files | {"stops.csv": demo.files["stops.csv"] + word.upper().encode()}
    assert [found for found, _how in scanner.content(pack(leaking.items()))] == [word]


def test_public_words_do_stand_there(demo):
    names = [organ.name for organ in demo.instruments]
    assert names and all(name.encode() in demo.frozen["instruments.csv"] for name in names)
