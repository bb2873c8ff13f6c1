"""Signing in for programs: tokens that end by themselves; how often may be asked; what headers cannot do."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core import signing
from django.core.management import CommandError, call_command

from inventory.api.throttles import AnonymousReading, AnonymousSums, SignedIn
from inventory.api.tokens import _SALT, issue_token, person_of
from tests.factory import make_instrument
from tests.inventory.api.asking import Program, assert_error


def bearer(token: str) -> Program:
    return Program(Authorization=f"Bearer {token}")


def test_a_token_gives_exactly_the_rights_of_its_person(people):
    organ = make_instrument(people.surveyor)
    path = f"instruments/{organ.reference}"
    reader, curator = bearer(issue_token(people.reader, 1)), bearer(issue_token(people.curator, 1))
    assert_error(reader.get(path), 404)
    # No cookie, so no CSRF token is asked for: nobody else's page can send this header.
    curator.client.handler.enforce_csrf_checks = True
    assert curator.patch(path, {"fields": {"name": "By a program"}}, seen=organ).status_code == 200
    assert_error(curator.post(f"{path}/withdraw", {"why": "x"}, seen=curator.get(path)["ETag"]), 403)


def test_a_token_dies_with_its_day_a_new_password_and_a_closed_account(people, monkeypatch):
    token = issue_token(people.curator, 1)
    assert person_of(token) == people.curator
    monkeypatch.setattr("inventory.api.tokens.timezone.now", lambda: _in_two_days())
    assert person_of(token) is None
    monkeypatch.undo()
    people.curator.is_active = False
    people.curator.save()
    assert person_of(token) is None
    people.curator.is_active = True
    people.curator.set_password("another long enough word")
    people.curator.save()
    assert person_of(token) is None
    assert_error(bearer(token).get("instruments"), 401, "not-signed-in")


def _in_two_days():
    from datetime import datetime, timedelta, timezone

    return datetime.now(timezone.utc) + timedelta(days=2)  # noqa: UP017


def test_what_was_not_signed_here_opens_nothing(people):
    good = issue_token(people.keeper, 1)
    read = signing.loads(good, salt=_SALT)
    wrong = [
        "",
        "x",
        good[:-1] + ("A" if good[-1] != "A" else "B"),
        good.upper(),
        signing.dumps(read, salt="another"),
        signing.dumps({**read, "digest": ""}, salt=_SALT),
        signing.dumps({"name": read["name"]}, salt=_SALT),
        signing.dumps([1], salt=_SALT),
        "a" * 5000,
    ]
    for token in wrong:
        answer = bearer(token).get("instruments")
        assert_error(answer, 401)
        assert answer["WWW-Authenticate"] == "Bearer"


def test_the_command_prints_a_token_and_says_what_is_wrong(people):
    out = StringIO()
    call_command("issue_token", people.curator.username, "--days", "3", stdout=out)
    assert person_of(out.getvalue().strip()) == people.curator
    for words in (
        ("nobody",),
        (people.curator.username, "--days", "0"),
        (people.curator.username, "--days", "999"),
    ):
        with pytest.raises(CommandError) as refused:
            call_command("issue_token", *words)
        assert refused.value.returncode == 2


def test_no_answer_holds_a_secret(people, settings):
    people.keeper.set_password("a word nobody should read")
    people.keeper.save()
    program = bearer(issue_token(people.keeper, 1))
    organ = make_instrument(people.keeper)
    for path in (
        "instruments",
        f"instruments/{organ.reference}",
        f"instruments/{organ.reference}/history",
        "openapi.json",
    ):
        text = program.get(path).content.decode()
        for secret in (
            people.keeper.password,
            settings.SECRET_KEY,
            issue_token(people.keeper, 1),
            people.keeper.email,
        ):
            assert not secret or secret not in text


def test_strangers_ask_so_often_and_then_wait_and_no_header_helps(db, monkeypatch):
    monkeypatch.setattr(AnonymousReading, "rate", "3/minute")
    program = Program()
    statuses = [
        program.get(
            "places", **{"X-Forwarded-For": f"10.0.0.{n}", "Forwarded": f"for=10.0.0.{n}"}
        ).status_code
        for n in range(5)
    ]
    assert statuses == [200, 200, 200, 429, 429]
    answer = program.get("places")
    assert_error(answer, 429, "too-many-requests")
    assert 1 <= int(answer["Retry-After"]) <= 61


def test_sums_of_strangers_are_counted_apart_and_people_who_sign_in_by_person(people, monkeypatch):
    monkeypatch.setattr(AnonymousSums, "rate", "1/minute")
    stranger = Program()
    body = {"text": "Flute 8"}
    assert [stranger.post("read-stoplist", body).status_code for _n in range(2)] == [200, 429]
    assert stranger.get("places").status_code == 200
    assert [Program(people.reader).post("read-stoplist", body).status_code for _n in range(3)] == [200] * 3
    monkeypatch.setattr(SignedIn, "rate", "2/minute")
    assert [Program(people.curator).get("places").status_code for _n in range(3)] == [200, 200, 429]
    assert Program(people.editor).get("places").status_code == 200
