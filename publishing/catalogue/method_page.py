"""The page that says how every figure was computed."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from inventory.organ.answers import evaluate_answer
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
from inventory.punctuation import in_figures


def method_context() -> dict[str, Any]:
    """What the template `method.html` prints; its worked sum is computed now."""
    return {
        "title": _("How it was computed"),
        "description": _("What is counted, what is computed from it, and what neither can tell."),
        "worked": _worked_sum(),
        "sections": [
            (
                _("Calls and pipes"),
                [
                    _(
                        "A stop is a right of access to pipes, not a set of pipes. A call is one stop at one key asking "
                        "one pipe. A call to a pipe that does not exist is no call; it is listed as a finding."
                    ),
                    _(
                        "A pipe is shared when two or more stops call it, repeated when one stop calls it at two keys, "
                        "and a stop's own when no other calls it. Economy is 1 − pipes called ÷ calls."
                    ),
                ],
            ),
            (
                _("Patterns and devices"),
                [
                    _(
                        "The pattern (what is shared) is computed from the calls: same keyboard or another, same "
                        "pitch or another. The device (how it is done) is what somebody saw, sounded, read or "
                        "inferred; it is never computed, and a device that nobody saw is left open."
                    )
                ],
            ),
            (
                _("Non-return valves"),
                [
                    _(
                        "A pipe that stands over two channels lets wind pass from one into the other. A valve is needed "
                        "where channels that nobody plays would fill; it is not needed where both holes lie in one "
                        "channel, as in a common bass, nor in chests that give every pipe a valve of its own. Not seen "
                        "is not missing."
                    )
                ],
            ),
            (
                _("Counts"),
                [
                    _(
                        "Knobs, stops, ranks and pipes are kept by how they were counted, and differences are shown, "
                        "not mended. A number computed from the rows of a record is never printed as one somebody "
                        "counted on the chest."
                    )
                ],
            ),
            (
                _("Shares and intervals"),
                [
                    _(
                        "Every share is printed with what was counted and out of how many, and with the 95 % "
                        "interval of E. B. Wilson (1927), z = 1.959964. It says how far a share from so few could "
                        "stray by chance; it does not say that the inventory is a fair sample, which it is not: it "
                        "records what somebody went to see. Groups of fewer than five are not ranked."
                    ),
                    _(
                        "Sharing is counted for the maker and date of the layer it belongs to, not for the first "
                        "maker of the organ. Each instrument is counted once, as its current specification has it."
                    ),
                ],
            ),
            (
                _("Drawings and places"),
                [
                    _(
                        "Pipes are drawn to a nominal scale from their pitch, not from measures. Positions are the "
                        "middle of a fixed square; the radius covers the whole square."
                    )
                ],
            ),
        ],
    }


def _worked_sum() -> str:
    keys = 61
    scheme = Scheme(
        (Keyboard("I", tuple(range(36, 36 + keys))),),
        (Rank("row", keys + 12, tuple(range(36, 48 + keys))),),
        (Stop("eight", "I", "8′", "8"), Stop("four", "I", "4′", "4")),
        (
            Segment("eight", (1, keys), "row", interval=0),
            Segment("four", (1, keys), "row", interval=12),
        ),
    )
    answer = evaluate_answer(scheme)
    return _(
        "%(calls)s calls on %(called)s pipes; %(shared)s pipes shared, %(own)s not; economy 1 − %(called)s ÷ %(calls)s "
        "= %(economy)s."
    ) % {
        "calls": answer["calls"],
        "called": answer["pipes_called"],
        "shared": answer["pipes_shared"],
        "own": answer["pipes_own"],
        "economy": in_figures(f"{answer['economy']:.3f}"),
    }
