"""How a process that makes pages begins: from nothing, so that it shares no hold of the database with the one that asks.

Nothing of Django may be imported at the head of this module: a new process reads it before the program is set up.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context


def set_up() -> None:
    """Make the program ready in a process just begun; it reads its settings from the same environment."""
    import django

    from .collecting import collect_less

    django.setup()
    collect_less()


@contextmanager
def workers_of(count: int) -> Iterator[Executor | None]:
    """So many processes that make instruments; None for one, which is this process alone.

    They are spawned on every system: a forked copy would share this one's hold of the database and its threads.
    """
    if count == 1:
        yield None
        return
    with ProcessPoolExecutor(count, mp_context=get_context("spawn"), initializer=set_up) as pool:
        yield pool
