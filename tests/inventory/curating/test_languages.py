"""The workroom in three languages, and what editors see is not translated."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tests.factory import make_maker, make_people, make_public, make_term

pytestmark = pytest.mark.django_db


@pytest.fixture
def people():
    return make_people()


def test_the_language_is_chosen_at_the_foot_of_every_page_and_stays(client):
    answer = client.post(reverse("language"), {"language": "fr", "next": reverse("sign-in")}, follow=True)
    assert '<html lang="fr">' in answer.content.decode()
    assert 'lang="es"' in client.get(reverse("sign-in")).content.decode()


def test_a_language_the_tool_does_not_speak_changes_nothing(client):
    client.post(reverse("language"), {"language": "xx", "next": reverse("sign-in")})
    assert '<html lang="en">' in client.get(reverse("sign-in")).content.decode()


def test_nobody_is_led_to_another_site_by_choosing_a_language(client):
    answer = client.post(reverse("language"), {"language": "fr", "next": "https://elsewhere.example/"})
    assert answer.url == "/"


def test_editors_see_which_published_texts_are_not_translated(client, people):
    maker = make_maker(
        people.editor, name="Corvale and Daughter", note="A short career.", note_fr="Une carrière."
    )
    make_public(maker, people.editor)
    client.force_login(people.editor)
    page = client.get(reverse("translations")).content.decode()
    french, spanish = page.split('id="es"')
    assert maker.name not in french
    assert maker.name in spanish


def test_editors_see_words_without_a_name_in_a_language(client, people):
    make_term("action", "lever", en="lever", fr="levier")
    client.force_login(people.editor)
    page = client.get(reverse("translations")).content.decode()
    french, spanish = page.split('id="es"')
    assert "lever" not in french
    assert "lever" in spanish


def test_curators_are_told_which_role_it_needs(client, people):
    client.force_login(people.curator)
    answer = client.get(reverse("translations"))
    assert answer.status_code == 403
    assert "editor" in answer.content.decode()
