"""Bodies and headers meant to do harm: refused in the one shape of an error, nothing changed, no 5xx."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.api import openapi
from inventory.models import Change, Instrument
from tests.factory import add_shared_rank, make_instrument
from tests.inventory.api.asking import assert_error

BOMBS = {
    "empty": b"",
    "not json": b"name=x",
    "cut off": b'{"fields": {"name": "x"',
    "too deep for the parser": b"[" * 200_000,
    "too deep to keep": b'{"fields": {"name": ' + b"[" * 500 + b"]" * 500 + b"}}",
    "deep objects": b'{"a":' * 3000 + b"1" + b"}" * 3000,
    "too large a number": b'{"fields": {"pitch_hz": 1e400}}',
    "a long number": b'{"fields": {"pitch_hz": ' + b"9" * 5000 + b"}}",
    "no number": b'{"fields": {"pitch_hz": NaN}}',
    "infinite": b'{"fields": {"pitch_hz": -Infinity}}',
    "twice": b'{"fields": {"name": "a", "name": "b"}}',
    "half a character": b'{"fields": {"name": "\\ud800"}}',
    "zero": b'{"fields": {"name": "a\\u0000b"}}',
    "zero in a name": b'{"fields": {"na\\u0000me": "a"}}',
    "not utf-8": b'{"fields": {"name": "\xff\xfe"}}',
    "utf-16": '{"fields": {}}'.encode("utf-16"),
    "a list": b"[]",
    "a text": b'"x"',
    "null": b"null",
    "true": b"true",
}


@pytest.fixture
def organ(people):
    made = make_instrument(people.surveyor)
    add_shared_rank(made, people.curator)
    made.refresh_from_db()
    return made


@pytest.mark.parametrize("name", BOMBS)
def test_hostile_bodies_are_refused_everywhere(programs, organ, name):
    before = Change.objects.count()
    path = f"instruments/{organ.reference}"
    for method, address in (("patch", path), ("post", "instruments"), ("post", f"{path}/merge"), ("post", "evaluate"),
                            ("post", "sound"), ("post", "trace"), ("post", "read-stoplist")):  # fmt: skip
        answer = programs.keeper.ask(method, address, raw=BOMBS[name], seen=organ)
        assert answer.status_code in (400, 422), (address, answer.status_code, answer.content)
        assert_error(answer, answer.status_code)
    assert Change.objects.count() == before


def test_more_than_8_mb_are_not_read(programs, organ):
    body = b'{"why": "' + b"x" * (8 * 1024 * 1024) + b'"}'
    for address in ("evaluate", "read-stoplist"):
        assert_error(programs.anonymous.ask("post", address, raw=body), 413, "too-large")
    answer = programs.keeper.ask("patch", f"instruments/{organ.reference}", raw=body, seen=organ)
    assert_error(answer, 413, "too-large")


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "", "application/xml",
             "application/json-patch+json"],
)  # fmt: skip
def test_only_json_is_read(programs, organ, kind):
    path = f"instruments/{organ.reference}"
    answer = programs.keeper.ask(
        "patch", path, raw=b'{"fields": {"name": "x"}}', seen=organ, content_type=kind
    )
    assert_error(answer, 415, "not-json")
    organ.refresh_from_db()
    assert organ.name == "Test organ"


def test_whatever_is_asked_for_the_answer_is_json_and_is_not_sniffed(programs, organ):
    for accept in ("text/html", "application/xml", "rubbish", "*/*", ""):
        answer = programs.curator.get(f"instruments/{organ.reference}", Accept=accept)
        assert answer.status_code == 200 and answer["Content-Type"] == "application/json"
        assert answer["X-Content-Type-Options"] == "nosniff" and "private" in answer["Cache-Control"]


SCRIPTS = ["<script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "javascript:alert(1)", "{{7*7}}", "=1+1",
           "'; DROP TABLE inventory_instrument; --", "\u202egnp.exe", "a" * 160, "𝔘" * 40]  # fmt: skip


@pytest.mark.parametrize("text", SCRIPTS)
def test_text_comes_back_as_it_was_written(programs, organ, text):
    path = f"instruments/{organ.reference}"
    answer = programs.curator.patch(path, {"fields": {"name": text[:160]}}, seen=organ)
    assert answer.status_code == 200 and programs.curator.get(path).json()["fields"]["name"] == text[:160]


def test_a_name_of_a_megabyte_is_refused_with_its_place(programs, organ):
    body = {"fields": {"name": "x" * 1_000_000}}
    said = assert_error(programs.curator.patch(f"instruments/{organ.reference}", body, seen=organ), 400)
    assert said["where"] == "name" and len(said["message"]) < 300


@pytest.mark.parametrize(
    "reference",
    ["..", "%2e%2e%2f", "x" * 500, "a%00b", "ORG 1", "<script>", "ORG-T\u00e9", "1;2", "%ff", "a/b"],
)
def test_addresses_that_are_no_references_lead_nowhere(db, programs, reference):
    for last in ("", "/history", "/scheme", "/evaluation"):
        assert_error(programs.anonymous.get(f"instruments/{reference}{last}"), 404, "not-found")


def test_too_many_rows_are_refused(programs, organ):
    body = {"rows": {"stop": [{"specification": "as-found", "code": f"s{n}"} for n in range(5001)]}}
    assert_error(programs.curator.patch(f"instruments/{organ.reference}", body, seen=organ), 400)


def test_rows_that_name_each_other_in_a_circle_are_refused(programs, organ):
    layers = [{"code": "a", "name": "a", "older_than": "b"}, {"code": "b", "name": "b", "older_than": "a"}]
    body = {"rows": {"layer": layers}}
    assert_error(programs.curator.patch(f"instruments/{organ.reference}", body, seen=organ), 400)


def test_an_error_nobody_foresaw_tells_nothing_of_the_inside(programs, organ, monkeypatch, caplog):
    def fail(*_args, **_kwargs):
        raise RuntimeError("secret inside")

    monkeypatch.setattr("inventory.api.record_views.read_document", fail)
    answer = programs.curator.get(f"instruments/{organ.reference}")
    assert_error(answer, 500, "internal")
    assert b"secret" not in answer.content and "secret inside" in caplog.text


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**17), 10**17) | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
    | st.sampled_from(["as-found", "flute-8", "flute", "I", "public", "1885~", "ORG-T0001"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)  # fmt: skip
_FIELDS = openapi.openapi_document()["components"]["schemas"]


def _row(name: str) -> st.SearchStrategy:
    names = list(_FIELDS[f"Instrument.{name}"]["properties"])
    keys = {
        key: st.sampled_from(["as-found", "flute-8", "flute", "I", "all"])
        for key in _FIELDS[f"Instrument.{name}"]["required"]
    }
    return st.builds(
        lambda key, more: {**more, **key},
        st.fixed_dictionaries(keys),
        st.dictionaries(st.sampled_from(names), JSON, max_size=4),
    )


KINDS = [
    "stop",
    "segment",
    "rank",
    "keyboard",
    "chest",
    "trial",
    "controlposition",
    "event",
    "survey",
    "count",
    "region",
]
BODY = st.fixed_dictionaries(
    {},
    optional={
        "fields": st.dictionaries(
            st.sampled_from(list(_FIELDS["Instrument.fields"]["properties"])), JSON, max_size=4
        ),
        "rows": st.sampled_from(KINDS).flatmap(
            lambda name: st.fixed_dictionaries({name: st.lists(_row(name), max_size=2)})
        ),
        "remove": st.lists(
            st.sampled_from(["stop:as-found/flute-8", "rank:as-found/flute", "x", 1]), max_size=2
        ),
        "why": st.text(max_size=5),
    },
)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(body=BODY)
def test_any_body_is_saved_or_refused_and_the_record_can_be_read_afterwards(programs, organ, body):
    path = f"instruments/{organ.reference}"
    seen = programs.keeper.get(path)["ETag"]
    answer = programs.keeper.ask("patch", path, raw=json.dumps(body).encode(), seen=seen)
    assert answer.status_code in (200, 400, 409), answer.content
    if answer.status_code != 200:
        assert_error(answer, answer.status_code)
        assert programs.keeper.get(path)["ETag"] == seen
    assert programs.keeper.get(path).status_code == 200
    assert programs.keeper.get(f"{path}/evaluation").status_code in (200, 404, 409)
    assert Instrument.objects.get(pk=organ.pk).state == "draft"
