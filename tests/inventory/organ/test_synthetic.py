"""Made-up organs: repeatable, and rich enough to test with."""

import pytest

from inventory.organ.errors import SchemeError
from inventory.organ.schemes import Scheme, asked_pipes
from inventory.organ.sums import sum_scheme
from inventory.organ.synthetic import make_instruments, make_scheme
from inventory.organ.synthetic_columns import make_columns

SCHEMES = [make_scheme(seed) for seed in range(300)]


def share(what: object) -> float:
    """Share of the made-up schemes for which a test holds."""
    return sum(map(what, SCHEMES)) / len(SCHEMES)  # type: ignore[arg-type]


def asks_outside_a_rank(scheme: Scheme) -> bool:
    return any(
        pipe is not None and not scheme.rank[segment.rank].exists(pipe)
        for segment in scheme.segments
        for _key, pipe in asked_pipes(scheme, segment)
    )


def folds_back(scheme: Scheme) -> bool:
    pairs = {(s.stop, s.rank, s.interval) for s in scheme.segments if s.interval is not None}
    return any((stop, rank, interval - 12) in pairs for stop, rank, interval in pairs)


@pytest.mark.parametrize(
    ("name", "holds"),
    [
        ("short octave", lambda s: any(list(k.notes) != sorted(k.notes) for k in s.keyboards)),
        ("note missing", lambda s: any(k.has_gaps and list(k.notes) == sorted(k.notes) for k in s.keyboards)),
        ("mixture", lambda s: any(t.name == "Mixture" for t in s.stops)),
        ("foldback", folds_back),
        ("outside a rank", asks_outside_a_rank),
        ("list of pipes", lambda s: any(g.pipes is not None for g in s.segments)),
        ("shift", lambda s: any(g.shift is not None for g in s.segments)),
        ("half-stop", lambda s: any(t.keys is not None for t in s.stops)),
        ("not counted", lambda s: any(r.pipes is None for r in s.ranks)),
        ("missing pipe", lambda s: any(r.missing for r in s.ranks)),
        ("prepared", lambda s: any(t.state == "prepared" for t in s.stops)),
        ("two manuals", lambda s: len(s.keyboards) > 2),
    ],
)
def test_every_irregularity_turns_up_in_a_tenth_of_the_schemes(name: str, holds: object) -> None:
    assert share(holds) >= 0.1, name


def test_about_one_in_five_is_unified_and_stops_number_about_twenty() -> None:
    shared = [sum_scheme(scheme).pipes_shared > 0 for scheme in SCHEMES]
    assert 0.12 < sum(shared) / len(shared) < 0.28
    assert 15 < sum(len(scheme.stops) for scheme in SCHEMES) / len(SCHEMES) < 25


def test_asked_to_be_unified_a_scheme_shares_and_asked_not_to_it_does_not() -> None:
    assert all(sum_scheme(make_scheme(seed, unified=True)).pipes_shared > 0 for seed in range(30))
    assert all(sum_scheme(make_scheme(seed, unified=False)).pipes_shared == 0 for seed in range(30))


def test_polyphone_basses_turn_up() -> None:
    assert any(rank.tones for scheme in SCHEMES for rank in scheme.ranks)


def test_instruments_are_the_same_however_many_are_asked_for() -> None:
    few, many = list(make_instruments(3, seed=4)), list(make_instruments(8, seed=4))
    assert few == many[:3] and many[0] != next(make_instruments(1, seed=5))
    assert len({i.reference for i in many}) == 8
    assert all(i.date_text.startswith(str(i.year)[:3]) and 1690 <= i.year < 1940 for i in many)


def test_a_made_up_collection_has_the_shape_it_says() -> None:
    columns = make_columns(2_000, seed=3)
    assert columns.instruments == 2_000 and 19 < columns.stop_instrument.size / 2_000 < 21
    again = make_columns(2_000, seed=3)
    assert all(
        (a == b if isinstance(a, int) or a is None else (a == b).all())
        for a, b in zip(vars(columns).values(), vars(again).values(), strict=True)
    )


def test_numbers_below_nought_are_refused() -> None:
    with pytest.raises(SchemeError, match="seed -1"):
        make_scheme(-1)
    with pytest.raises(SchemeError, match="-3 instruments"):
        make_columns(-3, 0)
    assert make_columns(0, 0).rows == 0
