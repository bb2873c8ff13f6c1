"""The history: who changed what, when and why. Rows are only ever added; the database refuses the rest."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy


class ChangeQuerySet(models.QuerySet):
    def of(self, root: models.Model) -> ChangeQuerySet:
        """Changes of one record, newest first."""
        return self.filter(root_kind=root.kind_name(), reference=root.reference).order_by("-version", "-pk")

    def between(self, root: models.Model, earlier: int, later: int) -> ChangeQuerySet:
        """Changes that led from one version to a later one, oldest first."""
        return self.of(root).filter(version__gt=earlier, version__lte=later).order_by("version", "pk")


class Change(models.Model):
    """One action on one record: the fields it changed, from what to what."""

    root_kind = models.CharField(_("kind of record"), max_length=20)
    reference = models.CharField(_("reference"), max_length=64)
    version = models.PositiveIntegerField(_("led to version"))
    action = models.CharField(pgettext_lazy("what was done", "action"), max_length=40)
    who = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, verbose_name=_("who"))
    when = models.DateTimeField(_("when"), auto_now_add=True)
    why = models.CharField(_("why"), max_length=300, blank=True)
    fields = models.JSONField(
        _("what"), default=list, help_text=_("List of path, old and new value; a new row has no old values.")
    )

    objects = ChangeQuerySet.as_manager()

    class Meta:
        verbose_name = _("change")
        verbose_name_plural = _("history")
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["root_kind", "reference", "version"], name="change_per_version")
        ]

    def __str__(self) -> str:
        return f"{self.reference} v{self.version} {self.action}"
