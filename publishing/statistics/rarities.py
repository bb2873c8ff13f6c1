"""How rare the schemes of sharing are, among the unified instruments of this inventory."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.estimates.rarity import rarity
from inventory.organ.patterns import UNIFIED

from .frames import Frames

TIERS = ("idea", "execution", "size")


@dataclass(frozen=True)
class RareKind:
    """One signature: the unified instruments that have a family of it, of all unified instruments."""

    tier: str
    signature: str
    references: tuple[str, ...]
    total: int
    bits: float
    """−log2 of the share; never more than log2 of the total."""

    @property
    def count(self) -> int:
        """Instruments that have it."""
        return len(self.references)


def rare_kinds(frames: Frames, tier: str) -> list[RareKind]:
    """Every signature of a tier, the most frequent first, then by text.

    An instrument with several families counts once for each different signature. Families
    in which nothing is unified (common basses alone) are not compared.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> kinds = rare_kinds(frames_of([example_instrument("A"), example_instrument("B")]), "idea")
    >>> [(kind.count, kind.total, kind.bits) for kind in kinds]
    [(2, 2, 0.0)]
    """
    families = frames.patterns.loc[frames.patterns["pattern"].isin(UNIFIED), ["reference", "family"]]
    table = frames.signatures.merge(families.drop_duplicates(), on=["reference", "family"])
    unified = sorted(table["reference"].unique())
    having = table.drop_duplicates(["reference", tier]).groupby(tier)["reference"].agg(sorted)
    kinds = []
    for signature, references in having.items():
        found = rarity(len(references), len(unified))
        assert found is not None
        kinds.append(RareKind(tier, str(signature), tuple(references), len(unified), found.bits))
    return sorted(kinds, key=lambda kind: (-kind.count, kind.signature))
