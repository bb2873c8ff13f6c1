"""One cause behind many failures of a kind: what a builder would think of first (common practice)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from inventory.organ.explanations import Diagnosis
from inventory.organ.sentences import say
from inventory.organ.trials import Trial

FEWEST_ALIKE = 3
"""From this many failures of one kind a common cause is suggested."""
WEAK_SHARE = 0.25
FEWEST_WEAK = 6

CAUSES: Mapping[tuple[str, str], str] = {
    ("valve", "open"): say("leather of one age on the non-return valves, dried or curled"),
    ("valve", "shut"): say("non-return valves stuck to their holes, from glue, damp or leather of one age"),
    ("pallet", "slight"): say("pallet leather of one age, or dirt let into the pallet box by recent work"),
    ("pallet", "open"): say("weak or corroded springs of one make, or key action swollen in damp"),
    ("pallet", "shut"): say("one part of the key action: a roller board, a beam of trackers, or low wind"),
    ("channel", "runs"): say("a cracked table or failed glue along the bars of the chest"),
    ("groove", "runs"): say("an upperboard warped or screwed unevenly, or a cracked table beneath it"),
    ("groove", "dead"): say("borings of one upperboard or slider out of line or blocked"),
    ("slider", "shut"): say("the stop action: one shaft or pneumatic supply"),
    ("cone", "shut"): say("motors or membranes of one age, or low action wind"),
    ("cone", "open"): say("cones or their guides swollen, or motors of one age"),
    ("cone", "slight"): say("leather of one age on the cones"),
    ("contact", "shut"): say("one cable, plug or row of contacts"),
    ("contact", "open"): say("one row of contacts, bent or bridged"),
    ("line", "dead"): say("one cable, plug or magnet supply"),
    ("pipevalve", "shut"): say("one cable or supply, or pouches of one age"),
    ("pipevalve", "slight"): say("pouches or valve leather of one age"),
    ("pipevalve", "open"): say("pouches or valve leather of one age"),
    ("pipe", "dead"): say("pipes of one rank fallen, moved or robbed of wind"),
}


def suggest_cause(trials: Sequence[Trial], diagnosis: Diagnosis) -> str | None:
    """One sentence when many failures are of one kind, or many notes are weak; else None.

    A failure counts for each kind its entry in the likeliest explanation could be.

    >>> from inventory.organ.behaviours import Behaviours
    >>> from inventory.organ.flows import Flows
    >>> from inventory.organ.nets import Net
    >>> suggest_cause([], Diagnosis((), (), Behaviours(Flows(Net(()))))) is None
    True
    """
    kinds: Counter[tuple[str, str]] = Counter()
    first: Counter[tuple[str, str]] = Counter()
    for group in diagnosis.groups:
        for entry in group.explanations[0].entries:
            alike = [(f.part.partition(":")[0], f.fails) for f in (entry.failure, *entry.same_as)]
            kinds.update(set(alike))
            first[alike[0]] += 1
    known = [kind for kind, number in kinds.items() if number >= FEWEST_ALIKE and kind in CAUSES]
    if known:
        kind = max(known, key=lambda k: (kinds[k], first[k], k))
        return say(
            "%(number)s failures could be of one kind, which is consistent with one cause: %(cause)s.",
            number=kinds[kind],
            cause=CAUSES[kind],
        )
    heard = [heard for trial in trials for heard in trial.heard]
    weak = sum(one.manner == "weak" for one in heard)
    if weak >= FEWEST_WEAK and weak >= WEAK_SHARE * len(heard):
        return say(
            "%(weak)s of %(heard)s notes are weak, which is consistent with low wind.",
            weak=weak,
            heard=len(heard),
        )
    return None
