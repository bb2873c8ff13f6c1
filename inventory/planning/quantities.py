"""Quantities of cost lines that follow the record: change the record, and every budget changes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.models import CostLine, DefectObservation, Instrument, PipeReading, Rank
from inventory.models.choices import PipeState
from inventory.organ.errors import OrganError
from inventory.organ.schemes import Call, Scheme
from inventory.organ.valves_needed import schedule_valves
from inventory.schemes import NoSuchRecord, find_specification, scheme_of


@dataclass(frozen=True)
class Counted:
    """A quantity, and how it came about in a sentence; `linked` where it follows the record."""

    value: Decimal
    linked: bool
    how: str


class Quantities:
    """What one instrument's record counts."""

    def __init__(self, instrument: Instrument) -> None:
        self.instrument = instrument

    def of(self, line: CostLine) -> Counted:
        """The quantity of a line: counted in the record, or as typed where nobody has counted."""
        source = CostLine.QuantityFrom(line.quantity_from)
        if source == CostLine.QuantityFrom.TYPED:
            return Counted(line.quantity, False, _("as typed"))
        found = {
            CostLine.QuantityFrom.DEFECT: self._of_defect,
            CostLine.QuantityFrom.BOARDS: self._of_boards,
            CostLine.QuantityFrom.FLAPS: self._of_flaps,
            CostLine.QuantityFrom.PIPES: self._of_pipes,
            CostLine.QuantityFrom.MISSING: self._of_missing,
        }[source](line)
        if found is None:
            return Counted(line.quantity, False, _("not counted in the record; the typed quantity stands in"))
        number, how = found
        return Counted(Decimal(number), True, how)

    def _of_defect(self, line: CostLine) -> tuple[int, str] | None:
        """What the last survey that counted found."""
        seen = (
            DefectObservation.objects.filter(defect=line.defect_id, affected__isnull=False)
            .select_related("survey")
            .order_by("survey__when_sort", "code")
            .last()
        )
        if seen is None or seen.affected is None:
            return None
        return seen.affected, _("found by the survey of %(date)s") % {"date": seen.survey.when}

    def _of_boards(self, line: CostLine) -> tuple[int, str] | None:
        calls = self._valves(line)
        if calls is None or self.scheme is None:
            return None
        boards = {(self._chest(call), call.rank) for call in calls}
        return len(boards), _("one board for each row of pipes with valves under it, on each chest")

    def _of_flaps(self, line: CostLine) -> tuple[int, str] | None:
        """All valves under the boards that are lifted: nobody lifts a board for one of them alone."""
        calls = self._valves(line)
        if calls is None:
            return None
        return len(calls), _("all non-return valves the scheme needs under these boards")

    def _of_pipes(self, line: CostLine) -> tuple[int, str] | None:
        wanted = PipeState(line.pipe_state)
        found = [state for state in self._states(line).values() if state]
        if not found:
            return None
        how = _("pipes of the state “%(state)s” at their last reading") % {"state": wanted.label}
        return sum(1 for state in found if state == wanted), how

    def _of_missing(self, line: CostLine) -> tuple[int, str] | None:
        ranks = self._ranks(line)
        if not ranks:
            return None
        count = sum(len(rank.missing) for rank in ranks)
        return count, ngettext(
            "recorded missing in %(n)s row", "recorded missing in %(n)s rows", len(ranks)
        ) % {"n": len(ranks)}

    @cached_property
    def scheme(self) -> Scheme | None:
        """How it is now; None where no scheme is recorded or it cannot be read."""
        try:
            found = scheme_of(find_specification(self.instrument.reference))
        except (NoSuchRecord, OrganError):
            return None
        return found if found.segments else None

    @cached_property
    def _needed(self) -> tuple[Call, ...]:
        return schedule_valves(self.scheme).needed if self.scheme is not None else ()

    def _valves(self, line: CostLine) -> list[Call] | None:
        if self.scheme is None:
            return None
        return [call for call in self._needed if line.rank is None or call.rank == line.rank.code]

    def _chest(self, call: Call) -> str:
        assert self.scheme is not None
        for segment in self.scheme.segments:
            if segment.stop == call.stop and segment.rank == call.rank and segment.chest:
                return segment.chest
        return next((chest.id for chest in self.scheme.chests if call.stop in (chest.stops or ())), "")

    def _ranks(self, line: CostLine) -> list[Rank]:
        if line.rank is not None:
            return [line.rank]
        return list(
            Rank.objects.filter(specification__instrument=self.instrument, specification__is_current=True)
        )

    def _states(self, line: CostLine) -> dict[tuple[int, int], str]:
        """State of each pipe at its last reading that says one."""
        rows: Iterable[PipeReading] = (
            PipeReading.objects.filter(rank__in=self._ranks(line))
            .exclude(state="")
            .order_by("survey__when_sort", "code")
        )
        return {(row.rank_id, row.pipe): row.state for row in rows}
