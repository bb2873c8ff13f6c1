"""Changing records: versions on the wire, all or nothing, nothing lost, nothing slipped in."""

from __future__ import annotations

import threading

import pytest
from django.apps import apps
from django.db import connection

from inventory.actions import change_record
from inventory.api.kinds import ROOTS, row_kinds, writable_fields
from inventory.models import Change, Claim, Confidence, Event, Instrument, Root, Stop
from tests.factory import add_shared_rank, make_instrument, make_maker, make_public, make_term
from tests.inventory.api.asking import Program, assert_error, tag


def organ_with_stops(people, **fields) -> Instrument:
    organ = make_instrument(people.surveyor, **fields)
    add_shared_rank(organ, people.curator)
    organ.refresh_from_db()
    return organ


def test_every_record_read_carries_its_version_and_every_change_raises_it(people, programs):
    organ = make_instrument(people.surveyor)
    path = f"instruments/{organ.reference}"
    first = programs.curator.get(path)
    assert first["ETag"] == f'"instrument-{organ.reference}-1"'
    changed = programs.curator.patch(
        path, {"fields": {"name": "Choir organ"}, "why": "read"}, seen=first["ETag"]
    )
    assert changed.status_code == 200 and changed["ETag"] == f'"instrument-{organ.reference}-2"'
    assert changed.json()["fields"]["name"] == "Choir organ" and changed.json()["version"] == 2
    line = Change.objects.of(organ).first()
    assert (line.who, line.why, line.action) == (people.curator, "read", "change")


@pytest.mark.parametrize("sent", [None, "*", ""])
def test_a_change_that_names_no_version_is_refused(people, programs, sent):
    organ = make_instrument(people.surveyor)
    answer = programs.curator.patch(f"instruments/{organ.reference}", {"fields": {"name": "x"}}, seen=sent)
    assert_error(answer, 428, "version-required")
    organ.refresh_from_db()
    assert organ.name == "Test organ" and organ.version == 1


@pytest.mark.parametrize(
    "sent", ['W/{tag}', '"instrument-OTHER-1"', '"place-{ref}-1"', "rubbish", '{tag}, {tag}', '"instrument-{ref}-0"',
             '"instrument-{ref}-99999999999999999999999"', '"instrument-{ref}-7"'],
)  # fmt: skip
def test_a_change_that_names_another_version_is_refused(people, programs, sent):
    organ = make_instrument(people.surveyor)
    header = sent.format(tag=tag(organ), ref=organ.reference)
    answer = programs.curator.patch(f"instruments/{organ.reference}", {"fields": {"name": "x"}}, seen=header)
    assert assert_error(answer, 412, "stale")["etag"] == tag(organ)
    organ.refresh_from_db()
    assert organ.name == "Test organ"


@pytest.mark.parametrize("step", ["submit", "release", "return", "withdraw", "merge"])
def test_steps_ask_for_the_version_too(people, programs, step):
    organ, other = make_instrument(people.surveyor), make_instrument(people.surveyor)
    path = f"instruments/{organ.reference}/{step}"
    body = {"why": "because"} | ({"into": other.reference} if step == "merge" else {})
    assert_error(programs.keeper.post(path, body), 428)
    assert_error(
        programs.keeper.post(path, body, seen=tag(organ, 9)), 409 if step in ("release", "return") else 412
    )
    organ.refresh_from_db()
    assert (organ.state, organ.version) == ("draft", 1)


def test_a_stale_save_loses_nothing_and_shows_both_versions_field_by_field(people, programs):
    organ = make_instrument(people.surveyor, summary="old")
    path, seen = f"instruments/{organ.reference}", tag(organ)
    assert programs.curator.patch(path, {"fields": {"summary": "theirs"}}, seen=seen).status_code == 200
    answer = programs.editor.patch(path, {"fields": {"summary": "mine", "temperament": "equal"}}, seen=seen)
    said = assert_error(answer, 412, "stale")
    assert (said["version_seen"], said["version_now"]) == (1, 2)
    assert said["etag"] == f'"instrument-{organ.reference}-2"'
    shown = {
        one["where"]: (one["was"], one["yours"], one["theirs"], one["contested"]) for one in said["fields"]
    }
    assert shown["summary"] == ("old", "mine", "theirs", True)
    assert shown["temperament"] == ("", "equal", "", False)
    organ.refresh_from_db()
    assert (organ.summary, organ.temperament, organ.version) == ("theirs", "", 2)


