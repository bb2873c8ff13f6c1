"""Statistics, studies and previews inside the workroom, as a Django application of its own."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class DeskConfig(AppConfig):
    name = "publishing.desk"
    label = "desk"
    verbose_name = _("Published, seen from the workroom")
