"""Changing a word of a vocabulary: permission, change and history; words are retired, never deleted."""

from __future__ import annotations

from django.db import models, transaction

from inventory.models import Change, User
from inventory.roles import require

from .differences import as_json, differences


def change_word(word: models.Model, *, by: User, why: str = "") -> models.Model:
    """Save a new or changed word of a vocabulary."""
    require(by, "change vocabulary")
    with transaction.atomic():
        word.full_clean()
        old = type(word)._default_manager.filter(pk=word.pk).first() if word.pk else None
        kind = str(word._meta.model_name)
        reference = ".".join(str(part) for part in word.natural_key())[:64]
        found = as_json(differences(old, word))
        if old is not None and not found:
            return word
        word.save()
        last = Change.objects.filter(root_kind=kind, reference=reference).count()
        Change.objects.create(
            root_kind=kind,
            reference=reference,
            version=last + 1,
            action="create word" if old is None else "change word",
            who=by,
            why=why[:300],
            fields=found,
        )
    return word