def test_a_change_of_a_row_somebody_took_away_is_stale_and_not_merely_wrong(people, programs):
    organ = organ_with_stops(people)
    seen, path = tag(organ), f"instruments/{organ.reference}"
    gone = programs.curator.patch(path, {"remove": ["stop:as-found/flute-4"]}, seen=seen)
    assert gone.status_code == 200
    body = {"rows": {"stop": [{"specification": "as-found", "code": "flute-4", "label": "Flöte 4"}]}}
    said = assert_error(programs.editor.patch(path, body, seen=seen), 412, "stale")
    assert "stop:as-found/flute-4#label" in {one["where"] for one in said["fields"]}


def test_a_stale_answer_tells_nothing_the_person_may_not_read(people, programs):
    organ = make_instrument(people.surveyor, contact="a private person")
    path, seen = f"instruments/{organ.reference}", tag(organ)
    body = {"fields": {"contact": "another person", "name": "Both"}}
    assert programs.keeper.patch(path, body, seen=seen).status_code == 200
    answer = programs.curator.patch(path, {"fields": {"name": "Mine"}}, seen=seen)
    assert {one["where"] for one in assert_error(answer, 412)["fields"]} == {"name"}
    assert b"person" not in answer.content


def test_a_new_record_is_made_with_its_rows_and_says_where_it_is(people, programs):
    make_term("event", "built")
    rows = {
        # On purpose the wrong way round: rows may name rows that come later.
        "segment": [{"specification": "s", "stop": "flute-4", "code": "all", "first_key": 1, "last_key": 54,
                     "rank": "flute", "interval": 12}],
        "stop": [{"specification": "s", "code": "flute-4", "keyboard": "I", "label": "Flute 4", "name": "Flute",
                  "footage": "4"}],
        "rank": [{"specification": "s", "code": "flute", "name": "Flute", "pipes": 66, "low_note": 36}],
        "keyboard": [{"specification": "s", "code": "I", "keys": 54}],
        "control": [{"specification": "s", "code": "knob", "label": "Flute", "kind": "knob"}],
        "controlposition": [{"specification": "s", "control": "knob", "code": "out", "number": 1,
                             "stops": ["flute-4"]}],
        "specification": [{"code": "s", "name": "As found", "basis": "as found", "layer": "first"}],
        "layer": [{"code": "second", "name": "The enlargement", "older_than": None},
                  {"code": "first", "name": "The organ of 1790", "older_than": "second", "when": "1790~"}],
        "event": [{"code": "built", "kind": "built", "when": "1790~", "layer": "first"}],
    }  # fmt: skip
    fields = {"reference": "ORG-NEW", "name": "New organ", "status": "in use", "pitch_hz": "440.5"}
    answer = programs.surveyor.post("instruments", {"fields": fields, "rows": rows, "why": "typed"})
    assert answer.status_code == 201, answer.content
    assert answer["Location"] == "/api/v1/instruments/ORG-NEW"
    assert answer["ETag"] == '"instrument-ORG-NEW-1"'
    read = programs.surveyor.get(answer["Location"]).json()
    assert read == answer.json()
    assert read["state"] == "draft" and read["fields"]["pitch_hz"] == "440.50"
    assert read["rows"]["segment"][0]["rank"] == "flute"
    assert read["rows"]["controlposition"][0]["stops"] == ["flute-4"]
    assert read["rows"]["layer"][0]["older_than"] in ("second", None)
    assert read["kept_rows"]["event:built"]["when_earliest"] == "1790-01-01"
    sums = programs.surveyor.get("instruments/ORG-NEW/evaluation").json()
    assert (sums["calls"], sums["pipes_called"]) == (54, 54)


