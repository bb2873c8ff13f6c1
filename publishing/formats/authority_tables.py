"""Tables of what instruments refer to: makers, places, sources, devices; and of records withdrawn."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import choices
from publishing.disclosure.instruments import Collection

from .columns import Table, number, text, to, whole
from .instrument_tables import RELEASED, VERSION, WHEN
from .scheme_tables import CERTAINTY, Rows, english

MAKERS = Table(
    "makers",
    _("Makers"),
    _("Persons and firms."),
    (
        text("maker", _("Reference: stable, never given to another record."), required=True),
        VERSION,
        RELEASED,
        text("name", _("Name."), required=True),
        text("sort_name", _("Name as lists sort it.")),
        text("kind", _("Person or firm."), required=True),
        text("began_edtf", _("Born or founded, in the Extended Date/Time Format.")),
        text("ended_edtf", _("Died or closed, in the Extended Date/Time Format.")),
        text("active_edtf", _("Active, in the Extended Date/Time Format.")),
        text("workshop_place", _("Place of the workshop.")),
        text("note", _("Note.")),
    ),
    ("maker",),
    (to("workshop_place", table="places", there=("place",)),),
)
MAKER_NAMES = Table(
    "maker_names",
    _("Other forms of makers' names"),
    _("As sources write them."),
    (
        text("maker", _("Reference of the maker."), required=True),
        whole("row", _("Number of the row within the maker."), required=True, lowest=1),
        text("name", _("The name as written."), required=True),
        text("where_found", _("Where it is written so.")),
    ),
    ("maker", "row"),
    (to("maker", table="makers"),),
)
MAKER_TIES = Table(
    "maker_ties",
    _("Ties between makers"),
    _("What one maker has to do with another."),
    (
        text("maker", _("Reference of the maker."), required=True),
        whole("row", _("Number of the row within the maker."), required=True, lowest=1),
        text("kind", _("The tie, read from maker to other."), required=True),
        text("other", _("The other maker."), required=True),
        WHEN,
        CERTAINTY,
        text("said_by", _("On whose word.")),
    ),
    ("maker", "row"),
    (to("maker", table="makers"), to("other", table="makers", there=("maker",))),
)
PLACES = Table(
    "places",
    _("Places"),
    _("Positions are the middles of fixed squares, never the place itself; it lies within uncertainty_m of them. "
      "Empty where no position is published."),
    (
        text("place", _("Reference: stable, never given to another record."), required=True),
        VERSION,
        RELEASED,
        text("name", _("Name."), required=True),
        text("other_names", _("Other names, separated by semicolons.")),
        text("kind", _("What it is."), required=True),
        text("within", _("Place that holds it.")),
        number("latitude_degrees", _("Latitude of the middle of the square, WGS 84."), unit=_("degrees north")),
        number("longitude_degrees", _("Longitude of the middle of the square, WGS 84."), unit=_("degrees east")),
        number("grid_degrees", _("Side of the square."), unit=_("degrees")),
        whole("uncertainty_m", _("Radius around the middle that covers the square."), unit=_("metres"), lowest=0),
        text("note", _("Note.")),
    ),
    ("place",),
    (to("within", table="", there=("place",)),),
)  # fmt: skip
SOURCES = Table(
    "sources",
    _("Sources"),
    _("Documents, inscriptions and people on whose word the records rest."),
    (
        text("source", _("Reference: stable, never given to another record."), required=True),
        VERSION,
        RELEASED,
        text("name", _("Title."), required=True),
        text("kind", _("What it is, in English.")),
        text("author", _("Author.")),
        WHEN,
        text("held_at", _("Where it is kept.")),
        text("shelfmark", _("Shelfmark.")),
        text("quality", _("How good a witness it is.")),
    ),
    ("source",),
)
DEVICES = Table(
    "devices",
    _("Devices"),
    _("Ways of sharing pipes: how it is done."),
    (
        text("device", _("Code."), required=True),
        text("name_english", _("Name in English.")),
        text("name_french", _("Name in French; empty: not translated yet.")),
        text("name_spanish", _("Name in Spanish; empty: not translated yet.")),
        text("non_return", _("Whether the device needs a non-return valve where channels meet."),
             values=tuple(choices.NonReturn.values)),
        text("explanation", _("What it is.")),
    ),
    ("device",),
)  # fmt: skip
WITHDRAWN = Table(
    "withdrawn",
    _("Withdrawn instruments"),
    _("Records that were published once; their addresses keep a page."),
    (
        text("instrument", _("Reference: never given to another record."), required=True),
        text("because", _("Why it was withdrawn.")),
        text("merged_into", _("The record that took it in.")),
    ),
    ("instrument",),
    (to("merged_into", table="instruments", there=("instrument",)),),
)


def maker_rows(found: Collection) -> Rows:
    """One row a maker."""
    for one in found.makers.values():
        yield (
            one.reference, one.version, one.released_on or None, one.name, one.sort_name, one.kind,
            one.began.text if one.began else None, one.ended.text if one.ended else None,
            one.active.text if one.active else None, one.workshop.reference if one.workshop else None, one.note,
        )  # fmt: skip


def maker_name_rows(found: Collection) -> Rows:
    """One row another form of a name."""
    for one in found.makers.values():
        for row, (name, where) in enumerate(one.variants, start=1):
            yield one.reference, row, name, where


def maker_tie_rows(found: Collection) -> Rows:
    """One row a tie."""
    for one in found.makers.values():
        for row, tie in enumerate(one.ties, start=1):
            yield (
                one.reference, row, tie.kind, tie.other.reference, tie.when.text if tie.when else None,
                tie.certainty or None, tie.said_by,
            )  # fmt: skip


def place_rows(found: Collection) -> Rows:
    """One row a place."""
    for one in found.places.values():
        at = one.position
        yield (
            one.reference, one.version, one.released_on or None, one.name, "; ".join(one.other_names), one.kind,
            one.within[0].reference if one.within else None, at.latitude if at else None,
            at.longitude if at else None, at.grid_degrees if at else None, at.radius_m if at else None, one.note,
        )  # fmt: skip


def source_rows(found: Collection) -> Rows:
    """One row a source."""
    for one in found.sources.values():
        yield (
            one.reference, one.version, one.released_on or None, one.name, english(one.kind), one.author,
            one.when.text if one.when else None, one.held_at, one.shelfmark, one.quality,
        )  # fmt: skip


def device_rows(found: Collection) -> Rows:
    """One row a device."""
    for one in found.devices.values():
        yield (
            one.code, one.names.get("en"), one.names.get("fr"), one.names.get("es"), one.non_return or None,
            one.explanation,
        )  # fmt: skip


def withdrawn_rows(found: Collection) -> Rows:
    """One row a withdrawn instrument."""
    for one in found.gone:
        if one.link.folder != "instruments":
            continue
        yield one.link.reference, one.because, one.into.reference if one.into else None
