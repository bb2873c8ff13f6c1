"""Keeps the index of the search box: called by every action that changes a record, and to make it anew."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from django.db import connection
from django.db.models import Q

from inventory.models import (
    Event,
    Instrument,
    Layer,
    Maker,
    MakerName,
    Place,
    Root,
    SearchEntry,
    Source,
    Specification,
    Stop,
)
from inventory.models.searching import KIND_MARKS, plain_words
from inventory.organ.calls import CalledPipes
from inventory.organ.errors import OrganError
from inventory.organ.patterns import SchemePatterns
from inventory.organ.schemes import Scheme
from inventory.schemes import schemes_of
from inventory.search_tables import writing_many
from inventory.visibility import WIDENING

AT_A_TIME = 500
LONGEST_WORDS = 8000
TOLD = ("kind", "reference", "title", "words", "state", "audience", "patterns")


ROOT_OF_KIND: dict[str, type[Root]] = {
    "place": Place,
    "maker": Maker,
    "source": Source,
    "instrument": Instrument,
    "stops": Instrument,
}


def index_record(root: Root) -> None:
    """Make a record's entries anew, and those of instruments that carry its name."""
    if isinstance(root, Instrument):
        _index_instruments([root.pk])
    elif isinstance(root, Place):
        _write([_of_place(root)])
        _index_instruments(_ids(Instrument.objects.filter(Q(place=root) | Q(place__parent=root))))
    elif isinstance(root, Maker):
        names = list(root.names.values_list("name", flat=True))
        _write([_of_maker(root, names)])
        _index_instruments(
            _ids(Instrument.objects.filter(Q(events__maker=root) | Q(layers__maker=root)).distinct())
        )
    elif isinstance(root, Source):
        _write([_of_source(root)])


def rebuild_index() -> int:
    """Make the whole index anew; returns how many entries it has.

    Entries are replaced chunk by chunk and only where they differ, so that people find things meanwhile;
    those of records that are gone go at the end.
    """
    with writing_many(connection):
        _rebuild()
    return SearchEntry.objects.count()


def _rebuild() -> None:
    for places in _chunks(Place.objects.order_by("pk")):
        _write([_of_place(place) for place in places])
    names: dict[int, list[str]] = defaultdict(list)
    for maker, name in MakerName.objects.values_list("maker_id", "name"):
        names[maker].append(name)
    for makers in _chunks(Maker.objects.order_by("pk")):
        _write([_of_maker(maker, names[maker.pk]) for maker in makers])
    for sources in _chunks(Source.objects.order_by("pk")):
        _write([_of_source(source) for source in sources])
    ids = _ids(Instrument.objects.all())
    for start in range(0, len(ids), AT_A_TIME):
        _index_instruments(ids[start : start + AT_A_TIME])
    for kind, model in ROOT_OF_KIND.items():
        there = model._default_manager.order_by().values("reference")
        SearchEntry.objects.filter(kind=kind).exclude(reference__in=there).delete()


def _ids(found: object) -> list[int]:
    return list(found.order_by("pk").values_list("pk", flat=True))  # type: ignore[attr-defined]


def _chunks(found: object) -> Iterable[list]:
    rows = list(found)  # type: ignore[call-overload]
    for start in range(0, len(rows), AT_A_TIME):
        yield rows[start : start + AT_A_TIME]


def _entry(root: Root, kind: str, title: str, words: Iterable[str], patterns: str = "") -> SearchEntry:
    return SearchEntry(
        kind=kind,
        reference=root.reference,
        title=title[:300],
        words=plain_words(" ".join(word for word in (KIND_MARKS[kind], patterns, *words) if word))[
            :LONGEST_WORDS
        ],
        state=root.state,
        audience=root.audience,
        patterns=patterns[:400],
    )


def _of_place(place: Place) -> SearchEntry:
    return _entry(place, "place", place.name, (place.reference, place.name, place.other_names))


def _of_maker(maker: Maker, names: list[str]) -> SearchEntry:
    words = (maker.reference, maker.name, maker.sort_name, *names)
    return _entry(maker, "maker", maker.name, words)


