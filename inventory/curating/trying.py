"""What a scheme that is not saved yet comes to: drawings, sums, findings, and what sounds under a hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from inventory.drawings.keyboards import keyboard_strip
from inventory.drawings.ranks import rank_drawing
from inventory.organ.answers import evaluate_answer, sound_answer
from inventory.organ.calls import CalledPipes
from inventory.organ.errors import OrganError
from inventory.organ.notes import note_name
from inventory.organ.schemes import Scheme, answered_calls
from inventory.organ.sums import needed_pipes
from inventory.saying_anew import in_words

SHARPS = frozenset((1, 3, 6, 8, 10))
MOST_HELD = 200


def try_scheme(scheme: Scheme, *, look: str, drawn: Sequence[str], held: Sequence[str]) -> dict[str, Any]:
    """Everything the panel beside the tables shows."""
    labels = {stop.id: stop.name or stop.id for stop in scheme.stops}
    context: dict[str, Any] = {
        "labels": labels,
        "keyboards": keyboards_of(scheme, held),
        "ranks": scheme.ranks,
    }
    known = [*(stop.id for stop in scheme.stops), *(coupler.id for coupler in scheme.couplers)]
    drawn = [one for one in drawn if one in known]
    context["knobs"] = [{"id": one, "label": labels.get(one, one), "drawn": one in drawn} for one in known]
    try:
        sums = evaluate_answer(scheme)
        told = [{**one, "message": in_words(one["message"])} for one in sums["findings"]]
        context["sums"] = sums | {"findings": told}
        context["needed"] = _needed(scheme)
        context |= _sounding(scheme, drawn, held)
        context |= _drawings(scheme, look)
    except (OrganError, ValueError) as error:
        context["unreadable"] = in_words(error.message) if isinstance(error, OrganError) else str(error)
    return context


def _needed(scheme: Scheme) -> list[dict[str, Any]]:
    """What if the treble were complete: pipes to add to each rank."""
    called = CalledPipes(scheme)
    found = []
    for rank in scheme.ranks:
        need = needed_pipes(called, rank.id)
        if need.needed:
            found.append(
                {"rank": rank.id, "recorded": need.recorded, "needed": need.needed, "above": need.above,
                 "below": need.below, "between": need.between}
            )  # fmt: skip
    return found


def _drawings(scheme: Scheme, look: str) -> dict[str, Any]:
    """One rank with every pipe and who calls it, and the keyboards of the stops that call it."""
    callers: dict[str, set[str]] = {}
    for call in answered_calls(scheme):
        callers.setdefault(call.rank, set()).add(call.stop)
    if look not in callers:
        look = max(callers, key=lambda rank: len(callers[rank]), default="")
    if not look:
        return {"look": ""}
    stops = [stop.id for stop in scheme.stops if stop.id in callers[look]]
    return {
        "look": look,
        "rank_drawing": rank_drawing(scheme, look, prefix="try-rank"),
        "strips": [keyboard_strip(scheme, stop, prefix=f"try-keys-{n}") for n, stop in enumerate(stops[:8])],
        "strips_left": max(0, len(stops) - 8),
    }


def _sounding(scheme: Scheme, drawn: Sequence[str], held: Sequence[str]) -> dict[str, Any]:
    keys = []
    for one in held[:MOST_HELD]:
        board, _colon, key = one.rpartition(":")
        if board in scheme.keyboard and key.isdecimal() and 1 <= int(key[:4]) <= scheme.keyboard[board].keys:
            keys.append((board, int(key)))
    answer = sound_answer(scheme, list(drawn), keys)
    pipes: dict[str, list[dict[str, Any]]] = {}
    for pipe in answer["pipes"]:
        note = scheme.rank[pipe["rank"]].note_of(pipe["pipe"])
        said = [scheme.stop[call["stop"]].name for call in pipe["calls"]]
        pipes.setdefault(pipe["rank"], []).append(
            {"pipe": pipe["pipe"], "note": "" if note is None else note_name(note), "stops": said}
        )
    speaking = {rank: [one["pipe"] for one in found] for rank, found in pipes.items()}
    return {"sound": answer, "speaking": speaking, "sounding": pipes, "is_played": bool(drawn and keys)}


def keyboards_of(scheme: Scheme, held: Sequence[str]) -> list[dict[str, Any]]:
    """Keyboards as pictures of keys that can be held."""
    found = []
    for board in scheme.keyboards:
        keys = [
            {
                "value": f"{board.id}:{key}",
                "note": note_name(note),
                "raised": note % 12 in SHARPS,
                "held": f"{board.id}:{key}" in held,
                "label": _("key %(key)d, %(note)s") % {"key": key, "note": note_name(note)},
            }
            for key, note in enumerate(board.notes, start=1)
        ]
        found.append({"id": board.id, "keys": keys})
    return found
