"""Rules about numbers and codes: pitch, pressure, counts, ranges, and names that point nowhere."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from inventory.models import Instrument, Specification
from inventory.models.choices import HowCounted

Said = tuple[str, str, str, str]

PRESSURE_MM = (30, 250)
"""Plausible wind pressures in mm of water; common practice, with unit organs at the upper end."""


def check_pitch(instrument: Instrument) -> Iterator[Said]:
    """A pitch whose temperature nobody wrote down."""
    if instrument.pitch_hz is not None and instrument.pitch_temperature_c is None:
        yield (
            "pitch-without-temperature", "warning", "pitch_hz",
            _("%(pitch)s Hz without the temperature at the pipes cannot be compared; a degree is about 3 cents")
            % {"pitch": instrument.pitch_hz},
        )  # fmt: skip


def check_pressure(instrument: Instrument) -> Iterator[Said]:
    """A wind pressure outside what organs use."""
    found = [("wind_pressure_mm", instrument.wind_pressure_mm)]
    found += [
        (f"survey:{survey.code}#pressure_mm", survey.pressure_mm) for survey in instrument.surveys.all()
    ]
    low, high = PRESSURE_MM
    for where, pressure in found:
        if pressure is not None and not low <= pressure <= high:
            yield (
                "pressure-implausible", "warning", where,
                _("%(pressure)s mm is outside %(low)s to %(high)s mm of water; look for a slip of the unit")
                % {"pressure": pressure, "low": low, "high": high},
            )  # fmt: skip


def check_ranges(instrument: Instrument) -> Iterator[Said]:
    """Ranges of provenance that go beyond their rank or over one another."""
    for specification in instrument.specifications.all():
        for rank in specification.ranks.all():
            last = 0
            for found in sorted(rank.ranges.all(), key=lambda row: (row.first_pipe, row.last_pipe)):
                where = f"rankrange:{specification.code}/{rank.code}/{found.code}"
                if rank.pipes is not None and found.last_pipe > rank.pipes:
                    yield (
                        "range-outside-rank", "error", where,
                        _("goes to pipe %(last)s of a rank of %(pipes)s; correct one of them")
                        % {"last": found.last_pipe, "pipes": rank.pipes},
                    )  # fmt: skip
                if found.first_pipe <= last:
                    yield (
                        "ranges-overlap", "warning", where,
                        _("pipe %(pipe)s is given to two ranges; correct one of them") % {"pipe": found.first_pipe},
                    )  # fmt: skip
                last = max(last, found.last_pipe)


def check_pipe_numbers(instrument: Instrument) -> Iterator[Said]:
    """Readings and gifts of pipes the rank does not have."""
    for specification in instrument.specifications.all():
        for rank in specification.ranks.all():
            if rank.pipes is None:
                continue
            for kind, rows in (("pipereading", rank.readings.all()), ("gift", rank.gifts.all())):
                for row in rows:
                    if row.pipe > rank.pipes:
                        yield (
                            "pipe-not-in-rank", "error", f"{kind}:{specification.code}/{rank.code}/{row.code}",
                            _("pipe %(pipe)s of a rank of %(pipes)s; correct one of them")
                            % {"pipe": row.pipe, "pipes": rank.pipes},
                        )  # fmt: skip


def check_counts(instrument: Instrument) -> Iterator[Said]:
    """Pipes and rows counted on the chest that differ from what the ranks add up to."""
    for specification in instrument.specifications.all():
        ranks = list(specification.ranks.all())
        sums = {"ranks": len(ranks), "pipes": sum(rank.pipes or 0 for rank in ranks)}
        complete = {"ranks": True, "pipes": all(rank.pipes is not None for rank in ranks)}
        for count in specification.counts.all():
            if count.how not in (HowCounted.PHYSICAL, HowCounted.COMPUTED) or count.what not in sums:
                continue
            if complete[count.what] and count.number != sums[count.what]:
                yield (
                    "counts-differ", "warning", f"count:{specification.code}/{count.code}",
                    _("%(number)s %(what)s were counted; the ranks add up to %(sum)s; count again, or look for a rank")
                    % {"number": count.number, "what": count.get_what_display(), "sum": sums[count.what]},
                )  # fmt: skip


def channel_exists(specification: Specification, channel: str) -> bool:
    """Whether a text such as ``I:12`` names a key, or a channel beyond the keys."""
    keyboard, _colon, key = channel.rpartition(":")
    return key.isdigit() and any(
        board.code == keyboard and 1 <= int(key) <= board.keys + board.reach
        for board in specification.keyboards.all()
    )


def check_chests(instrument: Instrument) -> Iterator[Said]:
    """Chests that name stops or channels the specification does not have."""
    for specification in instrument.specifications.all():
        stops = {stop.code for stop in specification.stops.all()}
        for chest in specification.chests.all():
            unknown = [name for name in chest.stop_order or [] if name not in stops]
            unknown += [name for name in chest.channel_order or [] if not channel_exists(specification, name)]
            if unknown:
                yield (
                    "names-nothing", "error", f"chest:{specification.code}/{chest.code}",
                    _("names %(names)s, which this specification does not have; correct the order")
                    % {"names": ", ".join(map(str, unknown[:5]))},
                )  # fmt: skip


def check_trials(instrument: Instrument) -> Iterator[Said]:
    """Trials of stops, keys or ranks the specification does not have."""
    for survey in instrument.surveys.all():
        for trial in survey.trials.all():
            specification = trial.specification
            stops = {stop.code for stop in specification.stops.all()}
            drawable = stops | {coupler.code for coupler in specification.couplers.all()}
            ranks = {rank.code for rank in specification.ranks.all()}
            unknown = [name for name in trial.stops if name not in drawable]
            unknown += [one["stop"] for one in trial.heard if one["stop"] not in stops]
            unknown += [one["rank"] for one in trial.extra or [] if one["rank"] not in ranks]
            held = [f"{one['keyboard']}:{one['key']}" for one in trial.keys]
            unknown += [name for name in held if not channel_exists(specification, name)]
            if unknown:
                yield (
                    "names-nothing", "error", f"trial:{survey.code}/{trial.code}",
                    _("names %(names)s, which this specification does not have; correct the trial")
                    % {"names": ", ".join(map(str, unknown[:5]))},
                )  # fmt: skip
