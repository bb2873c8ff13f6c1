"""The index of the search box: one row a record (and one for its stops), kept by actions.

Words are kept without accents and capitals. SQLite looks them up in a trigram table that
triggers keep (see `inventory.search_tables`), PostgreSQL by a trigram index.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connections, models
from django.utils.translation import gettext_lazy as _

from .choices import Audience, RecordState

LONGEST_QUERY = 200
SHORTEST_FOR_TRIGRAMS = 3
NEAR_CANDIDATES = 300
MOST_WEIGHED = 2000
A_FEW = 4000
LEAST_LIKENESS = 0.4
"""Share of a typed word's trigrams that a word of the record must have to count as the same word."""

KIND_MARKS = {"instrument": "¦i¦", "stops": "¦s¦", "maker": "¦m¦", "place": "¦p¦", "source": "¦q¦"}

LETTERS = str.maketrans({"ø": "o", "đ": "d", "ł": "l", "ß": "ss", "æ": "ae", "œ": "oe", "’": "'", "′": "'"})


def plain_words(text: str) -> str:
    """Lower case, without accents, blanks single: what is compared on both sides."""
    folded = unicodedata.normalize("NFKD", text.casefold().translate(LETTERS))
    kept = "".join(" " if unicodedata.category(sign) in {"Cc", "Cf"} else sign for sign in folded)
    return " ".join("".join(sign for sign in kept if not unicodedata.combining(sign)).split())


def trigrams(word: str) -> set[str]:
    """Three-letter pieces of a word, with its beginning and end marked.

    >>> sorted(trigrams("oak"))
    [' oa', 'ak ', 'oak']
    """
    padded = f" {word} "
    return {padded[place : place + 3] for place in range(len(padded) - 2)}


def likeness(asked: str, words: str) -> float:
    """How much of the least matched asked word some word of a record has; 1 is all of it."""
    known = [trigrams(word) for word in words.split()]
    least = 1.0
    for word in asked.split():
        wanted = trigrams(word)
        best = max((2 * len(wanted & other) / (len(wanted) + len(other)) for other in known), default=0.0)
        least = min(least, best)
    return least


@models.TextField.register_lookup
class HasPieces(models.Lookup):
    """The text holds, of each group of pieces, at least one; a piece has three letters or more."""

    lookup_name = "has_pieces"
    prepare_rhs = False

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, list[Any]]:
        """PostgreSQL: its trigram index answers LIKE."""
        left, _values = self.process_lhs(compiler, connection)
        return pieces_in(left, self.rhs)

    def as_sqlite(self, compiler: Any, connection: Any) -> tuple[str, list[Any]]:
        """SQLite: one look into the trigram table, however many words."""
        left, _values = self.process_lhs(compiler, connection)
        table, key = left.rpartition(".")[0], connection.ops.quote_name("id")
        found = "SELECT rowid FROM inventory_search WHERE inventory_search MATCH %s"
        return f"{table}.{key} IN ({found})", [match_text(self.rhs)]


def pieces_in(left: str, groups: Iterable[Sequence[str]]) -> tuple[str, list[Any]]:
    """Groups of pieces as PostgreSQL is asked: each group's pieces by OR, the groups by AND."""
    conditions, values = [], []
    for group in groups:
        conditions.append("(" + " OR ".join([f"{left} LIKE %s"] * len(group)) + ")")
        for piece in group:
            escaped = piece.replace("\\", "\\\\").replace("%", r"\%").replace("_", r"\_")
            values.append(f"%{escaped}%")
    return " AND ".join(conditions), values


def _asked(text: str) -> tuple[list[list[str]], list[str]]:
    """Pieces of a typed text that the trigram index knows, and those too short for it.

    A word of two letters is looked up with the blank before it, for it is the beginning of a word.
    """
    groups, short = [], []
    for word in plain_words(text)[:LONGEST_QUERY].split():
        piece = word if len(word) >= SHORTEST_FOR_TRIGRAMS else f" {word}"
        if len(piece) >= SHORTEST_FOR_TRIGRAMS:
            groups.append([piece])
        else:
            short.append(piece)
    return groups, short


def match_text(groups: Iterable[Sequence[str]]) -> str:
    """Groups of pieces as the trigram table is asked: each group's pieces by OR, the groups by AND."""
    quoted = (" OR ".join('"' + piece.replace('"', '""') + '"' for piece in group) for group in groups)
    return " AND ".join(f"({group})" for group in quoted)


def kind_marks(kinds: Iterable[str]) -> list[str]:
    """The mark each kind of entry bears in its words, so that one look-up finds the kind as well."""
    return [KIND_MARKS[kind] for kind in kinds]


