"""The OpenAPI document says what there is: every address, every field, every error; and answers keep to it."""

from __future__ import annotations

import json
import re

from jsonschema import Draft202012Validator

from inventory.api.kinds import ROOTS, row_kinds, writable_fields
from inventory.api.openapi import openapi_document
from inventory.api.urls import urlpatterns
from tests.factory import add_shared_rank, make_instrument, make_public
from tests.inventory.api.test_rights import SCHEME

DOCUMENT = openapi_document()
SCHEMAS = DOCUMENT["components"]["schemas"]


def fits(value, schema) -> list[str]:
    """What in a value does not keep to a schema, as another reader of JSON Schema finds it."""
    whole = {**schema, "components": DOCUMENT["components"]}
    found = Draft202012Validator(json.loads(json.dumps(whole))).iter_errors(value)
    return [f"{error.json_path}: {error.message[:200]}" for error in found]


def described(answer, method: str, path: str) -> list[str]:
    """What in an answer is not as the document says; a status it does not name is a fault too."""
    responses = DOCUMENT["paths"][f"/api/v1/{path}"][method]["responses"]
    if str(answer.status_code) not in responses:
        return [f"{answer.status_code} is not described"]
    return fits(answer.json(), responses[str(answer.status_code)]["content"]["application/json"]["schema"])


def test_every_address_and_method_is_described_and_no_other():
    there = set()
    for pattern in urlpatterns:
        path = str(pattern.pattern).replace("<str:reference>", "{reference}")
        there |= {
            (f"/api/v1/{path}", m)
            for m in ("get", "post", "put", "patch", "delete")
            if hasattr(pattern.callback.cls, m)
        }
    assert there == {(path, method) for path, methods in DOCUMENT["paths"].items() for method in methods}


def test_every_reference_in_the_document_leads_somewhere_and_names_are_used_once():
    text = json.dumps(DOCUMENT)
    names = set(re.findall(r'"#/components/schemas/([^"]+)"', text))
    assert names <= set(SCHEMAS)
    ids = re.findall(r'"operationId": "([^"]+)"', text)
    assert len(ids) == len(set(ids)) == sum(len(methods) for methods in DOCUMENT["paths"].values())


def test_every_field_that_can_be_written_is_described():
    for model in ROOTS.values():
        assert set(SCHEMAS[f"{model.__name__}.fields"]["properties"]) == set(writable_fields(model))
        for kind in row_kinds(model).values():
            shown = SCHEMAS[f"{model.__name__}.{kind.name}"]
            assert set(shown["properties"]) == {*writable_fields(kind.model), *kind.key}
            assert shown["additionalProperties"] is False and set(shown["required"]) == set(kind.key)


def test_every_operation_describes_its_errors():
    for path, methods in DOCUMENT["paths"].items():
        for method, operation in methods.items():
            errors = {int(status) for status in operation["responses"] if int(status) >= 400}
            assert {400, 401, 403, 404, 405, 429, 500} <= errors, (method, path)
            asks = any(one["name"] == "If-Match" for one in operation["parameters"])
            assert asks == ({412, 428} <= errors), (method, path)


def test_the_document_is_served_and_is_the_document(db, programs):
    assert programs.anonymous.get("openapi.json").json() == json.loads(json.dumps(DOCUMENT))


def test_answers_are_as_described(people, programs, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    organ = make_instrument(people.surveyor)
    add_shared_rank(organ, people.curator)
    organ.refresh_from_db()
    organ = make_public(organ, people.editor)
    one, path = "instruments/{reference}", f"instruments/{organ.reference}"
    keeper = programs.keeper
    body = {"fields": {"reference": "ORG-NEW", "name": "x", "status": "in use"}}
    asked = [
        (keeper.get("instruments?limit=1"), "get", "instruments"),
        (keeper.get("instruments?owner=1"), "get", "instruments"),
        (keeper.post("instruments", body), "post", "instruments"),
        (keeper.post("instruments", body), "post", "instruments"),
        (programs.anonymous.post("instruments", body), "post", "instruments"),
        (keeper.get(path), "get", one),
        (programs.anonymous.get(path), "get", one),
        (keeper.get("instruments/NONE"), "get", one),
        (keeper.patch(path, {"fields": {"name": "y"}}, seen=organ), "patch", one),
        (keeper.patch(path, {"fields": {"name": "z"}}, seen=organ), "patch", one),
        (keeper.patch(path, {"fields": {"name": "z"}}), "patch", one),
        (keeper.patch(path, raw=b"x", content_type="text/plain", seen=keeper.get(path)["ETag"]), "patch", one),
        (keeper.post(f"{path}/submit", {}, seen=keeper.get(path)["ETag"]), "post", f"{one}/submit"),
        (keeper.post(f"{path}/release", {}, seen=keeper.get(path)["ETag"]), "post", f"{one}/release"),
        (keeper.get(f"{path}/history"), "get", f"{one}/history"),
        (keeper.get(f"{path}/scheme"), "get", f"{one}/scheme"),
        (keeper.get(f"{path}/evaluation"), "get", f"{one}/evaluation"),
        (keeper.post("evaluate", SCHEME), "post", "evaluate"),
        (keeper.post("evaluate", {}), "post", "evaluate"),
        (keeper.post("sound", {"scheme": SCHEME, "stops": ["a"], "keys": []}), "post", "sound"),
        (keeper.post("trace", {"scheme": SCHEME, "trials": [
            {"stops": ["a"], "keys": [{"keyboard": "I", "key": 1}], "heard": [{"stop": "a", "key": 1, "as": "silent"}]}
        ]}), "post", "trace"),
        (keeper.post("read-stoplist", {"text": "Flute 8"}), "post", "read-stoplist"),
        (keeper.get("statistics"), "get", "statistics"),
        (keeper.get("statistics/figures"), "get", "statistics/figures"),
        (keeper.get("statistics/figures?by=maker"), "get", "statistics/figures"),
        (keeper.get("statistics/figures?view=never"), "get", "statistics/figures"),
        (keeper.get("statistics/records?measure=stops&key=part"), "get", "statistics/records"),
        (keeper.get("statistics/records?measure=stops&key=none"), "get", "statistics/records"),
        (keeper.get("statistics/rows?table=segments&limit=1"), "get", "statistics/rows"),
    ]  # fmt: skip
    assert {answer.status_code for answer, *_ in asked} >= {200, 201, 400, 401, 404, 412, 415, 422, 428}
    for answer, method, place in asked:
        assert described(answer, method, place) == [], (answer.status_code, method, place)


def test_an_answer_that_is_not_as_described_would_be_found(people, programs):
    organ = make_instrument(people.surveyor)
    good = programs.keeper.get(f"instruments/{organ.reference}").json()
    schema = SCHEMAS["Instrument"]
    assert fits(good, schema) == []
    for spoilt in ({**good, "secret": 1}, {**good, "version": "1"}, {**good, "state": "gone"},
                   {**good, "fields": {**good["fields"], "pk": 1}}, {"kind": "instrument"}):  # fmt: skip
        assert fits(spoilt, schema) != []
