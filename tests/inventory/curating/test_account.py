"""Signing in: guessing is slowed down, the second factor is owed everywhere, invitations work once."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.contrib.auth import get_user_model
from django.core import signing
from django.test import Client
from django.utils import timezone
from django_otp.oath import totp
from django_otp.plugins.otp_totp.models import TOTPDevice

from inventory.actions import ActionError
from inventory.actions.people import accept_invitation, change_person, find_invitation, invite
from inventory.models import Change, Invitation
from inventory.roles import NotAllowed

GOOD = "a long enough word"


def sign_in(client: Client, name: str, password: str = GOOD, **more):
    return client.post("/sign-in/", {"username": name, "password": password, **more})


def code_for(device: TOTPDevice, steps: int = 0) -> str:
    return f"{totp(device.bin_key, step=device.step, drift=steps):06d}"


def set_up(client: Client, person) -> tuple[TOTPDevice, list[str]]:
    client.post("/account/second-factor/set-up/")
    device = TOTPDevice.objects.get(user=person, confirmed=False)
    answer = client.post("/account/second-factor/set-up/", {"code": code_for(device)})
    codes = re.findall(r"<li><code>([a-z0-9]+)</code>", answer.content.decode())
    device.refresh_from_db()
    device.throttle_reset()
    TOTPDevice.objects.filter(pk=device.pk).update(last_t=-1)
    return device, codes


def test_after_five_wrong_passwords_even_the_right_one_waits_and_only_from_there(people):
    client = Client()
    for _attempt in range(5):
        answer = sign_in(client, people.curator.username, "wrong")
    assert answer.status_code == 429 and "Too many wrong passwords" in answer.content.decode()
    assert sign_in(client, people.curator.username).status_code == 429
    elsewhere = Client(REMOTE_ADDR="203.0.113.9")
    assert sign_in(elsewhere, people.curator.username).status_code == 302
    assert sign_in(Client(), people.editor.username).status_code == 302


def test_a_wrong_name_and_a_wrong_password_get_the_same_answer(people):
    wrong = sign_in(Client(), people.curator.username, "wrong").content.decode()
    nobody = sign_in(Client(), "nobody", "wrong").content.decode()
    strip = re.compile(r'value="[^"]*"')
    assert strip.sub("", wrong) == strip.sub("", nobody)


@pytest.mark.parametrize(
    "target",
    [
        "https://elsewhere.example/",
        "//elsewhere.example",
        "javascript:alert(1)",
        "/\\elsewhere.example",
        "http:///x",
    ],
)
def test_nobody_is_sent_off_this_site(people, target):
    answer = sign_in(Client(), people.curator.username, next=target)
    assert answer["Location"] == "/"


def test_signing_in_makes_a_new_session_and_signing_out_ends_it(people):
    client = Client()
    client.get("/sign-in/")
    sign_in(client, people.curator.username)
    key = client.cookies["sessionid"].value
    assert client.get("/").status_code == 200
    client.post("/sign-out/")
    other = Client()
    other.cookies["sessionid"] = key
    assert other.get("/").status_code == 302


def test_a_session_that_owes_its_code_reaches_neither_workroom_nor_admin_nor_interface(people):
    person = people.keeper
    person.is_staff = True
    person.save()
    client = Client()
    client.force_login(person)
    device, _codes = set_up(client, person)
    client.post("/sign-out/")
    assert sign_in(client, person.username).status_code == 302
    for path in ("/", "/instruments/", "/admin/", "/admin/inventory/instrument/", "/people/", "/account/"):
        answer = client.get(path)
        assert answer.status_code == 302 and "/account/second-factor/" in answer["Location"], path
    assert client.get("/api/v1/instruments").status_code == 403
    assert client.get("/", headers={"HX-Request": "true"})["HX-Redirect"].startswith(
        "/account/second-factor/"
    )
    assert client.post("/account/second-factor/", {"code": "000000"}).status_code == 422
    TOTPDevice.objects.filter(pk=device.pk).update(
        throttling_failure_timestamp=None, throttling_failure_count=0
    )
    assert client.post("/account/second-factor/", {"code": code_for(device)}).status_code == 302
    assert client.get("/admin/").status_code == 200 and client.get("/").status_code == 200


def test_a_code_works_once_and_wrong_codes_are_slowed_down(people):
    client = Client()
    client.force_login(people.curator)
    device, _codes = set_up(client, people.curator)
    code = code_for(device)
    sign_in(client, people.curator.username)
    first, second = Client(), Client()
    for one in (first, second):
        sign_in(one, people.curator.username)
    assert first.post("/account/second-factor/", {"code": code}).status_code == 302
    assert second.post("/account/second-factor/", {"code": code}).status_code == 422
    device.refresh_from_db()
    assert device.throttling_failure_count >= 1


def test_a_spare_code_opens_once(people):
    client = Client()
    client.force_login(people.curator)
    _device, codes = set_up(client, people.curator)
    assert len(codes) == 8
    for expected in (302, 422):
        again = Client()
        sign_in(again, people.curator.username)
        assert again.post("/account/second-factor/", {"code": codes[0]}).status_code == expected


def test_where_the_role_needs_one_it_is_set_up_before_anything_else(people, settings):
    settings.SECOND_FACTOR_FOR = ["keeper", "editor"]
    client = Client()
    sign_in(client, people.editor.username)
    assert "/account/second-factor/set-up/" in client.get("/instruments/")["Location"]
    set_up(client, people.editor)
    assert client.get("/instruments/").status_code == 200
    assert client.post("/account/second-factor/forget/", {"password": GOOD}).status_code == 403
    free = Client()
    sign_in(free, people.curator.username)
    assert free.get("/instruments/").status_code == 200


def test_a_lost_telephone_is_forgotten_by_a_keeper_and_the_history_says_so(people):
    client = Client()
    client.force_login(people.curator)
    set_up(client, people.curator)
    keeper = Client()
    keeper.force_login(people.keeper)
    keeper.post(f"/people/{people.curator.username}/forget-second-factor/")
    assert not TOTPDevice.objects.exists()
    line = Change.objects.get(root_kind="user", action="forget second factor")
    assert line.who == people.keeper


def test_the_admins_own_sign_in_is_closed(people):
    answer = Client().get("/admin/login/?next=/admin/")
    assert answer["Location"] == "/sign-in/?next=%2Fadmin%2F"
    post = Client().post("/admin/login/", {"username": people.keeper.username, "password": GOOD})
    assert post.status_code == 302 and "sessionid" not in post.cookies
    stranger = Client()
    stranger.force_login(people.reader)
    assert stranger.get("/admin/login/").status_code == 403


def test_an_invitation_makes_one_account_of_the_promised_role(people):
    keeper = Client()
    keeper.force_login(people.keeper)
    html = keeper.post("/people/invite/", {"for_whom": "Ada", "role": "curator"}).content.decode()
    link = re.search(r"http://testserver(/invitation/[^<\s]+)", html).group(1)
    client = Client()
    assert "Welcome, Ada" in client.get(link).content.decode()
    form = {"full_name": "Ada Quill", "username": "ada", "password": "short", "again": "short"}
    assert "too short" in client.post(link, form).content.decode()
    form |= {"password": "four words in a row", "again": "four words in a row"}
    assert client.post(link, form).status_code == 302
    ada = get_user_model().objects.get(username="ada")
    assert (ada.role, ada.is_superuser, ada.first_name) == ("curator", False, "Ada")
    assert client.get("/").status_code == 200
    second = Client().post(link, form | {"username": "eve"})
    assert second.status_code == 410 and not get_user_model().objects.filter(username="eve").exists()


def test_links_that_are_changed_old_or_taken_back_do_nothing(people):
    invitation, token = invite(by=people.keeper, for_whom="Ada", role="keeper")
    assert find_invitation(token) == invitation
    assert find_invitation(token[:-1] + ("A" if token[-1] != "A" else "B")) is None
    assert find_invitation(signing.dumps(invitation.pk, salt="another")) is None
    Invitation.objects.update(until=timezone.now() - timedelta(seconds=1))
    assert find_invitation(token) is None
    with pytest.raises(ActionError):
        accept_invitation(token, username="ada", password="four words in a row")
    Invitation.objects.update(until=timezone.now() + timedelta(days=1), withdrawn=True)
    assert find_invitation(token) is None
    assert not get_user_model().objects.filter(username="ada").exists()


def test_only_keepers_invite_and_nobody_changes_their_own_role(people):
    with pytest.raises(NotAllowed):
        invite(by=people.editor, for_whom="x", role="keeper")
    with pytest.raises(ActionError):
        change_person(people.keeper, by=people.keeper, role="reader", is_active=True)
    change_person(people.reader, by=people.keeper, role="curator", is_active=False, why="left")
    line = Change.objects.get(root_kind="user")
    assert {entry["path"]: entry["new"] for entry in line.fields} == {"role": "curator", "is_active": False}


def test_somebody_put_on_leave_is_signed_out_at_once(people):
    client = Client()
    client.force_login(people.curator)
    assert client.get("/").status_code == 200
    change_person(people.curator, by=people.keeper, role="curator", is_active=False)
    assert client.get("/").status_code == 302
    assert sign_in(Client(), people.curator.username).status_code == 200


def test_browsers_are_told_to_run_only_our_own_scripts(people):
    client = Client()
    client.force_login(people.curator)
    for path in ("/", "/sign-in/", "/nothing/here/", "/admin/"):
        policy = client.get(path)["Content-Security-Policy"]
        for wanted in (
            "default-src 'none'",
            "script-src 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        ):
            assert wanted in policy, path
        assert "unsafe" not in policy
