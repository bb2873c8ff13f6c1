"""The pitch and temperament a page plays at: as recorded where they are known, and said."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from inventory.organ.temperaments import TEMPERAMENTS
from inventory.punctuation import in_figures, semicolons

USUAL_A1_HZ = 440.0
# Words a record may use for a temperament; the first that fits wins.
_WORDS = (
    ("equal", "equal"),
    ("werckmeister", "Werckmeister III"),
    ("vallotti", "Vallotti"),
    ("young", "Young II"),
    ("kirnberger", "Kirnberger III, schisma F♯-C♯"),
    ("pythagor", "Pythagorean"),
    ("quarter comma", "quarter-comma meantone"),
    ("quarter-comma", "quarter-comma meantone"),
    ("meantone", "quarter-comma meantone"),
)


def nearest_temperament(recorded: str) -> str | None:
    """The temperament of the tables that a recorded word points to; None where it points to none.

    >>> nearest_temperament("near meantone, worn"), nearest_temperament("unlike any")
    ('quarter-comma meantone', None)
    """
    words = recorded.lower()
    return next((name for word, name in _WORDS if word in words), None)


def tuning_of(pitch: tuple[str, str] | None, recorded: str) -> tuple[dict[str, Any], str]:
    """a′ in Hz and the departure of each note from equal temperament in cents, and what is said of them."""
    a1 = float(pitch[0]) if pitch else USUAL_A1_HZ
    name = nearest_temperament(recorded)
    temperament = TEMPERAMENTS[name or "equal"]
    departures = [round(temperament.departure_cents(note), 4) for note in range(60, 72)]
    said = (
        _("Pitch as recorded: a′ = %(hz)s Hz") % {"hz": in_figures(pitch[0])}
        if pitch
        else _("The pitch was not recorded: a′ = 440 Hz")
    )
    if not recorded:
        more = _("the temperament was not recorded: equal.")
    elif name is None:
        more = _("the temperament recorded (%(words)s) cannot be played: equal.") % {"words": recorded}
    elif recorded.lower() == name.lower():
        more = _("temperament as recorded: %(words)s.") % {"words": recorded}
    else:
        more = _("temperament recorded as “%(words)s”, played as %(name)s.") % {
            "words": recorded,
            "name": name,
        }
    return {"a1": a1, "departures": departures}, semicolons([said, more])
