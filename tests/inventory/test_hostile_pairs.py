"""Each of sixty hostile texts in each text field: refused in words, or kept as it is and shown harmlessly."""

from __future__ import annotations

import json
from collections import Counter
from typing import Any

import pytest
from django.apps import apps
from django.db import models
from django.test import Client

from inventory.api.kinds import ROOTS, row_kinds, writable_fields
from inventory.curating.parts.scheme_sheets import SCHEME_SHEETS
from inventory.curating.parts.stoplist_sheets import STOPLIST_SHEETS
from inventory.models import NaturalModel
from tests.inventory.hostile_rows import judged, models_with_texts, text_columns
from tests.inventory.hostile_scripts import SCRIPTS
from tests.inventory.hostile_worlds import (
    BACK_OFFICE,
    PLURALS,
    SET_BY_ACTIONS,
    WORDS_INSIDE,
    Shown,
    Worlds,
    fields_of_forms,
    forms_of,
)
from tests.publishing.canaries import STRUCTURES


@pytest.fixture
def keeper(people, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    client = Client()
    client.force_login(people.keeper)
    return client


def test_every_text_field_keeps_a_hostile_text_as_it_is_or_says_what_to_write():
    free = bound = 0
    for model in models_with_texts():
        for column in text_columns(model):
            kept, refused = judged(column)
            assert kept.keys() | refused.keys() == SCRIPTS.keys(), column
            for name, words in refused.items():
                assert 10 < len(words) < 400 and "Traceback" not in words, (column, name)
            for name, value in kept.items():
                assert value == SCRIPTS[name], (column, name)  # nothing is quietly taken out
            free, bound = free + bool(kept), bound + (not kept)
    assert free > 100 and bound > 60  # codes, dates and footages have a grammar


def test_every_text_field_is_asked_for_somewhere_and_every_structure_is_known():
    forms = {f"{name}.{field}" for name, fields in fields_of_forms().items() for field in fields}
    sheets = {
        f"{sheet.model._meta.model_name}.{column.name}"
        for sheet in (*STOPLIST_SHEETS, *SCHEME_SHEETS)
        for column in sheet.columns
    }
    programs = {
        f"{model._meta.model_name}.{name}"
        for root in ROOTS.values()
        for model in (root, *(kind.model for kind in row_kinds(root).values()))
        for name in writable_fields(model)
    }
    elsewhere = {"passage.text", "findinganswer.because", "findinganswer.about", *SET_BY_ACTIONS}
    for model in models_with_texts():
        name = str(model._meta.model_name)
        for column in text_columns(model):
            if column.name not in ("code", "reference"):
                path = f"{name}.{column.name}"
                assert path in forms | sheets | programs | elsewhere or name in BACK_OFFICE, path
    for model in apps.get_app_config("inventory").get_models():
        for column in model._meta.concrete_fields if issubclass(model, NaturalModel) else ():
            path = f"{model._meta.model_name}.{column.name}"
            if isinstance(column, models.JSONField):
                assert path in STRUCTURES or path in WORDS_INSIDE, f"{path} may hold text: pack texts in it"


def test_each_text_in_each_field_is_shown_harmlessly_wherever_it_is_shown(people, keeper):
    worlds, shown = Worlds(), Shown()
    for where, html in forms_of(worlds, people.keeper):
        shown.read(where, html)
    for address in worlds.addresses():
        answer = keeper.get(address)
        assert answer.status_code == 200, address
        shown.read(address, answer.content.decode())
    for row in worlds.one_by_one():
        address = f"/instruments/{row.get_root().reference}/works/"
        shown.read(address, keeper.get(address).content.decode())
    assert not shown.wrong, shown.wrong

    assert shown.missing(worlds) <= {"findinganswer.because"}  # shown beside the finding it answers
    told = Counter(
        f"{name}.{field}"
        for name, filled in worlds.filled.items()
        for one in filled
        for field, packed in one.packed.items()
        for _text in packed.texts
    )
    for model in models_with_texts():
        for column in text_columns(model):
            path = f"{model._meta.model_name}.{column.name}"
            # A code is not changed in a row that others name; it is refused above if it is no code.
            if path not in SET_BY_ACTIONS and column.name not in ("code", "reference"):
                assert told[path] == len(judged(column)[0]), path
    assert sum(told.values()) > 6_000


def test_each_text_in_each_field_comes_back_to_programs_as_it_was_written(keeper):
    worlds = Worlds()
    told: set[str] = set()
    for kind, plural in PLURALS.items():
        for one in worlds.filled[kind.kind_name()]:
            answer = keeper.get(f"/api/v1/{plural}/{one.row.reference}")
            assert answer.status_code == 200 and answer["X-Content-Type-Options"] == "nosniff"
            told.update(texts_in(json.loads(answer.content)))
    lost = Counter(
        f"{name}.{field}"
        for name, filled in worlds.filled.items()
        for one in filled
        for field, packed in one.packed.items()
        if packed.value not in told
    )
    # Vocabularies are told by their codes; of a plan of works there is one at a time.
    assert {name.partition(".")[0] for name in lost} == {"term", "device", "criterion", "worksplan"}


def texts_in(value: Any) -> list[str]:
    """Every text of a document."""
    if isinstance(value, str):
        return [value]
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [text for one in inside for text in texts_in(one)]