def test_what_was_read_can_be_sent_back_and_changes_nothing(people, programs, records):
    organ = records["instruments"]["public"]
    path = f"instruments/{organ.reference}"
    for program in (programs.curator, programs.keeper):
        read = program.get(path)
        body = {name: read.json()[name] for name in ("fields", "rows")}
        answer = program.patch(path, body, seen=read["ETag"])
        assert answer.status_code == 200, answer.content
        assert answer["ETag"] == read["ETag"] and answer.json() == read.json()


def test_a_fault_in_one_row_leaves_the_whole_record_as_it_was(people, programs):
    organ = organ_with_stops(people)
    body = {
        "fields": {"name": "should not be saved"},
        "rows": {
            "stop": [{"specification": "as-found", "code": "flute-8", "label": "Flöte"}],
            "segment": [{"specification": "as-found", "stop": "flute-8", "code": "all", "first_key": 70}],
        },
    }
    answer = programs.curator.patch(f"instruments/{organ.reference}", body, seen=organ)
    assert assert_error(answer, 400, "invalid")["where"] == "segment:as-found/flute-8/all"
    assert Instrument.objects.get(pk=organ.pk).name == "Test organ"
    assert not Stop.objects.filter(label="Flöte").exists()
    assert Change.objects.of(organ).count() == organ.version


def test_every_fault_is_told_with_its_place(people, programs):
    organ = organ_with_stops(people)
    body = {
        "fields": {"pitch_hz": "high", "place": "NOWHERE", "no_such": 1, "name": 7, "summary": None},
        "rows": {
            "stop": [
                {"specification": "as-found"},
                {"specification": "x", "code": "y", "keyboard": "IX"},
                "text",
            ],
            "nonsense": [],
        },
        "remove": ["stop:as-found/none", 7],
    }
    said = assert_error(programs.curator.patch(f"instruments/{organ.reference}", body, seen=organ), 400)
    assert {one["where"] for one in said["all"]} >= {
        "fields.pitch_hz", "fields.place", "fields.no_such", "fields.name", "fields.summary", "rows",
        "rows.stop[0].code", "rows.stop[1].specification", "rows.stop[1].keyboard", "rows.stop[2]",
        "remove[0]", "remove[1]",
    }  # fmt: skip


@pytest.mark.parametrize("plural", ROOTS)
def test_no_field_slips_in_that_is_not_offered(plural, programs, records):
    """Every field of every model is sent to every place a body has; only those offered are taken."""
    root: Root = records[plural]["own"]
    model = type(root)
    path, before = f"{plural}/{root.reference}", programs.keeper.get(f"{plural}/{root.reference}").content
    every = {f.name for m in apps.get_app_config("inventory").get_models() for f in m._meta.get_fields()}
    every |= {"id", "pk", "version", "state", "_state", "__class__", "get_root", "place_id", "who", "user"}
    refused = sorted(every - set(writable_fields(model)))
    said = assert_error(programs.keeper.patch(path, {"fields": dict.fromkeys(refused, 2)}, seen=root), 400)
    assert {one["where"] for one in said["all"]} >= {f"fields.{name}" for name in refused}
    tops = sorted(every - {"fields", "rows", "remove", "why"})
    said = assert_error(
        programs.keeper.patch(path, {"fields": {"name": "x"}, **dict.fromkeys(tops, 2)}, seen=root), 400
    )
    assert {one["where"] for one in said["all"]} == set(tops)
    for kind in row_kinds(model).values():
        refused = sorted(every - set(writable_fields(kind.model)) - set(kind.key))
        row = {**dict.fromkeys(kind.key, "as-found"), **dict.fromkeys(refused, 2)}
        said = assert_error(programs.keeper.patch(path, {"rows": {kind.name: [row]}}, seen=root), 400)
        assert {one["where"] for one in said["all"]} >= {f"rows.{kind.name}[0].{name}" for name in refused}
    assert programs.keeper.get(path).content == before


