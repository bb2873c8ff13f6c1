"""The ornament of the home page: a row of pipes to nominal scale, drawn by the sums themselves."""

from __future__ import annotations

from inventory.organ.scales import normalmensur_diameter_mm


def row_of_pipes(pipes: int = 73, width: float = 1200.0, height: float = 110.0) -> str:
    """Pipes of one rank, each octave half as long, as wide as the nominal scale has them."""
    widths = [normalmensur_diameter_mm(36 + place) for place in range(pipes)]
    unit = width / (sum(widths) + 0.45 * sum(widths))
    x, parts = 0.0, []
    for place, diameter in enumerate(widths):
        wide = diameter * unit
        tall = height * 2 ** (-place / 24)  # the square root of the length, so that the smallest stay visible
        parts.append(f"M{x:.1f} {height:.1f}v{-tall:.1f}h{wide:.1f}v{tall:.1f}z")
        x += wide * 1.45
    return (
        f'<svg class="rowofpipes" viewBox="0 0 {width:.0f} {height:.0f}" aria-hidden="true" focusable="false">'
        f'<path fill="currentColor" d="{"".join(parts)}"/></svg>'
    )
