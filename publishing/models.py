"""The only rows publishing keeps: editions, which are added and never changed."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Iterator
from typing import Any

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from inventory.history_guard import Kept

# Every entry of an archive bears this day, so that the same files give the same archive.
SOME_DAY = (1980, 1, 1, 0, 0, 0)


class EditionIsFrozen(TypeError):
    """Somebody tried to change or delete an edition: a mistake of ours; editions are only added."""


class EditionQuerySet(models.QuerySet):
    def in_order(self) -> EditionQuerySet:
        """The first edition first; without the frozen files, which are large."""
        return self.defer("archive").order_by("number")

    def newest(self) -> Edition | None:
        """The last edition made."""
        return self.in_order().last()


class Edition(models.Model):
    """A published state of the whole collection that is cited by its number and never moves again."""

    number = models.PositiveIntegerField(_("number"), unique=True)
    name = models.CharField(_("name"), max_length=100, unique=True)
    made_on = models.DateField(_("date"))
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="editions", verbose_name=_("made by")
    )
    changes = models.TextField(
        _("what changed"), blank=True, help_text=_("In words for readers; the lists are made by the program.")
    )
    digest = models.CharField(
        _("hash"), max_length=64, help_text=_("SHA-256 of the list of checksums of the frozen files.")
    )
    counts = models.JSONField(_("counts"), help_text=_("Rows of each frozen table."))
    figures = models.JSONField(_("figures"), help_text=_("Figures over the whole collection."))
    records = models.JSONField(_("records"), help_text=_("Version of every published record."))
    archive = models.BinaryField(_("frozen data"), help_text=_("The files of the data package, packed."))

    editions = EditionQuerySet.as_manager()

    class Meta:
        verbose_name = _("edition")
        verbose_name_plural = _("editions")
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(condition=models.Q(number__gte=1), name="edition_number_from_1")
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add the edition; one that stands already is refused."""
        if self.pk is not None:
            raise EditionIsFrozen(
                _("Edition %(number)d is frozen; make another one.") % {"number": self.number}
            )
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Never."""
        raise EditionIsFrozen(
            _("Edition %(number)d is frozen; editions are never deleted.") % {"number": self.number}
        )

    def files(self) -> Iterator[tuple[str, bytes]]:
        """The frozen files, with their paths within the edition's folder."""
        with zipfile.ZipFile(io.BytesIO(self.archive)) as packed:
            for entry in packed.infolist():
                yield entry.filename, packed.read(entry)


def pack(files: Iterable[tuple[str, bytes]]) -> bytes:
    """Files as an archive."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
        for path, content in files:
            packed.writestr(zipfile.ZipInfo(path, SOME_DAY), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


KEPT = Kept(
    table="publishing_edition",
    columns=(
        "number", "name", "made_on", "made_by_id", "changes", "digest", "counts", "figures", "records", "archive",
    ),
    name="edition",
    refusal="editions are frozen",
)  # fmt: skip