class SearchQuerySet(models.QuerySet):
    """Questions of the search box."""

    def of_kinds(self, *kinds: str) -> SearchQuerySet:
        """Entries of these kinds, to be asked for words next."""
        found = self.filter(kind__in=kinds)
        found._kinds = kinds  # type: ignore[attr-defined]
        return found

    def _clone(self) -> SearchQuerySet:
        clone = super()._clone()
        clone._kinds = getattr(self, "_kinds", ())
        return clone

    def _marks(self) -> list[list[str]]:
        kinds = getattr(self, "_kinds", ())
        return [kind_marks(kinds)] if kinds else []

    def holding(self, text: str) -> SearchQuerySet:
        """Entries that hold every word of the text, whole or as a piece."""
        groups, short = _asked(text)
        found = self.filter(words__has_pieces=[*self._marks(), *groups]) if groups else self
        for piece in short:
            found = found.filter(words__contains=piece)
        return found

    def few_holding(self, text: str) -> list[int] | None:
        """Ids of the entries that hold every word of the text; None where they are more than a few.

        Of a common word the database is asked for no more than these few: whoever wants some of very
        many rather goes through the records in order than through all that hold the word.
        """
        groups, short = _asked(text)
        if short or not groups:
            return None
        return self.few_with([*self._marks(), *groups])

    def few_with(self, groups: list[list[str]]) -> list[int] | None:
        """Ids of the entries that hold of each group a piece; None where they are more than a few."""
        connection = connections[self.db]
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute(
                    "SELECT rowid FROM inventory_search WHERE inventory_search MATCH %s LIMIT %s",
                    [match_text(groups), A_FEW + 1],
                )
            else:
                conditions, values = pieces_in("words", groups)
                cursor.execute(
                    f"SELECT id FROM inventory_searchentry WHERE {conditions} LIMIT %s",  # noqa: S608
                    [*values, A_FEW + 1],
                )
            found = [row[0] for row in cursor.fetchall()]
        return found if len(found) <= A_FEW else None

    def each_holding(self, text: str) -> SearchQuerySet:
        """The same entries as `holding`, looked at one by one: for records that are gone through in order."""
        groups, short = _asked(text)
        found = self
        for piece in (*(group[0] for group in groups), *short):
            found = found.filter(words__contains=piece)
        return found

    def near(self, text: str) -> list[int]:
        """Ids of entries that hold something like the text, the likest first: typing errors forgiven."""
        asked = plain_words(text)[:LONGEST_QUERY]
        pieces = sorted({piece for word in asked.split() for piece in trigrams(word) if " " not in piece})
        if not pieces:
            return []
        rows = self.filter(
            pk__in=_candidates(self.db, asked, getattr(self, "_kinds", ()), pieces)
        ).values_list("pk", "words")
        scored = sorted(((likeness(asked, words), -pk) for pk, words in rows), reverse=True)
        return [-minus for score, minus in scored if score >= LEAST_LIKENESS]

    def matching(self, text: str) -> SearchQuerySet:
        """Entries that hold the words; where none does, those that hold something like them."""
        found = self.holding(text)
        if found.order_by().exists():
            return found
        return self.filter(pk__in=self.near(text))


def _candidates(alias: str, asked: str, kinds: Sequence[str], pieces: list[str]) -> list[int]:
    """The few hundred entries that share most pieces, by the database's own ranking."""
    connection = connections[alias]
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(
                "SELECT rowid FROM inventory_search WHERE inventory_search MATCH %s ORDER BY rank LIMIT %s",
                [match_text([*([kind_marks(kinds)] if kinds else []), pieces]), NEAR_CANDIDATES],
            )
        else:
            # The index answers at this likeness, not at the database's own, which forgives fewer slips.
            cursor.execute(
                "SELECT set_config('pg_trgm.word_similarity_threshold', %s, false)", [str(LEAST_LIKENESS)]
            )
            cursor.execute(
                # A word like a very common one has tens of thousands of likes: no more are weighed than these.
                "SELECT id FROM (SELECT id, words FROM inventory_searchentry WHERE %s <%% words AND kind = ANY(%s) "
                "LIMIT %s) AS likely ORDER BY word_similarity(%s, words) DESC LIMIT %s",
                [max(asked.split(), key=len), [*(kinds or KIND_MARKS)], MOST_WEIGHED, asked, NEAR_CANDIDATES],
            )
        return [row[0] for row in cursor.fetchall()]


class SearchEntry(models.Model):
    """What can be found of one record by people who may read it. Made again at every change."""

    kind = models.CharField(max_length=12)
    """instrument, stops (of an instrument), maker, place or source."""
    reference = models.CharField(max_length=64)
    title = models.CharField(max_length=300)
    words = models.TextField()
    state = models.CharField(max_length=12, choices=RecordState)
    audience = models.CharField(max_length=10, choices=Audience)
    patterns = models.CharField(max_length=400, blank=True)
    """Patterns of sharing computed from the current specification: |common bass|duplex|."""

    objects = SearchQuerySet.as_manager()

    class Meta:
        verbose_name = _("entry of the search index")
        verbose_name_plural = _("search index")
        ordering = ["kind", "reference"]
        constraints = [models.UniqueConstraint(fields=["kind", "reference"], name="search_entry_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.reference}"
