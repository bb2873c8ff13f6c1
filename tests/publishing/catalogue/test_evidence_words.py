"""Evidence and findings in words, over one small specification with every kind of evidence."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

from inventory.drawings.evidence import Grounds, by_grounds, weakest
from inventory.organ.answers import evaluate_answer
from inventory.organ.schemes import Call, Chest, Keyboard, Rank, Scheme, Segment, Stop, answered_calls
from publishing.catalogue.evidence_words import (
    certain_sums,
    evidence_in_a_cell,
    evidence_of,
    same_in_all,
    unnamed_visits,
    visit_rows,
)
from publishing.catalogue.finding_words import findings_in_words
from publishing.catalogue.plates import named_scheme, plates
from publishing.disclosure.values import (
    KeyboardValue,
    RankValue,
    SegmentValue,
    SpecificationValue,
    StopValue,
    SurveyValue,
    When,
)

KEYS = 24


def specification(
    octave: str = "inferred", certainty: str = "certain", viewed: str = "front", pipes: int = 36
):
    """8′ seen, 4′ on `octave` evidence, on one row; a stop of its own that was sounded."""
    scheme = Scheme(
        (Keyboard("I", tuple(range(36, 36 + KEYS))),),
        (Rank("I.row", pipes, tuple(range(36, 36 + pipes))), Rank("I.own", KEYS)),
        (
            Stop("I.a", "I", "Flute 8", "8"), Stop("I.b", "I", "Octave 4", "4"), Stop("I.c", "I", "Viol", None),
        ),
        (
            Segment("I.a", (1, KEYS), "I.row", interval=0, device="flap-valves", evidence="seen"),
            Segment("I.b", (1, KEYS), "I.row", interval=12, device="flap-valves", evidence=octave),
            Segment("I.c", (1, KEYS), "I.own", shift=0, evidence="sounded"),
        ),
        chests=(Chest("main", "slider", ("I.a", "I.b", "I.c"), tuple(("I", n) for n in range(1, KEYS + 1))),),
    )  # fmt: skip

    def segment(
        stop: str, rank: str, interval: int | None, evidence: str, sure: str = "certain", survey: str = ""
    ):
        return SegmentValue(
            stop, 1, KEYS, rank, interval, None if interval is not None else 0, "flap-valves", evidence, sure, "",
            "", chest="main", survey=survey,
        )  # fmt: skip

    def stop(one: Stop) -> StopValue:
        return StopValue(
            one.id, "I", "", one.name, one.name, one.footage or "", None, "", "", "present", None, "", ""
        )

    return SpecificationValue(
        code="now", name="Now", when=None, basis="as found", is_current=True, language="en",
        keyboards=(KeyboardValue("I", "Great", "manual", "24 keys", KEYS),), divisions=(),
        stops=tuple(map(stop, scheme.stops)), knobs=(),
        ranks=(
            RankValue("I.row", "Chimney row", pipes, "physical", 36, "", ()),
            RankValue("I.own", "Viol row", KEYS, "physical", None, "", ()),
        ),
        segments=(
            segment("I.a", "I.row", 0, "seen", survey="2012"),
            segment("I.b", "I.row", 12, octave, certainty),
            segment("I.c", "I.own", None, "sounded"),
        ),
        couplers=(), accessories=(), counts=(), chests=(("Main chest", "slider", "", "", viewed),), scheme=scheme,
        answer=evaluate_answer(scheme),
    )  # fmt: skip


SURVEY = SurveyValue("2012", When("2012-10", "October 2012", 2012), 2, "the bellows", "", None, "conservator")
ORGAN = SimpleNamespace(surveys=(SURVEY, replace(SURVEY, code="1986")))


def test_sums_of_the_certain_stand_beside_those_of_all_and_say_what_they_leave_out():
    sums = certain_sums(specification())
    rows = {name: (whole, some) for name, whole, some in sums["rows"]}
    # By hand: 3 × 24 calls; the row of 36 and 24 own pipes; 12 pipes of the row are called twice.
    assert rows["Calls"] == ("72", "48") and rows["Pipes called"] == ("60", "48")
    assert rows["Shared pipes"] == ("12", "0") and rows["Stops that share"] == ("2", "0")
    assert rows["Calls per pipe"] == ("1.20", "1.00")
    assert rows["Economy: 1 − pipes called / calls"] == ("16.7\u00a0%", "0.0\u00a0%")  # 1 − 60/72
    assert sums["left_out"] == "Left out of the certain: 1 of 3 lines of the scheme (1 inferred)."


def test_what_was_seen_but_is_not_certain_is_left_out_too():
    sums = certain_sums(specification("seen", "probable"))
    assert sums["rows"] and "1 seen with the board lifted but not certain" in sums["left_out"]


def test_where_all_is_certain_one_line_says_so():
    sums = certain_sums(specification("sounded"))
    assert sums["rows"] == [] and sums["left_out"].startswith("All 3 lines of the scheme were seen or proved")


def test_each_call_has_its_grounds_also_under_the_names_readers_know():
    value = specification("source", "doubtful")
    evidence = evidence_of(value, named_scheme(value))
    assert set(evidence) == answered_calls(named_scheme(value))
    assert evidence[Call("I.b", 1, "Chimney row", 13)] == Grounds("source", False)
    assert evidence[Call("I.a", 1, "Chimney row", 1)] == Grounds("seen", True)


def test_the_firmer_ground_of_a_pipe_asked_twice_and_the_weakest_of_a_whole():
    evidence = {Call("a", 1, "r", 1): Grounds("source"), Call("a", 2, "r", 1): Grounds("seen")}
    assert by_grounds(evidence, evidence) == {Grounds("seen"): {1}}
    assert weakest(evidence.values()) == Grounds("source") and weakest([]) == Grounds()
    assert weakest([Grounds("seen", False), Grounds("sounded")]) == Grounds("sounded", False)


def test_who_lifted_which_board_and_when():
    (row,) = visit_rows(ORGAN, specification())
    assert (row.when, row.who, row.seen, row.sounded) == (
        "October 2012", "conservator", "Main chest: Flute 8", "–",
    )  # fmt: skip
    assert unnamed_visits(specification()).startswith("Of 1 line")
    assert evidence_in_a_cell(specification().segments[0], ORGAN) == (
        "seen with the board lifted, October 2012, conservator"
    )
    assert evidence_in_a_cell(specification("source", "possible").segments[1], ORGAN) == (
        "told by a source (possible)"
    )


def test_columns_that_say_the_same_in_every_row_become_a_sentence():
    rows = [{"device": "–", "evidence": "seen", "layer": ""} for _n in range(5)]
    assert same_in_all(rows) == {"device": "", "evidence": "Evidence of all: seen.", "layer": ""}
    assert same_in_all([*rows, {"device": "groove", "evidence": "told", "layer": "1890"}]) == {}
    assert same_in_all(rows[:2]) == {}


def test_drawings_say_evidence_by_line_and_in_words_and_the_side_they_are_seen_from():
    drawn = {plate.name: plate for plate in plates(specification("source", "doubtful", "back"))}
    row, board = drawn["rank-1"].wide, drawn["toeboard-1"].wide
    assert 'stroke-dasharray="5 3"' in row.svg and ">?<" in row.svg
    assert "told by a source, not certain" in row.svg and "seen with the board lifted" in row.svg
    assert "told by a source, not certain" in row.description
    assert "Octave 4 · told by a source, not certain" in board.svg and "from behind" in board.caption
    assert board.svg.index(">front<") < board.svg.index(">back<")
    front = {plate.name: plate for plate in plates(specification())}["toeboard-1"].wide
    assert "the front of the organ at the bottom" in front.caption
    assert front.svg.index(">back<") < front.svg.index(">front<")


def test_findings_are_told_by_names_never_by_codes():
    value = specification(pipes=30)
    told = findings_in_words(value)
    assert [one["code"] for one in told] == [one["code"] for one in value.answer["findings"]] != []
    words = " ".join(one["message"] for one in told)
    assert "Chimney row" in words and "Octave 4" in words
    assert "I.row" not in words and "I.b" not in words