def _of_source(source: Source) -> SearchEntry:
    words = (source.reference, source.name, source.author, source.shelfmark, source.held_at)
    return _entry(source, "source", source.name, words)


def _no_narrower(audience: str, than: str) -> bool:
    """Whether everybody who may read an instrument may read this too: else its words would tell."""
    return WIDENING.index(audience) <= WIDENING.index(than)  # type: ignore[arg-type]


def _index_instruments(ids: list[int]) -> None:
    """Entries of instruments and of their stops, in a dozen queries however many there are."""
    instruments = list(Instrument.objects.filter(pk__in=ids).select_related("place__parent"))
    if not instruments:
        return
    makers: dict[int, list[Maker]] = defaultdict(list)
    for model, audience in ((Event, True), (Layer, False)):
        for row in model.objects.filter(instrument__in=ids, maker__isnull=False).select_related("maker"):
            if not audience or row.audience == "public":
                makers[row.instrument_id].append(row.maker)
    stops: dict[int, list[str]] = defaultdict(list)
    for pk, label in Stop.objects.filter(specification__instrument__in=ids).values_list(
        "specification__instrument_id", "label"
    ):
        stops[pk].append(label)
    patterns = _patterns(ids)
    entries, without_stops = [], []
    for one in instruments:
        words = [one.reference, one.name, one.summary]
        place = one.place
        while place is not None and _no_narrower(place.audience, one.audience):
            words += [place.name, place.other_names]
            place = place.parent if place is one.place else None
        words += [maker.name for maker in makers[one.pk] if _no_narrower(maker.audience, one.audience)]
        entries.append(_entry(one, "instrument", one.name, dict.fromkeys(words), patterns.get(one.pk, "")))
        if stops[one.pk]:
            entries.append(_entry(one, "stops", one.name, dict.fromkeys(stops[one.pk])))
        else:
            without_stops.append(one.reference)
    _write(entries)
    SearchEntry.objects.filter(kind="stops", reference__in=without_stops).delete()


def _patterns(ids: list[int]) -> dict[int, str]:
    """Patterns of each instrument's current specification, between bars."""
    current = dict(
        Specification.objects.current().filter(instrument__in=ids).values_list("pk", "instrument_id")
    )
    found: dict[int, str] = {}
    for pk, scheme in schemes_of(current).items() if current else ():
        try:
            names = _pattern_names(scheme)
        except OrganError:
            continue  # a scheme that cannot be read is a finding, not a reason to refuse a save
        if names:
            found[current[pk]] = f"|{'|'.join(sorted(names))}|"
    return found


def _pattern_names(scheme: Scheme) -> set[str]:
    """The names of a scheme's patterns, without its families, signatures and the stops that can share nothing."""
    callers: dict[str, set[str]] = defaultdict(set)
    for segment in scheme.segments:
        callers[segment.rank].add(segment.stop)
    # Only stops that ask a rank another stop asks too can share a pipe; of those every segment counts.
    together = {stop for stops in callers.values() if len(stops) > 1 for stop in stops}
    if not together:
        return set()
    called = CalledPipes(
        replace(scheme, segments=tuple(one for one in scheme.segments if one.stop in together))
    )
    patterns = SchemePatterns(called, only=called.sharing)
    return {pattern.pattern for pattern in (*patterns.of_pairs, *patterns.of_stops)}


def _write(entries: list[SearchEntry]) -> None:
    """Save the entries that are new or say something else than before."""
    kinds: dict[str, list[str]] = defaultdict(list)
    for entry in entries:
        kinds[entry.kind].append(entry.reference)
    there = {
        tuple(row)
        for kind, references in kinds.items()
        for row in SearchEntry.objects.filter(kind=kind, reference__in=references).values_list(*TOLD)
    }
    changed = [entry for entry in entries if tuple(getattr(entry, name) for name in TOLD) not in there]
    SearchEntry.objects.bulk_create(
        changed,
        update_conflicts=True,
        unique_fields=["kind", "reference"],
        update_fields=["title", "words", "state", "audience", "patterns"],
    )
