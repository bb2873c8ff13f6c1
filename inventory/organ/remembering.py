"""The last answers of a costly question, kept while the same things are asked about again."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar

Asked = TypeVar("Asked")
Answer = TypeVar("Answer")

AT_ONCE = 6
"""Values asked about in turn while one instrument is told: its scheme, the same with names, with certain lines."""


def remember_recent(many: int) -> Callable[[Callable[[Asked], Answer]], Callable[[Asked], Answer]]:
    """Keep the answers about the last `many` objects (1 or more) asked about, each known by being the same object.

    For values that never change and cannot be hashed, asked about many times in a row: one
    instrument's schemes, in three languages. Whoever asks must not change an answer.

    >>> asked = []
    >>> @remember_recent(2)
    ... def size_of(values):
    ...     asked.append(values)
    ...     return len(values)
    >>> pipes, keys, stops = [1, 2, 3], [1], []
    >>> [size_of(one) for one in (pipes, keys, pipes, keys, stops, keys, pipes)], len(asked)
    ([3, 1, 3, 1, 0, 1, 3], 4)
    """

    def remembering(function: Callable[[Asked], Answer]) -> Callable[[Asked], Answer]:
        kept: list[tuple[Asked, Answer]] = []

        @wraps(function)
        def remembered(about: Asked) -> Answer:
            for asked, known in kept:
                if asked is about:
                    return known
            answer = function(about)
            # One assignment: another thread sees the list before or after, never between.
            kept[:] = [*kept, (about, answer)][-many:]
            return answer

        return remembered

    return remembering
