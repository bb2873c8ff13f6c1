"""The bridge from rows to schemes."""

import pytest

from inventory.actions import change_record
from inventory.models import Chest, Control, ControlPosition, Coupler, Keyboard, Rank, Segment, Stop
from inventory.organ.answers import evaluate_answer
from inventory.schemes import NoSuchRecord, scheme_of, scheme_of_record, schemes_of
from tests.factory import add_shared_rank, make_instrument


def test_rows_become_the_scheme_that_the_sums_read(people):
    specification = add_shared_rank(make_instrument(people.surveyor), people.curator, keys=61)
    answer = evaluate_answer(scheme_of(specification))
    # 61 keys at 8' + 4' on one row: values.md §1 (Miller 1913: 73 pipes to 61 notes)
    assert (answer["calls"], answer["pipes_called"], answer["pipes_shared"]) == (122, 73, 49)


def test_every_kind_of_row_reaches_the_scheme(people):
    organ = make_instrument(people.surveyor)
    specification = add_shared_rank(organ, people.curator)
    organ.refresh_from_db()
    stop, rank = specification.stops.first(), specification.ranks.first()
    pedal = Keyboard(specification=specification, code="P", kind="pedal", keys=3, notes=[36, 38, 41], reach=2)
    odd = Rank(
        specification=specification,
        code="odd",
        name="Odd",
        pipes=2,
        notes=[30, 40],
        tones={"1": [30, 31]},
        missing=[2],
    )
    bass = Stop(
        specification=specification, code="bass", keyboard=pedal, label="Bass", name="Bass", last_key=2
    )
    control = Control(specification=specification, code="knob")
    half, full = (ControlPosition(control=control, code=str(n), number=n) for n in (1, 2))
    change_record(
        organ,
        version=organ.version,
        by=people.curator,
        put=[
            pedal, odd, bass, control, half, full,
            Segment(stop=bass, code="list", first_key=1, last_key=2, rank=odd, pipes=[1, 2]),
            Chest(
                specification=specification, code="main", name="Main", kind="slider", stop_order=["bass"],
                channel_order=["I:1", "P:2"],
            ),
            Coupler(
                specification=specification, code="c", from_keyboard=pedal, to_keyboard=stop.keyboard, shift=12,
                always=True,
            ),
        ],
        links=[(full, "stops", [bass, stop])],
    )  # fmt: skip
    scheme = scheme_of(specification)
    assert scheme.keyboard["P"].notes == (36, 38, 41) and scheme.keyboard["P"].channels == 5
    assert scheme.rank["odd"].tones == {1: (30, 31)} and scheme.rank["odd"].missing == {2}
    assert scheme.stop["bass"].keys == (1, 2)
    assert (
        scheme.controls[0].positions == ((), tuple(sorted(("bass", stop.code))))
        or scheme.controls[0].positions[1]
    )
    assert scheme.chests[0].channels == (("I", 1), ("P", 2))
    assert scheme.couplers[0].always and scheme.couplers[0].shift == 12
    assert next(s for s in scheme.segments if s.stop == "bass").pipes == (1, 2)
    assert rank.code in scheme.rank


def test_many_schemes_take_as_many_queries_as_one(people, django_assert_num_queries):
    keys = [add_shared_rank(make_instrument(people.surveyor), people.curator).pk for _ in range(4)]
    with django_assert_num_queries(8):
        assert len(schemes_of(keys)) == 4
    with django_assert_num_queries(8):
        schemes_of(keys[:1])


def test_every_column_the_bridge_reads_is_public():
    """Disclosure publishes schemes made by this bridge, so nothing private may pass through it."""
    import ast
    import inspect

    import inventory.schemes as bridge
    from inventory import models
    from publishing.disclosure.door import check_column

    calls = [
        node
        for node in ast.walk(ast.parse(inspect.getsource(bridge.schemes_of)))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "rows"
    ]
    assert len(calls) == 8
    for call in calls:
        model = getattr(models, call.args[0].id)
        for column in (arg.value for arg in call.args[2:]):
            if column != "id":
                check_column(model, column)


def test_a_reference_without_a_specification_is_refused_in_one_sentence(people):
    make_instrument(people.surveyor, reference="ORG-EMPTY")
    with pytest.raises(NoSuchRecord, match="ORG-EMPTY is no file and no record"):
        scheme_of_record("ORG-EMPTY")
    add_shared_rank(make_instrument(people.surveyor, reference="ORG-FULL"), people.curator)
    assert scheme_of_record("ORG-FULL").ranks
    with pytest.raises(NoSuchRecord, match="it has: as-found"):
        scheme_of_record("ORG-FULL/as-built")
