"""CITATION.cff against the official schema 1.2.0."""

from __future__ import annotations

import json

import jsonschema
import pytest
import yaml

from publishing.formats.addresses import read_address
from publishing.formats.citation import citation_file
from publishing.formats.licences import licence_of
from publishing.formats.release import Release

RELEASES = [
    Release("Test collection", "CC BY 4.0", "2", "2031-03-01", edition="Spring"),
    Release("Test collection", "CC BY 4.0", "state-0123456789ab", ""),
    Release('A "quoted": collection #1', "our own terms", "1", "2031-03-01", edition="É’ø", address=read_address("https://organs.example")),
]  # fmt: skip


@pytest.fixture(scope="module")
def check(schemas):
    schema = json.loads((schemas / "cff" / "schema.json").read_text())
    return jsonschema.validators.validator_for(schema)(schema)


@pytest.mark.parametrize("release", RELEASES)
def test_the_file_is_valid_and_says_what_it_should(check, release):
    document = yaml.safe_load(citation_file(release))
    assert [error.message for error in check.iter_errors(document)] == []
    assert document["version"] == release.version
    assert document["authors"] == [{"name": release.publisher}]


@pytest.mark.parametrize(
    "broken",
    [
        {"license": "CC BY 4.0"},
        {"date-released": "1 March 2031"},
        {"authors": []},
        {"cff-version": "1.1.0"},
        {"edition": "2"},
    ],
)
def test_a_broken_copy_is_refused(check, broken):
    document = yaml.safe_load(citation_file(RELEASES[0]))
    assert check.is_valid(document) and not check.is_valid(document | broken)


def test_licences_are_known_by_their_form_and_no_other_is_guessed():
    assert licence_of("CC BY-SA 4.0").address == "https://creativecommons.org/licenses/by-sa/4.0/"
    assert licence_of("CC0 1.0").spdx == "CC0-1.0"
    assert licence_of("CC BY 9.9").spdx == licence_of("all rights reserved").address == ""
