"""Rules about words: what a citation, claim or label speaks of, and what may be shown."""

from __future__ import annotations

from collections.abc import Iterator

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.utils.translation import gettext as _

from inventory.models import Belonging, Instrument, Maker, Place, Root
from inventory.models.choices import Audience

Said = tuple[str, str, str, str]

NEEDS_CONSENT = {"danger": "dangers"}
"""Field group -> relation whose rows may be public only while a consent for the group stands."""


def points_at(root: Root, about: str) -> bool:
    """Whether a field, a row or a field of a row of a record exists; empty means the record itself."""
    if not about:
        return True
    kind, colon, rest = about.partition(":")
    if not colon:
        return _has_field(type(root), about)
    path, _hash, field = rest.partition("#")
    try:
        model = apps.get_model("inventory", kind)
    except LookupError:
        return False
    if not issubclass(model, Belonging) or (field and not _has_field(model, field)):
        return False
    steps = path.split("/")
    if hasattr(model, "about"):  # a citation, claim or empty field has its root in one of three columns
        keys = {root.kind_name(): root, "code": path} if _has_field(model, root.kind_name()) else None
    else:
        keys = (
            dict(zip(model.natural, [root.reference, *steps], strict=True))
            if len(model.natural) == len(steps) + 1
            else None
        )
    return keys is not None and model._default_manager.filter(**keys).exists()


def _has_field(model: type, name: str) -> bool:
    try:
        return model._meta.get_field(name).concrete  # type: ignore[attr-defined]
    except FieldDoesNotExist:
        return False


def check_abouts(root: Instrument | Maker | Place) -> Iterator[Said]:
    """Citations, claims, explanations and labels that speak of a row that is not there."""
    rows = [
        (f"{kind}:{row.code}", row.about)
        for kind, found in (
            ("citation", root.citations),
            ("claim", root.claims),
            ("fieldstate", root.fieldstates),
        )
        for row in found.all()
    ]
    if isinstance(root, Instrument):
        rows += [
            (f"region:{picture.code}/{region.code}", region.about)
            for picture in root.photographs.all()
            for region in picture.regions.all()
        ]
    for where, about in rows:
        if not points_at(root, about):
            yield (
                "about-nothing", "error", where,
                _("speaks of %(about)s, which this record does not have; correct the path, or the row was removed")
                % {"about": about},
            )  # fmt: skip


def check_photographs(instrument: Instrument) -> Iterator[Said]:
    """Pictures meant for everybody that cannot be shown."""
    for picture in instrument.photographs.all():
        if picture.audience != Audience.PUBLIC:
            continue
        where = f"photograph:{picture.code}"
        if not picture.licence.strip():
            yield (
                "photograph-without-licence",
                "warning",
                where,
                _("is public but has no licence: it is not published"),
            )
        if not picture.credit.strip():
            yield (
                "photograph-without-credit",
                "warning",
                where,
                _("is public but names nobody; ask who made it"),
            )
        if picture.consent == "refused":
            yield (
                "photograph-refused",
                "error",
                where,
                _("is public although consent was refused; withdraw it"),
            )


def check_consents(instrument: Instrument) -> Iterator[Said]:
    """Rows marked for everybody in a group for which no consent stands: they stay unpublished."""
    standing = {consent.group for consent in instrument.consents.all() if not consent.withdrawn}
    for group, relation in NEEDS_CONSENT.items():
        public = [row for row in getattr(instrument, relation).all() if row.audience == Audience.PUBLIC]
        if public and group not in standing:
            yield (
                "consent-missing", "note", f"{group}:{public[0].code}",
                _("is meant for everybody, but no consent for %(group)s stands: it is not published")
                % {"group": group},
            )  # fmt: skip


def check_cures(instrument: Instrument) -> Iterator[Said]:
    """Defects said to be cured without a word of how."""
    for defect in instrument.defects.all():
        for seen in defect.observations.all():
            if seen.course == "cured" and not seen.note.strip():
                yield (
                    "cured-without-word", "note", f"defectobservation:{defect.code}/{seen.code}",
                    _("is said to be cured, but not how one knows; add what was seen"),
                )  # fmt: skip
