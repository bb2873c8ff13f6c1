"""Passages of a brief: edited and accepted by people."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inventory.models import Instrument, Passage, User

from .errors import ActionError
from .records import change_record


def save_passage(
    instrument: Instrument,
    *,
    version: int,
    by: User,
    section: str,
    language: str,
    text: str,
    accepted: bool,
    drafted: str = "",
) -> Instrument:
    """Keep a passage; accepting it takes the mark *draft* off, and notes who did and what the record said then."""
    if section not in Passage.Section.values or language not in Passage.Language.values:
        raise ActionError(_("There is no such passage."))
    text = text.replace("\r\n", "\n").strip()
    if not text:
        raise ActionError(_("A passage needs words; to have it drafted anew, take it back."))
    row = instrument.passages.filter(section=section, language=language).first() or Passage(
        instrument=instrument,
        section=section,
        language=language,
        code=f"{section.replace(' ', '-')}-{language}",
    )
    row.text, row.accepted = text, accepted
    row.accepted_by, row.drafted = (by.username, drafted) if accepted else ("", "")
    why = _("passage accepted") if accepted else _("passage edited")
    return change_record(instrument, version=version, by=by, put=[row], why=why, action="save passage")  # type: ignore[return-value]


def take_back_passage(passage: Passage, *, version: int, by: User) -> Instrument:
    """The passage goes; the brief drafts it from the record again."""
    return change_record(
        passage.get_root(),
        version=version,
        by=by,
        remove=[passage],
        why=_("drafted anew"),
        action="take back passage",
    )  # type: ignore[return-value]
