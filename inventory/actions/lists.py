"""Saved lists: each person's own."""

from __future__ import annotations

from inventory.models import SavedList, User

MOST_LISTS = 100
MOST_LETTERS = 120


def save_list(*, by: User, name: str, query: str) -> SavedList:
    """Keep a search under a name; the same name again replaces it."""
    name = name.strip()[:MOST_LETTERS]
    found = SavedList.objects.filter(user=by, name=name).first() or SavedList(user=by, name=name)
    found.query = query
    found.full_clean()
    found.save()
    return found


def remove_list(saved: SavedList, *, by: User) -> None:
    """Forget one of one's own lists; no record changes."""
    SavedList.objects.filter(pk=saved.pk, user=by).delete()
