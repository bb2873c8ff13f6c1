"""The workroom as a Django application of its own: templates, static files, template tags."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class CuratingConfig(AppConfig):
    name = "inventory.curating"
    label = "curating"
    verbose_name = _("Workroom")

    def ready(self) -> None:
        from . import second_factor  # noqa: F401  listens to every sign-in
