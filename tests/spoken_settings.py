"""Settings for tests of the catalogue in all its languages."""

from tests.settings import *  # noqa: F403

CATALOGUE_LANGUAGES = ("en", "fr", "es")
