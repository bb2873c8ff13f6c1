"""The danger list in words: bands, why here, what would change it. No word of blame, no finer than the evidence."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.danger_list import SAMPLES, DangerList, JudgementOfAll
from inventory.estimates.danger import Change, Reason
from inventory.languages import active_language
from inventory.models import Criterion

SCALE = 5


@dataclass(frozen=True)
class ReasonInWords:
    """One criterion in one instrument's place."""

    name: str
    says: str
    judged: str
    """From 0 to 5, as a value or a range."""
    means: str
    """What a higher figure means."""
    is_put: bool = False
    """Whether the name was put in the reader's language, instead of standing as it was written."""


@dataclass(frozen=True)
class JudgementInWords:
    """One of the three judgements on one instrument."""

    code: str
    title: str
    band: int | None
    stands: str
    """Where it stands."""
    chance: str
    """How often weightings put it first, with the error of the draws; empty where it is not ranked."""
    reasons: tuple[ReasonInWords, ...]
    change: str
    """What would change it; empty where nobody asked."""


def title_of(code: str) -> str:
    """The judgement's name."""
    return str(Criterion.Judgement(code).label)


def band_in_words(band: int | None, bands: int) -> str:
    """A band and how many there are."""
    if band is None:
        return _("insufficiently known")
    if bands == 1:
        return _("all tied in one band")
    return _("band %(band)s of %(bands)s") % {"band": band, "bands": bands}


def judgement_in_words(
    found: DangerList, reference: str, code: str, *, with_change: bool
) -> JudgementInWords:
    """One judgement on one instrument of the list, which is among those judged."""
    one = found.judgements[code]
    band = found.entries[reference].bands[code]
    names = {criterion.code: criterion for criterion in one.criteria}
    return JudgementInWords(
        code,
        title_of(code),
        band,
        band_in_words(band, len(one.judged.bands)),
        _chance(one, reference),
        tuple(_reason(reason, names) for reason in one.reasons_for(reference)),
        _change(one.change_for(reference), names, band) if with_change else "",
    )


def rules_in_words() -> list[tuple[str, str]]:
    """How the list is made, step by step: the same on every page and on paper."""
    return [
        (
            _("Three judgements, never one sum"),
            _(
                "What would be lost, how likely and how soon, and what help can do are judged apart and stand "
                "beside one another. Nothing here adds one to another."
            ),
        ),
        (
            _("Criteria with directions, no fixed weights"),
            _(
                "Each criterion is judged from 0 to 5, with evidence, assessor, declared interests and date. Inside a "
                "judgement every weighting of its criteria is tried alike, and every value inside a range: %(n)s "
                "draws with a fixed seed, so that the same records give the same list (SMAA-2)."
            )
            % {"n": SAMPLES},
        ),
        (
            _("Bands and ties"),
            _(
                "Instruments that cannot be told apart share a band and are not ranked inside it. A new band begins "
                "only where everyone above stands above in nine draws of ten."
            ),
        ),
        (
            _("Unknown is a range"),
            _(
                "What nobody knows counts as anything it could be; assessors who differ leave the whole span between "
                "them open. Where more than half of what could be known is not, the instrument is insufficiently "
                "known: a band apart, above and below nothing."
            ),
        ),
        (
            _("Advice by rule"),
            _(
                "A deadline within 90 days: emergency. Loss or likelihood insufficiently known: look first. First "
                "band of both: save now if help is in its first band too, otherwise document it and look for help. "
                "First band of likelihood alone: stabilise. First band of loss alone: watch. If all are tied nobody "
                "stands out."
            ),
        ),
        (
            _("The body decides"),
            _(
                "The advice is beside the decision, not in its place. A decision that departs from the advice is "
                "minuted with its reason."
            ),
        ),
    ]  # fmt: skip


def _chance(one: JudgementOfAll, reference: str) -> str:
    ranked = one.judged.acceptability
    if ranked is None or reference not in ranked.names:
        return ""
    row = ranked.names.index(reference)
    share, error = float(ranked.shares[row, 0]), float(ranked.errors[row, 0])
    return _("first in %(share).1f %% of %(n)s draws (± %(error).1f, the error of chance)") % {
        "share": 100 * share, "n": ranked.samples, "error": 100 * error,
    }  # fmt: skip


def _reason(reason: Reason, names: dict[str, Criterion]) -> ReasonInWords:
    criterion = names[reason.criterion]
    says = {
        "for": _("speaks for a higher band"),
        "against": _("speaks for a lower band"),
        "neither": _("in the middle of all"),
        "unknown": _("not known"),
    }[reason.says]
    judged = range_in_words(reason.low * SCALE, reason.high * SCALE)
    return ReasonInWords(
        criterion.name_here, says, judged, criterion.means_here, active_language() in dict(criterion.names)
    )


def range_in_words(low: float, high: float) -> str:
    """A value, or a range, of 0 to 5."""
    if round(low, 6) == round(high, 6):
        return f"{low:g}"
    return _("%(low)s to %(high)s") % {"low": f"{low:g}", "high": f"{high:g}"}


def _change(change: Change | None, names: dict[str, Criterion], band: int | None) -> str:
    if change is None:
        return _("No single judgement, changed alone, would move it.")
    told = {
        "criterion": names[change.criterion].name_here,
        "value": range_in_words(change.low, change.high),
        "band": change.band,
    }
    if change.band is None:
        return _("“%(criterion)s” judged %(value)s would make it insufficiently known.") % told
    if band is None:
        return _("“%(criterion)s” judged %(value)s would be enough to place it: band %(band)s.") % told
    return _("“%(criterion)s” judged %(value)s would move it to band %(band)s.") % told
