"""What a citation or claim speaks of, told by the names of the record it stands in."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.utils.translation import gettext as _

from inventory.punctuation import labelled
from inventory.saying_anew import field_in_words
from publishing.disclosure.values import PublicInstrument, SpecificationValue

from .rendering import word
from .scheme_words import labels_of


def about_in_words(about: str, organ: PublicInstrument) -> str:
    """For a reader: event:built#when as “new build, 1885: date”."""
    if not about:
        return _("the instrument as a whole")
    row, _hash, field = about.partition("#")
    kind, _colon, code = row.partition(":")
    if not code:
        own = {"name": _("name"), "status": _("status"), "pitch_hz": _("pitch")}
        return own.get(kind) or _field_name("instrument", kind)
    name = NAMED[kind](organ, code) if kind in NAMED else ""
    words = name or _("%(kind)s “%(name)s”") % {
        "kind": _kind_name(kind),
        "name": _plain(code.split("/")[-1]),
    }
    fields = {"when": _("date"), "maker": _("maker"), "footage": _("footage"), "pipes": _("number of pipes"),
              "number": "", "device": _("device"), "note": _("remark")}  # fmt: skip
    said = fields[field] if field in fields else _field_name(kind, field) if field else ""
    return labelled(words, said) if said else words


def _kind_name(kind: str) -> str:
    """What the workroom calls a kind of row."""
    try:
        return str(apps.get_model("inventory", kind)._meta.verbose_name)
    except LookupError:
        return _plain(kind)


def _field_name(kind: str, field: str) -> str:
    try:
        found = apps.get_model("inventory", kind)._meta.get_field(field)
    except (LookupError, FieldDoesNotExist):
        return _plain(field)
    return field_in_words(found)


def _plain(code: str) -> str:
    return code.replace("-", " ").replace("_", " ")


def _event(organ: PublicInstrument, code: str) -> str:
    for event in organ.events:
        if event.code == code:
            return word(event.kind) + (f", {event.when.words}" if event.when else "")
    return ""


def _layer(organ: PublicInstrument, code: str) -> str:
    return next((layer.name for layer in organ.layers if layer.code == code), "")


def _part(organ: PublicInstrument, code: str) -> str:
    return next((part.name for part in organ.parts if part.code == code), "")


def _specification(organ: PublicInstrument, code: str) -> str:
    return next((found.name for found in organ.specifications if found.code == code), "")


def _within(organ: PublicInstrument, code: str) -> tuple[SpecificationValue | None, list[str]]:
    """The specification a code such as as-found/I.flute/s1 stands in, and what comes after it."""
    first, *rest = code.split("/")
    return next((found for found in organ.specifications if found.code == first), None), rest


def _stop(organ: PublicInstrument, code: str) -> str:
    specification, rest = _within(organ, code)
    return labels_of(specification).get(rest[0], "") if specification and rest else ""


def _segment(organ: PublicInstrument, code: str) -> str:
    stop = _stop(organ, code)
    return _("the pipes that %(stop)s asks") % {"stop": stop} if stop else ""


def _rank(organ: PublicInstrument, code: str) -> str:
    specification, rest = _within(organ, code)
    ranks = specification.ranks if specification and rest else ()
    return next((rank.name for rank in ranks if rank.code == rest[0]), "")


def _count(_organ: PublicInstrument, code: str) -> str:
    counts: Mapping[str, str] = {
        "knobs": _("how many knobs"),
        "stops": _("how many stops"),
        "ranks": _("how many ranks"),
        "pipes": _("how many pipes"),
    }
    return counts.get(code.split("/")[-1], "")


def _chest(organ: PublicInstrument, code: str) -> str:
    specification, rest = _within(organ, code)
    if specification is None or not rest:
        return ""
    codes = [chest.id for chest in specification.scheme.chests]
    if len(codes) != len(specification.chests) or rest[0] not in codes:
        return ""
    return specification.chests[codes.index(rest[0])][0]


NAMED: Mapping[str, Callable[[PublicInstrument, str], str]] = {
    "event": _event, "layer": _layer, "part": _part, "specification": _specification, "stop": _stop,
    "segment": _segment, "rank": _rank, "count": _count, "chest": _chest,
}  # fmt: skip
