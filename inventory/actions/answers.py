"""Answers to findings: somebody looked, and says why it is right."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.models import FindingAnswer, Instrument, User

from .errors import ActionError
from .records import change_record


def digest_of(facts: Any) -> str:
    """A short name for the facts a finding rests on: another digest means other facts."""
    text = json.dumps(facts, sort_keys=True, default=str, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def answer_finding(
    instrument: Instrument, *, version: int, by: User, finding: str, about: str, facts: str, because: str
) -> Instrument:
    """Record why a finding is right as it is. It is shown again when its facts change."""
    if not because.strip():
        raise ActionError(_("Say why it is right as it is: the next person will ask."))
    earlier = instrument.finding_answers.filter(finding=finding, about=about).first()
    row = earlier or FindingAnswer(
        instrument=instrument, finding=finding, about=about, code=f"{finding}-{digest_of([about, facts])[:8]}"
    )
    row.facts, row.because, row.who, row.when = facts, because.strip(), by, timezone.now()
    return change_record(
        instrument, version=version, by=by, put=[row], why=_("a finding answered"), action="answer finding"
    )  # type: ignore[return-value]


def reopen_finding(answer: FindingAnswer, *, version: int, by: User) -> Instrument:
    """Take an answer back: the finding is open again."""
    return change_record(answer.instrument, version=version, by=by, remove=[answer], action="reopen finding")  # type: ignore[return-value]
