"""Help beside fields that the record itself does not explain, in the words of the trade."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

FIELD_HELP = {
    "attribution": _(
        "How firmly the work is given to this maker. A mark alone may be later, or on a pipe used again."
    ),
    "certainty": _("How sure this statement is, whoever makes it."),
    "documented_before": _("Whether the state before the work was recorded: photographs, pitch, stoplist."),
    "looked_at": _("Not seen is never missing: say whether it was reached at all."),
    "role": _("Made, designed, sold, erected, supplied pipes, moved: not every name built the organ."),
    "from_place": _("Only for a move: where it stood before."),
    "text": _("In a few words, as you would tell a colleague."),
    "cause": _("Supposed, not proved: consistent with what was seen and heard."),
    "affected": _("How many keys, pipes or parts show it."),
    "out_of": _("Of how many that were tried."),
    "notes_tried": _("Each stop tried at each key counts once."),
    "notes_heard": _("Of those tried, how many spoke."),
    "temperament": _("As tuned now, with who says so; equal, or the name the tuner gives it."),
    "wind_pressure_mm": _(
        "Millimetres of water at the chest with nothing drawn; say in the note where it was taken."
    ),
    "basis": _("Seen at the instrument, or told by a source: a stoplist is only as good as this."),
    "locator": _("Page, folio, line: so that another finds it."),
    "quote": _("Its own words and spelling, unchanged."),
    "deadline": _("Until when it can still be averted."),
    "interests": _(
        "What ties the assessor to the owner, the maker or the outcome; write none if there is none."
    ),
    "quality": _("Primary: written at the time by somebody concerned. Hearsay is worth keeping, as hearsay."),
}
"""By field name; what a model says of its own field wins."""
