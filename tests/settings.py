"""Settings for tests: the program's own, with cheap passwords and plain static files."""

from inventory.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
CATALOGUE_LANGUAGES = (
    "en",
)  # the others are asked for by the tests that need them: each costs as much again
CATALOGUE_AVIF = False  # a quarter of a second a picture; tests of pictures ask for it
STORAGES = {
    **STORAGES,  # noqa: F405
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
