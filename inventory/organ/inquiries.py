"""An inquiry: the tracer asks its own trials, one after the other, until no trial tells more."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from inventory.organ.confirming_trial import confirming_trial
from inventory.organ.explanations import Diagnosis, explain
from inventory.organ.next_trial import NextTrial, next_trial
from inventory.organ.odds import Odds
from inventory.organ.schemes import Scheme
from inventory.organ.trials import Trial

MOST_ASKED = 40
Ask = Callable[[NextTrial], Trial]
"""Makes the trial asked for and writes down what was heard, the pipes to listen for by name."""
Choose = Callable[[Sequence[Trial], Diagnosis], NextTrial | None]


@dataclass(frozen=True)
class Inquiry:
    """The trials made, those given at the start included, and where they lead."""

    trials: tuple[Trial, ...]
    diagnosis: Diagnosis
    asked: int
    """Trials asked for beyond those given."""
    is_ended: bool
    """Whether no further trial would tell more; false where the limit stopped it."""


def inquire(
    scheme: Scheme,
    given: Sequence[Trial],
    ask: Ask,
    *,
    odds: Odds | None = None,
    choose: Choose | None = None,
    most: int = MOST_ASKED,
) -> Inquiry:
    """Go on from the trials given until nothing is left to ask, or `most` trials (0 or more) were asked.

    `choose` takes another way of choosing the next trial; the tracer's own is `next_trial`, then `confirming_trial`.
    Raises SearchTooLong as `explain` does.

    >>> from inventory.organ.flows import Flows
    >>> from inventory.organ.listening import listen
    >>> from inventory.organ.nets import Failure
    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> from inventory.organ.valves_needed import net_of
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("R", 2),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 2), "R", shift=0),))
    >>> flows, broken = Flows(net_of(scheme)), [Failure("slider:A", "shut")]
    >>> first = listen(scheme, flows, broken, ["A"], [("I", 1)])
    >>> found = inquire(scheme, [first], lambda next: listen(scheme, flows, broken, next.stops, next.keys))
    >>> found.asked, found.diagnosis.groups[0].explanations[0].entries[0].failure.part
    (1, 'slider:A')
    """

    def own(trials: Sequence[Trial], diagnosis: Diagnosis) -> NextTrial | None:
        return next_trial(scheme, trials, diagnosis) or confirming_trial(scheme, trials, diagnosis)

    trials = list(given)
    while True:
        diagnosis = explain(scheme, trials, odds)
        following = (choose or own)(trials, diagnosis)
        asked = len(trials) - len(given)
        if following is None or asked >= most:
            return Inquiry(tuple(trials), diagnosis, asked, following is None)
        trials.append(ask(following))
