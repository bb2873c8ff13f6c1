"""Guessing the language of a typed list from words that belong to one language only."""

from __future__ import annotations

from collections import Counter

from inventory.organ.stoplists.phrases import Line, Source

_LONGEST_LINE = 2000


def guess_language(lines: list[str], source: Source) -> str | None:
    """The language most words belong to alone; None unless it is clear.

    A word counts when it belongs to one language only; a language is clear with three
    such words and twice as many as any other. A guess settles short words and B, never
    that a B is a B flat.

    >>> from inventory.organ.stoplists.vocabulary import load_vocabulary
    >>> guess_language(["Soubasse 16", "Flûte à cheminée 8", "Trompette 8", "Doublette 2"],
    ...                Source(load_vocabulary()))
    'fr'
    """
    votes: Counter[str] = Counter()
    for typed in lines[:300]:
        if len(typed) > _LONGEST_LINE:
            continue
        line = Line(1, typed, source)
        at = 0
        while at < len(line.tokens):
            options = line.options(at)
            if options:
                after, senses = options[0]
                languages = {sense.language for sense in senses}
                if len(languages) == 1 and after - at + len(line.tokens[at].text) > 3:
                    votes[languages.pop()] += 1
                at = after
            else:
                at += 1
    ranked = votes.most_common(2)
    if not ranked or ranked[0][1] < 3 or (len(ranked) > 1 and ranked[0][1] < 2 * ranked[1][1]):
        return None
    return ranked[0][0]
