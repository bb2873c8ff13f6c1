"""Brings the catalogues of words up to date with code and templates, for those who translate.

Example: python manage.py gather_words
"""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from inventory.word_catalogues import APPLICATIONS, other_languages, renew_catalogue, words_missing


class Command(BaseCommand):
    help = "Gather the words of code and templates into */locale/*/LC_MESSAGES/django.po and compile them."

    def handle(self, *args: Any, **options: Any) -> None:
        for language in other_languages():
            for application in APPLICATIONS:
                catalogue = renew_catalogue(application, language)
                self.stdout.write(f"{application}, {language}: {len(catalogue)} sentences")
            words_missing.cache_clear()
            self.stdout.write(f"{language}: {len(words_missing(language))} without a translation")
