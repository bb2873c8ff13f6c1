"""Who may do what: every address × every method × every role × own, other's, public and confidential records."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.db import transaction

from inventory.api.urls import urlpatterns
from inventory.intake.pictures import Picture
from inventory.models import Change
from tests.inventory.api.asking import Program, assert_error, upload
from tests.inventory.api.conftest import MAKERS, ROLES
from tests.inventory.curating.test_permissions import DOT

# Statuses for: anonymous, reader, surveyor, curator, editor, keeper.
DRAFT_READ = "404 404 200 200 200 200"
PUBLIC_READ = "200 200 200 200 200 200"
NAMED_READ = "404 404 404 404 404 200"
DRAFT_EDITOR = "404 404 403 403 200 200"
PUBLIC_EDITOR = "401 403 403 403 200 200"
EDITOR = {"own": DRAFT_EDITOR, "other": DRAFT_EDITOR, "public": PUBLIC_EDITOR, "named": NAMED_READ}
READ = {"own": DRAFT_READ, "other": DRAFT_READ, "public": PUBLIC_READ, "named": NAMED_READ}

# A released record is not submitted, a draft neither returned nor released: 409 for those who may.
OF_A_RECORD = {
    ("", "get"): READ,
    ("", "patch"): {**READ, "public": "401 403 403 200 200 200"},
    ("/submit", "post"): {
        **READ,
        "public": "401 403 409 409 409 409",
        "named": "404 404 404 404 404 409",
    },
    ("/return", "post"): {**EDITOR, "own": "404 404 403 403 409 409", "other": "404 404 403 403 409 409"},
    ("/release", "post"): {**EDITOR, "own": "404 404 403 403 409 409", "other": "404 404 403 403 409 409"},
    ("/withdraw", "post"): EDITOR,
    ("/history", "get"): {**READ, "public": "401 403 200 200 200 200"},
}
OF_AN_INSTRUMENT = {
    ("/merge", "post"): EDITOR,
    ("/photographs", "post"): {
        "own": "404 404 201 201 201 201",
        "other": "404 404 201 201 201 201",
        "public": "401 403 403 201 201 201",
        "named": "404 404 404 404 404 201",
    },
    ("/scheme", "get"): READ,
    ("/evaluation", "get"): READ,
}
OF_A_LIST = {"get": "200 200 200 200 200 200", "post": "401 403 201 201 201 201"}
OF_SUMS = {"evaluate": PUBLIC_READ, "sound": READ, "trace": READ, "read-stoplist": PUBLIC_READ}
OF_STATISTICS = {
    "statistics": PUBLIC_READ,
    "statistics/figures": PUBLIC_READ,
    "statistics/records": PUBLIC_READ,
    "statistics/rows": PUBLIC_READ,
}
NEW = {
    "places": {"name": "New town", "kind": "town"},
    "makers": {"name": "New maker", "sort_name": "Maker, New", "kind": "person"},
    "sources": {"name": "New letter", "kind": "letter-0"},
    "instruments": {"name": "New organ", "status": "in use"},
}
SCHEME = {
    "keyboards": [{"id": "I", "low": 36, "keys": 5}],
    "ranks": [{"id": "r", "pipes": 5, "low": 36}],
    "stops": [{"id": "a", "keyboard": "I", "name": "Flute", "footage": "8"}],
    "segments": [{"stop": "a", "keys": [1, 5], "rank": "r", "shift": 0}],
}


class _Undone(Exception):
    """Takes back what one cell of the table did."""


def ask_and_undo(program: Program, method: str, path: str, body, seen=None):
    """The answer; the database is afterwards as it was."""
    more = upload() if path.endswith("/photographs") else {"body": body}
    try:
        with transaction.atomic():
            answer = program.ask(method, path, seen=seen, **more)
            raise _Undone
    except _Undone:
        return answer


def assert_row(programs, expected: str, ask) -> None:
    """One line of the table: a status for each role."""
    found = {}
    for role in ROLES:
        before = Change.objects.count()
        answer = ask(getattr(programs, role))
        found[role] = answer.status_code
        if answer.status_code >= 400:
            assert_error(answer, answer.status_code)
        assert Change.objects.count() == before
    assert " ".join(map(str, found.values())) == expected, found


@pytest.mark.parametrize("plural", MAKERS)
def test_each_role_does_to_each_record_what_the_table_says(
    plural, programs, records, settings, tmp_path, monkeypatch
):
    settings.MEDIA_ROOT = tmp_path
    # What pictures pass is tested elsewhere; here only who may bring one.
    passed = Picture("0" * 64, "PNG", 1, 1, DOT, "png")
    monkeypatch.setattr("inventory.intake.photographs.read_picture", lambda _data: passed)
    table = OF_A_RECORD | (OF_AN_INSTRUMENT if plural == "instruments" else {})
    bodies = {
        "patch": {"fields": {"name": "Changed by the table"}},
        "post": {"why": "the table of rights"},
    }
    for (last, method), rows in table.items():
        for which, expected in rows.items():
            root = records[plural][which]
            body = bodies.get(method)
            if last == "/merge":
                body = {**body, "into": records[plural]["public" if which != "public" else "own"].reference}
            path = f"{plural}/{root.reference}{last}"
            try:
                assert_row(programs, expected, lambda p: ask_and_undo(p, method, path, body, root))  # noqa: B023
            except AssertionError as wrong:
                raise AssertionError(f"{method} {path} ({which}): {wrong}") from None


@pytest.mark.parametrize("plural", MAKERS)
def test_everybody_lists_and_the_team_makes_new_records(plural, programs, records):
    assert_row(programs, OF_A_LIST["get"], lambda p: p.get(plural))
    body = {"fields": {"reference": "NEW-1", **NEW[plural]}}
    assert_row(programs, OF_A_LIST["post"], lambda p: ask_and_undo(p, "post", plural, body))


def test_sums_are_for_everybody_but_of_records_only_for_those_who_may_read_them(programs, records):
    bodies = {
        "evaluate": SCHEME,
        "read-stoplist": {"text": "Great\nFlute 8"},
        "sound": {"stops": [], "keys": []},
        "trace": {"trials": []},
    }
    for name, expected in OF_SUMS.items():
        if isinstance(expected, str):
            assert_row(programs, expected, lambda p: p.post(name, bodies[name]))  # noqa: B023
            continue
        for which, row in expected.items():
            body = {**bodies[name], "record": records["instruments"][which].reference}
            assert_row(programs, row, lambda p: p.post(name, body))  # noqa: B023


def test_the_statistics_are_the_same_for_everybody(programs, records, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    for name, expected in OF_STATISTICS.items():
        path = {
            "statistics/records": f"{name}?measure=stops&key=part",
            "statistics/rows": f"{name}?table=stops",
        }
        assert_row(programs, expected, lambda p: p.get(path.get(name, name)))  # noqa: B023
    told = [
        getattr(programs, role).get("statistics/records?measure=stops&key=part").content for role in ROLES
    ]
    assert len(set(told)) == 1
    shown = [
        records["instruments"][which].reference.encode() in told[0] for which in ("own", "public", "named")
    ]
    assert shown == [False, True, False]


def test_no_address_and_no_method_is_missing_from_the_table():
    tabled = {("openapi.json", "get"), ("", "none")} | {(name, "post") for name in OF_SUMS}
    tabled |= {(name, "get") for name in OF_STATISTICS}
    for plural in MAKERS:
        table = OF_A_RECORD | (OF_AN_INSTRUMENT if plural == "instruments" else {})
        tabled |= {(plural, method) for method in OF_A_LIST}
        tabled |= {(f"{plural}/<str:reference>{last}", method) for last, method in table}
    there = set()
    for pattern in urlpatterns:
        handlers = {m for m in ("get", "post", "put", "patch", "delete") if hasattr(pattern.callback.cls, m)}
        there |= {(str(pattern.pattern), method) for method in handlers or {"none"}}
    assert there == tabled


def test_the_table_in_the_docs_is_this_table():
    def line(method, address, row):
        cells = " | ".join(row[which] for which in ("own", "other", "public", "named"))
        return f"| `{method.upper()} {address}` | {cells} |"

    lines = [line(method, f"/KIND/REF{last}", row) for (last, method), row in OF_A_RECORD.items()]
    lines += [
        line(method, f"/instruments/REF{last}", row) for (last, method), row in OF_AN_INSTRUMENT.items()
    ]
    lines += [
        line("post", f"/{name} of a record", row) for name, row in OF_SUMS.items() if isinstance(row, dict)
    ]
    lines += [f"| `{method.upper()} /KIND` | {row} |" for method, row in OF_A_LIST.items()]
    lines += [f"| `POST /{name}` | {row} |" for name, row in OF_SUMS.items() if isinstance(row, str)]
    lines += [f"| `GET /{name}` | {row} |" for name, row in OF_STATISTICS.items()]
    docs = Path(__file__).resolve().parents[3] / "docs" / "interface-for-programs.md"
    _before, _heading, section = docs.read_text(encoding="utf-8").partition("## Who may do what")
    assert [text for text in section.splitlines() if text.startswith("| `")] == lines


def test_what_is_confidential_answers_exactly_as_what_is_not_there(programs, records):
    for plural in MAKERS:
        hidden = programs.curator.get(f"{plural}/{records[plural]['named'].reference}")
        nothing = programs.curator.get(f"{plural}/NOT-THERE")
        assert (hidden.status_code, hidden.content) == (nothing.status_code, nothing.content)


def test_a_signed_in_person_without_a_csrf_token_changes_nothing(people, records):
    program = Program(people.keeper)
    program.client.handler.enforce_csrf_checks = True
    root = records["places"]["public"]
    asked = [
        ("post", "places", {"fields": {}}),
        ("patch", f"places/{root.reference}", {"fields": {"name": "x"}}),
    ]
    asked += [
        ("post", f"places/{root.reference}/{step}", {"why": "x"}) for step in ("submit", "return", "release")
    ]
    for method, path, body in asked:
        assert_error(program.ask(method, path, body, seen=root), 403, "not-allowed")
    root.refresh_from_db()
    assert root.name != "x" and root.state == "released"


def test_methods_that_are_not_offered_are_refused(programs, records):
    reference = records["places"]["public"].reference
    for method in ("put", "delete"):
        assert_error(programs.keeper.ask(method, f"places/{reference}", {}), 405, "method-not-allowed")
    assert_error(programs.keeper.ask("delete", "places"), 405)
    assert_error(programs.keeper.get(f"places/{reference}/release"), 405)
