"""Fewer rounds of Python's collector while much is made: each would walk everything in hand again."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

THRESHOLDS = (200_000, 10, 10)
"""Objects before a round, young rounds before a middle one, middle ones before a full one (700, 10, 10 else)."""


def collect_less() -> None:
    """From now on, in this process."""
    gc.freeze()
    gc.set_threshold(*THRESHOLDS)


@contextmanager
def collecting_less() -> Iterator[None]:
    """While something is made: values of instruments hold few rings, so that little waits for the collector."""
    before = gc.get_threshold()
    collect_less()
    try:
        yield
    finally:
        gc.set_threshold(*before)
        gc.unfreeze()