def test_what_may_not_be_read_may_not_be_overwritten(people, programs):
    organ = make_instrument(people.surveyor, contact="a private person")
    path = f"instruments/{organ.reference}"
    said = assert_error(programs.curator.patch(path, {"fields": {"contact": ""}}, seen=organ), 400)
    assert said["where"] == "fields.contact"
    Confidence.objects.create(
        user=people.curator, root_kind="instrument", reference=organ.reference, given_because="asked"
    )
    assert programs.curator.patch(path, {"fields": {"contact": "x"}}, seen=organ).status_code == 200


def test_a_link_to_a_record_one_may_not_know_of_is_neither_told_nor_cleared(people, programs):
    hidden = make_maker(people.keeper, audience="named")
    organ = make_instrument(people.surveyor)
    event = Event(instrument=organ, code="built", kind=make_term("event", "built"), maker=hidden)
    organ = change_record(organ, version=1, by=people.keeper, put=[event])
    path = f"instruments/{organ.reference}"
    row = programs.curator.get(path).json()["rows"]["event"][0]
    assert "maker" not in row
    body = {"rows": {"event": [{**row, "text": "in words"}]}}
    assert programs.curator.patch(path, body, seen=organ).status_code == 200
    organ.refresh_from_db()
    for value in (None, hidden.reference):
        body = {"rows": {"event": [{"code": "built", "maker": value}]}}
        assert_error(programs.curator.patch(path, body, seen=organ), 400)
    assert Event.objects.get(instrument=organ).maker == hidden


def test_a_row_for_others_is_neither_changed_nor_removed(people, programs):
    organ = make_instrument(people.surveyor)
    event = Event(
        instrument=organ, code="quarrel", kind=make_term("event", "built"), audience="named", text="x"
    )
    organ = change_record(organ, version=1, by=people.keeper, put=[event])
    path = f"instruments/{organ.reference}"
    assert "event" not in programs.curator.get(path).json()["rows"]
    assert_error(
        programs.curator.patch(path, {"rows": {"event": [{"code": "quarrel", "text": ""}]}}, seen=organ), 400
    )
    assert_error(programs.curator.patch(path, {"remove": ["event:quarrel"]}, seen=organ), 400)
    assert Event.objects.get(instrument=organ).text == "x"


def test_what_others_still_name_is_not_removed(people, programs):
    make_term("event", "built")
    organ = organ_with_stops(people)
    rows = {
        "survey": [{"code": "s", "when": "2024", "level": 1, "surveyor": "A. B.", "limits": "none"}],
        "pipereading": [
            {"specification": "as-found", "rank": "flute", "code": "p", "pipe": 1, "survey": "s"}
        ],
    }
    path = f"instruments/{organ.reference}"
    answer = programs.curator.patch(path, {"rows": rows}, seen=organ)
    assert answer.status_code == 200, answer.content
    said = programs.curator.patch(path, {"remove": ["survey:s"]}, seen=answer["ETag"])
    assert_error(said, 409, "still-named")
    assert programs.curator.get(path)["ETag"] == answer["ETag"]


def test_a_record_goes_its_way_by_steps(people, programs):
    organ = make_instrument(people.surveyor, audience="public")
    path, seen = f"instruments/{organ.reference}", tag(organ)
    for program, step, state in (
        (programs.surveyor, "submit", "in review"),
        (programs.editor, "return", "draft"),
        (programs.surveyor, "submit", "in review"),
        (programs.editor, "release", "released"),
        (programs.editor, "withdraw", "withdrawn"),
    ):
        answer = program.post(f"{path}/{step}", {"why": "a reason"}, seen=seen)
        assert answer.status_code == 200 and answer.json()["state"] == state, answer.content
        seen = answer["ETag"]
    assert_error(programs.editor.post(f"{path}/release", {}, seen=seen), 409, "wrong-state")
    assert_error(programs.editor.post(f"{path}/return", seen=seen), 400)


