"""The tables of the collection as they stand now, made from kept rows where nothing changed."""

from __future__ import annotations

import hashlib
import sqlite3
import threading
import zlib
from collections import OrderedDict
from collections.abc import Iterator
from pathlib import Path

from publishing.disclosure.instruments import Collection, read_instruments
from publishing.disclosure.stamps import row_stamps

from .choosing import View
from .frames import Frames, frames_of_rows
from .row_store import RowStore
from .rows import InstrumentRows, rows_of

CHUNK = 200
MOST_IN_HAND = 4
_in_hand: OrderedDict[tuple[str, str, str], Frames] = OrderedDict()
_lock = threading.Lock()


def current_frames(collection: Collection, view: View, folder: Path) -> Frames:
    """The tables of the public instruments in one view; only instruments that changed are worked out.

    `folder` is where rows are kept between calls. The tables are those of `frames_of`, row by row.

    >>> current_frames.__name__  # its examples need a database: tests/publishing/statistics/test_keeping.py
    'current_frames'
    """
    keys = row_stamps(collection)
    state = hashlib.sha256("".join(keys.values()).encode()).hexdigest()
    place = (str(folder), view.slug, state)
    with _lock:
        if place in _in_hand:
            _in_hand.move_to_end(place)
            return _in_hand[place]
    frames = frames_of_rows(view, kept_rows(collection, view, folder, keys))
    with _lock:
        _in_hand[place] = frames
        while len(_in_hand) > MOST_IN_HAND:
            _in_hand.popitem(last=False)
    return frames


def kept_rows(
    collection: Collection, view: View, folder: Path, keys: dict[int, str]
) -> Iterator[tuple[str, InstrumentRows]]:
    """The rows of every public instrument by reference: kept ones, and new ones where the key is another.

    >>> kept_rows.__name__  # as above
    'kept_rows'
    """
    given = set()
    try:
        store = RowStore(folder, view.slug)
        refresh(store, collection, view, keys)
        for reference, rows in store.rows():
            yield reference, rows
            given.add(reference)
    except (sqlite3.Error, OSError, zlib.error, ValueError, KeyError):
        # A folder that cannot be written, a file that is damaged: the figures need neither.
        references = {pk: link.reference for pk, link in collection.instruments.items()}
        for chunk in _chunks([pk for pk in keys if references[pk] not in given]):
            for organ in read_instruments(chunk, collection, evaluated=False):
                yield organ.reference, rows_of(organ, view)


def refresh(store: RowStore, collection: Collection, view: View, keys: dict[int, str]) -> int:
    """Bring the kept rows up to date; returns for how many instruments they were made anew.

    >>> refresh.__name__  # as above
    'refresh'
    """
    references = {pk: link.reference for pk, link in collection.instruments.items()}
    kept = store.keys()
    stale = [pk for pk, key in keys.items() if kept.get(references[pk]) != key]
    gone = kept.keys() - {references[pk] for pk in keys}
    of_reference = {references[pk]: key for pk, key in keys.items()}
    for chunk in _chunks(stale):
        organs = read_instruments(chunk, collection, evaluated=False)
        store.put([(o.reference, of_reference[o.reference], rows_of(o, view)) for o in organs])
    if gone:
        store.put((), gone)
    return len(stale)


def _chunks(ids: list[int]) -> Iterator[list[int]]:
    for start in range(0, len(ids), CHUNK):
        yield ids[start : start + CHUNK]
