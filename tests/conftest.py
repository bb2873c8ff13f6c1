"""Fixtures every test may ask for: a cast of people, and a history that test databases may empty."""

from __future__ import annotations

import os

import pytest
from django.conf import settings
from django.db import connection

REAL_DATABASE = settings.DATABASES["default"]["NAME"]

os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # Playwright's loop runs beside Django's


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """Tests with real transactions empty the tables afterwards; the history's guard would refuse."""
    from inventory import history_guard
    from publishing.models import KEPT

    # Where no test asked for a database, pytest-django made none, and this would be somebody's own.
    assert connection.settings_dict["NAME"] != REAL_DATABASE, "a fixture reached for the real database"
    with django_db_blocker.unblock():
        history_guard.release(connection)
        history_guard.release(connection, KEPT)


@pytest.fixture
def people(db):
    """A reader, a surveyor, a curator, an editor and a keeper."""
    from tests.factory import make_people

    return make_people()
