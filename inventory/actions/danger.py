"""What the body decides on an instrument in danger, beside what the tool advised that day."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inventory.danger_list import DangerList
from inventory.models import Decision, Instrument, User
from inventory.models.danger import Advice
from inventory.roles import require

from .errors import ActionError
from .records import change_record


class DepartureWithoutReason(ActionError):
    """A decision against the advice, without the reason the minutes need."""


def record_decision(
    instrument: Instrument,
    *,
    version: int,
    by: User,
    advised: DangerList,
    when: str,
    step: str,
    decision: str,
    because: str = "",
    custodian_told: str = "",
    told_how: str = "",
    next_review: str = "",
    audience: str = "team",
) -> Decision:
    """Minute a decision. The advice is that of the list given, not of whoever writes; a departure needs its reason."""
    require(by, "decide on dangers", instrument)
    if instrument.reference not in advised.entries:
        raise ActionError(
            _("This instrument is not on the list: judge it, or note what threatens it, first.")
        )
    if step not in Advice.values:
        raise ActionError(
            _("Choose a step: %(steps)s.") % {"steps": ", ".join(str(s) for s in Advice.labels)}
        )
    if not decision.strip():
        raise ActionError(_("Write what was decided, in a sentence."))
    advice = advised.advice_for(instrument.reference)
    departs = step != advice
    if departs and not because.strip():
        raise DepartureWithoutReason(
            _(
                "The advice was: %(advice)s. A decision that departs from it is minuted with its reason; write it."
            )
            % {"advice": advice.label}
        )
    row = Decision(
        instrument=instrument, code=_free_code(instrument, when), when=when.strip(), advice=str(advice), step=step,
        decision=decision.strip(), departs=departs, because=because.strip(), custodian_told=custodian_told.strip(),
        told_how=told_how.strip(), next_review=next_review.strip(), audience=audience,
    )  # fmt: skip
    why = _("decision of the body, against the advice") if departs else _("decision of the body")
    change_record(instrument, version=version, by=by, put=[row], why=why, action="decide")
    return row


def _free_code(instrument: Instrument, when: str) -> str:
    """A code of its own: decided-2026, or decided-2026-2 where that is taken."""
    taken = set(instrument.decisions.values_list("code", flat=True))
    base = "decided-" + (
        "".join(sign for sign in when if sign.isascii() and (sign.isalnum() or sign == "-")) or "x"
    )
    code, number = base[:60], 2
    while code in taken:
        code, number = f"{base[:58]}-{number}", number + 1
    return code
