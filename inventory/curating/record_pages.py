"""A record's page below its head, kept while the record, all it names and what the reader may see stay the same.

Nothing old is shown: what is kept is found by the record's last change, by who reads in which language,
and is used only after one query has told that every other record it names is still named so.
"""

from __future__ import annotations

from collections import OrderedDict, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from threading import Lock
from typing import Any

from django.db import models
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import get_script_prefix
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from inventory.fixture_loading import loading_marker
from inventory.models import Change, Instrument, Root
from inventory.models.naming import Naming, naming_of, read_namings
from inventory.visibility import audience_of

from .pages import ShownPart, evidence_counts, page_context
from .parts import Reader

MOST_KEPT = 256
LONGEST_KEPT = 300_000
MOST_NAMED = 200


@dataclass(frozen=True)
class _Kept:
    """A page below its head, and what it said of other records."""

    text: SafeString
    namings: frozenset[Naming]
    words: int
    """How often a word of the vocabularies had been changed."""

    def is_still_so(self) -> bool:
        return read_namings(_by_kind(self.namings)) == (self.words, self.namings)


_kept: OrderedDict[tuple[Any, ...], _Kept] = OrderedDict()
_lock = Lock()


def forget_pages() -> None:
    """Forget every kept page."""
    with _lock:
        _kept.clear()


def render_body(request: HttpRequest, root: Root, reader: Reader, last_change: Change | None) -> SafeString:
    """The parts of a record's page, as this reader may see them."""
    if not isinstance(root, Instrument) or last_change is None or last_change.version != root.version:
        return _render(request, root, reader)[0]
    user: Any = request.user
    key = (
        *(root.pk, root.version, root.state, root.audience, last_change.pk, last_change.when),
        *(get_language(), get_script_prefix()),
        loading_marker(),  # records loaded from a file raise no version
        *(reader.audience, audience_of(user), user.role, user.is_superuser),
    )
    with _lock:
        found = _kept.get(key)
    if found is not None and found.is_still_so():
        with _lock:
            if key in _kept:
                _kept.move_to_end(key)
        return found.text
    words, _none = read_namings({})
    text, parts = _render(request, root, reader)
    namings = frozenset(_named_in([root, parts], root))
    alike = len({naming[:2] for naming in namings}) == len(namings)
    if alike and len(namings) <= MOST_NAMED and len(text) <= LONGEST_KEPT:
        with _lock:
            _kept[key] = _Kept(text, namings, words)
            while len(_kept) > MOST_KEPT:
                _kept.popitem(last=False)
    return text


def _render(request: HttpRequest, root: Root, reader: Reader) -> tuple[SafeString, list[ShownPart]]:
    context = {**page_context(request, root, reader), "evidence": evidence_counts(root)}
    return SafeString(render_to_string("curating/_record_body.html", context, request)), context["parts"]


def _by_kind(namings: Iterable[Naming]) -> dict[type[Root], list[int]]:
    kinds = {model.kind_name(): model for model in Root.__subclasses__()}
    keys: dict[type[Root], list[int]] = defaultdict(list)
    for kind, key, *_rest in namings:
        keys[kinds[kind]].append(key)
    return keys


def _named_in(shown: Any, page: Root) -> Iterable[Naming]:
    """Every other record that was read to make the page, as it was read."""
    waiting, seen = [shown], set()
    while waiting:
        one = waiting.pop()
        if isinstance(one, Root) and one != page:
            yield naming_of(one)
        elif isinstance(one, models.Model):
            if id(one) not in seen:
                seen.add(id(one))
                waiting += one._state.fields_cache.values()
        elif isinstance(one, dict):
            waiting += one.values()
        elif isinstance(one, list | tuple | models.QuerySet):
            waiting += one
        elif isinstance(one, ShownPart):
            waiting += [rows.rows for rows in one.rows]
            waiting.append(one.context)
