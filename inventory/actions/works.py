"""Works: an option chosen, single pipes given and taken back. Every change raises the record's version."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from inventory.models import Funding, Gift, Instrument, Rank, User

from .errors import ActionError
from .records import change_record


def choose_packages(
    instrument: Instrument, *, version: int, by: User, codes: Iterable[str], why: str
) -> Instrument:
    """These packages are chosen, and no others; they belong to one option, and the reason is kept."""
    wanted = set(codes)
    packages = list(instrument.packages.all())
    unknown = wanted - {package.code for package in packages}
    if unknown:
        raise ActionError(_("There is no package %(code)s.") % {"code": ", ".join(sorted(unknown))})
    if len({package.option for package in packages if package.code in wanted}) > 1:
        raise ActionError(_("Choose packages of one option: the options exclude each other."))
    if wanted and not why.strip():
        raise ActionError(_("Say why this option: whoever pays will ask."))
    for package in packages:
        package.chosen = package.code in wanted
    return change_record(instrument, version=version, by=by, put=packages, why=why, action="choose works")  # type: ignore[return-value]


def give_pipes(
    instrument: Instrument, *, version: int, by: User, rank: Rank, pipes: Iterable[int], funding: Funding
) -> Instrument:
    """Note that a giver gave these pipes. Each is one pipe, whatever number of stops it speaks for."""
    numbers = sorted(set(pipes))
    if not numbers:
        raise ActionError(_("Name at least one pipe."))
    if funding.state == Funding.Certain.APPLIED:
        raise ActionError(_("Money that is only applied for gives no pipe yet; wait until it is pledged."))
    gifts = [Gift(rank=rank, pipe=pipe, funding=funding, code=_gift_code(rank, pipe)) for pipe in numbers]
    return change_record(
        instrument, version=version, by=by, put=gifts, why=_("pipes given"), action="give pipes"
    )  # type: ignore[return-value]


def take_back_gift(gift: Gift, *, version: int, by: User, why: str) -> Instrument:
    """The gift of a pipe no longer stands: it can be given again."""
    if not why.strip():
        raise ActionError(_("Say why the gift no longer stands."))
    return change_record(
        gift.get_root(), version=version, by=by, remove=[gift], why=why, action="take back gift"
    )  # type: ignore[return-value]


def _gift_code(rank: Rank, pipe: int) -> str:
    """A code of its own in the row: p13, or p13-2 where somebody used it."""
    taken = set(rank.gifts.values_list("code", flat=True))
    code, number = f"p{pipe}", 2
    while code in taken:
        code, number = f"p{pipe}-{number}", number + 1
    return code
