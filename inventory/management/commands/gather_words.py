"""Brings the catalogues of words up to date with code and templates, for those who translate.

Example: python manage.py gather_words
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.management.spoken import SpokenCommand
from inventory.word_catalogues import APPLICATIONS, other_languages, renew_catalogue, words_missing


class Command(SpokenCommand):
    help = gettext_lazy(
        "Gather the words of code and templates into */locale/*/LC_MESSAGES/django.po and compile them."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        for language in other_languages():
            for application in APPLICATIONS:
                catalogue = renew_catalogue(application, language)
                self.stdout.write(
                    _("%(application)s, %(language)s: %(count)d sentences")
                    % {"application": application, "language": language, "count": len(catalogue)}
                )
            words_missing.cache_clear()
            self.stdout.write(
                _("%(language)s: %(count)d without a translation")
                % {"language": language, "count": len(words_missing(language))}
            )
