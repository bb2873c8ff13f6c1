"""Settings of the comparison with a general static exporter: its program, its pages, and no middleware."""

from inventory.settings import *  # noqa: F403

INSTALLED_APPS = [*INSTALLED_APPS, "django_distill"]  # noqa: F405
ROOT_URLCONF = "tests.benchmarks.naive_urls"
MIDDLEWARE: list[str] = []  # the exporter builds all of it anew for every page; that is not what is compared
CATALOGUE_LANGUAGES = ("en",)