def test_history_tells_editors_what_they_may_read_and_only_that_the_rest_changed(people, programs):
    organ = make_instrument(people.surveyor, name="One", contact="a private person", owner="the parish")
    public = make_public(organ, people.editor)
    path = f"instruments/{public.reference}/history"
    said = programs.editor.get(path).json()
    assert [one["version"] for one in said["changes"]] == list(range(public.version, 0, -1))
    made = said["changes"][-1]
    assert {"where": "owner", "old": None, "new": "the parish"} in made["fields"]
    assert made["withheld"] == 1 and "private person" not in str(said)
    assert "private person" in programs.keeper.get(path).content.decode()
    pages = programs.editor.get(f"{path}?limit=1").json()
    assert (
        pages["next"]
        and programs.editor.get(pages["next"]).json()["changes"][0]["version"] == public.version - 1
    )


def test_history_withholds_rows_that_were_once_for_others(people, programs):
    organ = make_instrument(people.surveyor)
    event = Event(
        instrument=organ, code="q", kind=make_term("event", "built"), audience="named", text="secret"
    )
    organ = change_record(organ, version=1, by=people.keeper, put=[event])
    organ = change_record(organ, version=2, by=people.keeper, remove=[event])
    assert b"secret" not in programs.editor.get(f"instruments/{organ.reference}/history").content


@pytest.mark.django_db(transaction=True)
def test_of_four_programs_that_save_at_once_exactly_one_gets_through(people):
    organ = make_instrument(people.surveyor)
    seen, barrier, statuses = tag(organ), threading.Barrier(4), []

    def save(number: int) -> None:
        try:
            program = Program(people.curator)
            barrier.wait(10)
            body = {"fields": {"summary": f"text {number}"}}
            statuses.append(program.patch(f"instruments/{organ.reference}", body, seen=seen).status_code)
        finally:
            connection.close()

    threads = [threading.Thread(target=save, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert sorted(statuses) == [200, 412, 412, 412]
    organ.refresh_from_db()
    assert organ.version == 2


def test_a_stale_save_tells_of_rows_with_an_audience_of_their_own_to_those_they_are_for(people, programs):
    organ = make_instrument(people.surveyor)
    kind, secret = make_term("event", "built"), make_maker(people.keeper, audience="named")
    seen = tag(organ)
    open_one = Event(instrument=organ, code="o", kind=kind, audience="team", text="for the team")
    hidden = Event(instrument=organ, code="h", kind=kind, audience="named", text="secret words")
    mark = Claim(instrument=organ, code="c", about="event:h", value="secret quote")
    made = Event(instrument=organ, code="m", kind=kind, audience="team", maker=secret)
    change_record(organ, version=1, by=people.keeper, put=[open_one, hidden, mark, made])
    body = {"fields": {"summary": "mine"}}
    answer = programs.curator.patch(f"instruments/{organ.reference}", body, seen=seen)
    said = assert_error(answer, 412)
    told = {one["where"]: one["theirs"] for one in said["fields"]}
    assert told["event:o#text"] == "for the team" and "event:m#kind" in told
    assert "secret" not in answer.content.decode() and secret.reference not in answer.content.decode()
    assert "event:m#maker" not in told and said["withheld"] >= 4
    whole = programs.keeper.patch(f"instruments/{organ.reference}", body, seen=seen)
    assert "secret words" in whole.content.decode() and whole.json()["withheld"] == 0


def test_the_history_is_one_rule_for_the_workroom_and_the_interface(people, programs):
    from inventory.roles import is_allowed

    organ = make_instrument(people.surveyor)
    for role in ("reader", "surveyor", "curator", "editor", "keeper"):
        may = is_allowed(getattr(people, role), "read history", organ)
        asked = programs.__dict__[role]
        page = asked.client.get(f"/instruments/{organ.reference}/changes/").status_code
        told = asked.get(f"instruments/{organ.reference}/history").status_code
        assert (page == 200, told == 200) == (may, may), role
