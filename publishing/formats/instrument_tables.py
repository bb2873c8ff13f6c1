"""Tables of instruments: what they are, their history, parts, evidence, surveys and pictures."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import choices
from publishing.disclosure.values import PublicInstrument

from .columns import Table, number, text, to, truth, whole
from .scheme_tables import CERTAINTY, INSTRUMENT, Rows, english

WHEN = text(
    "when_edtf", _("Date as recorded, in the Extended Date/Time Format of ISO 8601-2; uncertainty included.")
)
OF_INSTRUMENT = to("instrument", table="instruments")
ROW = whole("row", _("Number of the row within the instrument."), required=True, lowest=1)
VERSION = whole("version", _("Version of the record."), required=True, lowest=1)
RELEASED = text("released_on", _("Day the record was last released, as YYYY-MM-DD."))
ATTRIBUTION = text(
    "attribution", _("How firmly the work is given to the maker."), values=tuple(choices.Attribution.values)
)
ABOUT = text(
    "about", _("Row and field of the record it speaks of, as row:code#field; empty: the whole record.")
)

INSTRUMENTS = Table(
    "instruments",
    _("Instruments"),
    _("One row an instrument."),
    (
        text("instrument", _("Reference: stable, never given to another record."), required=True),
        VERSION,
        RELEASED,
        text("name", _("Name."), required=True),
        text("status", _("What has become of it."), required=True, values=tuple(choices.InstrumentStatus.values)),
        text("status_since_edtf", _("Since when, in the Extended Date/Time Format.")),
        text("place", _("Place where it stands; empty when that is not published.")),
        text("summary", _("In a few sentences.")),
        text("action", _("Key action, in English.")),
        number("pitch_hz", _("Pitch of a′ as measured."), unit=_("hertz")),
        number("pitch_temperature_c", _("Temperature at which the pitch was measured."), unit=_("degrees Celsius")),
        text("temperament", _("Temperament in words.")),
        number("wind_pressure_mm_water", _("Wind pressure."), unit=_("millimetres of water")),
    ),
    ("instrument",),
    (to("place", table="places"),),
)  # fmt: skip
LAYERS = Table(
    "layers",
    _("Layers"),
    _("Campaigns of work that left something in the instrument."),
    (
        INSTRUMENT,
        text("layer", _("Code of the layer within the instrument."), required=True),
        text("name", _("Name."), required=True),
        WHEN,
        text("maker", _("Maker; empty when not known or not published.")),
        ATTRIBUTION,
        CERTAINTY,
        text("note", _("Note.")),
    ),
    ("instrument", "layer"),
    (OF_INSTRUMENT, to("maker", table="makers")),
)
EVENTS = Table(
    "events",
    _("Events"),
    _("What happened to instruments: built, changed, moved, damaged."),
    (
        INSTRUMENT,
        text("event", _("Code of the event within the instrument."), required=True),
        text("kind", _("What happened: code of the vocabulary."), required=True),
        text("kind_english", _("What happened, in English."), required=True),
        WHEN,
        whole("earliest_year", _("First year the date allows; empty: no bound."), unit=_("year")),
        whole("latest_year", _("Last year the date allows; empty: no bound."), unit=_("year")),
        text("maker", _("Who did it; empty when not known or not published.")),
        text("role", _("In what role, in English.")),
        ATTRIBUTION,
        text("place", _("Where.")),
        text("from_place", _("From where, of a move.")),
        CERTAINTY,
        text("description", _("In words.")),
    ),
    ("instrument", "event"),
    (
        OF_INSTRUMENT,
        to("maker", table="makers"),
        to("place", table="places"),
        to("from_place", table="places", there=("place",)),
    ),
)
PARTS = Table(
    "parts",
    _("Parts"),
    _("Parts of instruments and what is known of them; not looked at is never absent."),
    (
        INSTRUMENT,
        text("part", _("Code of the part within the instrument."), required=True),
        text("kind", _("What it is, in English."), required=True),
        text("name", _("Name.")),
        text("layer_name", _("Name of the layer it belongs to.")),
        text("looked_at", _("Whether it was looked at, and found."), values=tuple(choices.Knowledge.values)),
        CERTAINTY,
        text("description", _("In words.")),
    ),
    ("instrument", "part"),
    (OF_INSTRUMENT,),
)
TIES = Table(
    "ties",
    _("Ties between instruments"),
    _("What one instrument has to do with another."),
    (
        INSTRUMENT,
        ROW,
        text("kind", _("The tie, read from instrument to other."), required=True),
        text("other", _("The other instrument."), required=True),
        CERTAINTY,
        text("note", _("Note.")),
    ),
    ("instrument", "row"),
    (OF_INSTRUMENT, to("other", table="instruments", there=("instrument",))),
)
CITATIONS = Table(
    "citations",
    _("Citations"),
    _("On which source a field or row of a record rests."),
    (
        INSTRUMENT,
        ROW,
        ABOUT,
        text("source", _("Source."), required=True),
        text("locator", _("Page, folio, inscription.")),
        CERTAINTY,
        text("quote", _("The words of the source.")),
        text("note", _("Note.")),
    ),
    ("instrument", "row"),
    (OF_INSTRUMENT, to("source", table="sources")),
)
CLAIMS = Table(
    "claims",
    _("Claims"),
    _("What sources say of one thing where they disagree, side by side; the preferred one with its reason."),
    (
        INSTRUMENT,
        ROW,
        ABOUT,
        text("value", _("What is claimed."), required=True),
        text("source", _("Who says so; empty when the source is not published.")),
        text("locator", _("Page, folio, inscription.")),
        CERTAINTY,
        truth("is_preferred", _("Whether the record follows it."), required=True),
        text("because", _("Why, or why not.")),
    ),
    ("instrument", "row"),
    (OF_INSTRUMENT, to("source", table="sources")),
)
SURVEYS = Table(
    "surveys",
    _("Surveys"),
    _("Visits, how deep they went and what they could not reach. Findings only where their keeper consents."),
    (
        INSTRUMENT,
        text("survey", _("Code of the survey within the instrument."), required=True),
        WHEN,
        whole("recording_level", _("0 notice, 1 inventory visit, 2 condition survey, 3 preliminary study, 4 full "
              "documentation, 5 record of works done."), required=True, lowest=0),
        text("limits", _("What it did not reach and says nothing about.")),
        text("findings", _("What it found; empty without consent.")),
        whole("notes_heard", _("Note-and-stop pairs that sounded."), unit=_("note-stops"), lowest=0),
        whole("notes_tried", _("Note-and-stop pairs that were tried."), unit=_("note-stops"), lowest=0),
    ),
    ("instrument", "survey"),
    (OF_INSTRUMENT,),
)  # fmt: skip
PHOTOGRAPHS = Table(
    "photographs",
    _("Photographs"),
    _("Pictures in the catalogue, with credit and licence; the files stand on the instruments' pages."),
    (
        INSTRUMENT,
        text("photograph", _("Code of the picture within the instrument."), required=True),
        text("shows", _("What it shows, for people who do not see it.")),
        text("caption", _("Caption.")),
        truth("is_drawn", _("Drawn, not photographed."), required=True),
        WHEN,
        text("credit", _("Who is to be named.")),
        text("licence", _("Licence of the picture."), required=True),
        whole("original_width_px", _("Width of the original."), unit=_("pixels"), required=True, lowest=1),
        whole("original_height_px", _("Height of the original."), unit=_("pixels"), required=True, lowest=1),
    ),
    ("instrument", "photograph"),
    (OF_INSTRUMENT,),
)
REGIONS = Table(
    "regions",
    _("Regions of photographs"),
    _("Labelled rectangles of pictures."),
    (
        INSTRUMENT,
        text("photograph", _("Code of the picture."), required=True),
        whole("row", _("Number of the row within the picture."), required=True, lowest=1),
        whole("label_number", _("Number printed on the picture."), required=True, lowest=0),
        text("label", _("What it shows."), required=True),
        number("left_fraction", _("Left edge."), unit=_("fraction of the picture's width"), required=True),
        number("top_fraction", _("Top edge."), unit=_("fraction of the picture's height"), required=True),
        number("width_fraction", _("Width."), unit=_("fraction of the picture's width"), required=True),
        number("height_fraction", _("Height."), unit=_("fraction of the picture's height"), required=True),
    ),
    ("instrument", "photograph", "row"),
    (to("instrument", "photograph", table="photographs"),),
)


def instrument_rows(organ: PublicInstrument) -> Rows:
    """The one row of an instrument."""
    hertz, celsius = organ.pitch or (None, None)
    yield (
        organ.reference, organ.version, organ.released_on or None, organ.name, organ.status,
        organ.status_since.text if organ.status_since else None, organ.place.reference if organ.place else None,
        organ.summary, english(organ.action), _measure(hertz), _measure(celsius), organ.temperament,
        _measure(organ.wind_pressure_mm),
    )  # fmt: skip


def _measure(told: str | None) -> float | None:
    """A measure as a number; its text is made by disclosure without trailing noughts."""
    return float(told) if told else None


def layer_rows(organ: PublicInstrument) -> Rows:
    """One row a layer."""
    for one in organ.layers:
        yield (
            organ.reference, one.code, one.name, one.when.text if one.when else None,
            one.maker.reference if one.maker else None, one.attribution or None, one.certainty or None, one.note,
        )  # fmt: skip


def event_rows(organ: PublicInstrument) -> Rows:
    """One row an event."""
    for one in organ.events:
        yield (
            organ.reference, one.code, one.kind_code, english(one.kind), one.when.text if one.when else None,
            one.when.earliest_year if one.when else None, one.when.latest_year if one.when else None,
            one.maker.reference if one.maker else None, english(one.role), one.attribution or None,
            one.place.reference if one.place else None, one.from_place.reference if one.from_place else None,
            one.certainty or None, one.text,
        )  # fmt: skip


def part_rows(organ: PublicInstrument) -> Rows:
    """One row a part."""
    for one in organ.parts:
        yield (
            organ.reference, one.code, english(one.kind), one.name, one.layer or None, one.looked_at or None,
            one.certainty or None, one.description,
        )  # fmt: skip


def tie_rows(organ: PublicInstrument) -> Rows:
    """One row a tie."""
    for row, (kind, other, certainty, note) in enumerate(organ.ties, start=1):
        yield organ.reference, row, kind, other.reference, certainty or None, note


def citation_rows(organ: PublicInstrument) -> Rows:
    """One row a citation."""
    for row, one in enumerate(organ.citations, start=1):
        yield (
            organ.reference, row, one.about or None, one.source.reference, one.locator, one.certainty or None,
            one.quote, one.note,
        )  # fmt: skip


def claim_rows(organ: PublicInstrument) -> Rows:
    """One row a claim."""
    for row, one in enumerate(organ.claims, start=1):
        yield (
            organ.reference, row, one.about or None, one.value, one.source.reference if one.source else None,
            one.locator, one.certainty or None, one.preferred, one.because,
        )  # fmt: skip


def survey_rows(organ: PublicInstrument) -> Rows:
    """One row a survey."""
    for one in organ.surveys:
        heard, tried = one.heard or (None, None)
        yield (
            organ.reference, one.code, one.when.text if one.when else None, one.level, one.limits, one.findings,
            heard, tried,
        )  # fmt: skip


def photograph_rows(organ: PublicInstrument) -> Rows:
    """One row a picture."""
    for one in organ.pictures:
        yield (
            organ.reference, one.code, one.shows, one.caption, one.is_drawn, one.when.text if one.when else None,
            one.credit, one.licence, one.width, one.height,
        )  # fmt: skip


def region_rows(organ: PublicInstrument) -> Rows:
    """One row a region of a picture."""
    for picture in organ.pictures:
        for row, one in enumerate(picture.regions, start=1):
            yield (
                organ.reference, picture.code, row, one.order, one.label, one.x, one.y, one.width, one.height,
            )  # fmt: skip
