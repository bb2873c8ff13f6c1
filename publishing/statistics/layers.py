"""To whom and when a figure belongs: the layer that counts, and how an uncertain date is spread over decades."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from publishing.disclosure.values import LayerValue, PublicInstrument, SegmentValue

from .choosing import spread_years


@dataclass(frozen=True)
class Counted:
    """The maker and the years an instrument counts for, once."""

    layer: str
    maker: str
    maker_name: str
    attribution: str
    years: tuple[int, int] | None


def counting_layer(organ: PublicInstrument, segments: Iterable[tuple[SegmentValue, int]]) -> Counted:
    """The layer an instrument counts for: that of most of its shared calls, else of most of its segments.

    `segments` come with the number of their calls that are shared. Ties go to the layer that
    comes first in the record (the oldest). Without any layer: the first building event with a
    maker. A composite or moved instrument is one record, and so counts once.

    >>> from publishing.statistics.examples import example_instrument
    >>> organ = example_instrument()
    >>> counting_layer(organ, [(segment, 49) for segment in organ.current.segments]).maker
    'MKR-1'
    """
    shared: Counter[str] = Counter()
    every: Counter[str] = Counter()
    for segment, calls in segments:
        shared[segment.layer] += calls
        every[segment.layer] += segment.last_key - segment.first_key + 1
    weights = shared if any(shared.values()) else every
    best = [layer for layer in organ.layers if weights[layer.code]]
    if best:
        return _of_layer(max(best, key=lambda layer: weights[layer.code]))
    for event in organ.events:
        if event.kind_code == "built" and event.maker is not None and event.attribution != "rejected":
            return Counted(
                "", event.maker.reference, event.maker.name, event.attribution, spread_years(event.when)
            )
    return _of_layer(organ.layers[0]) if organ.layers else Counted("", "", "", "", None)


def _of_layer(layer: LayerValue) -> Counted:
    maker = layer.maker if layer.attribution != "rejected" else None
    return Counted(
        layer.code,
        maker.reference if maker else "",
        maker.name if maker else "",
        layer.attribution,
        spread_years(layer.when),
    )


def decade_weights(first: int, last: int) -> dict[int, float]:
    """Decades (by their first year) with the part of an instrument each gets; the parts add up to 1.

    Every year from first to last is as likely as any other.

    >>> decade_weights(1849, 1851)
    {1840: 0.3333333333333333, 1850: 0.6666666666666666}
    """
    if last < first:
        raise ValueError(f"the last year {last} is before the first {first}; give them in order")
    years = Counter(year - year % 10 for year in range(first, last + 1))
    return {decade: n / years.total() for decade, n in sorted(years.items())}
