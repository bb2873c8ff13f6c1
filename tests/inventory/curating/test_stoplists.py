"""Stoplists read from a text, edited as a table, compared and copied, through the pages' own forms."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from inventory.models import Change, Coupler, Instrument, Segment, Specification, Stop
from tests.factory import add_shared_rank, make_instrument

TEXT = """Great C-g3, 56 keys
Bourdon 16
Open Diapason 8
Stopped Diapason 8
Dulciana 8
Principal 4
Flute 4
Twelfth 2 2/3
Fifteenth 2
Mixture III
Trumpet 8
Swell C-g3, 56 keys
Violin Diapason 8
Lieblich Gedeckt 8
Salicional 8
Gemshorn 4
Flautina 2
Cornopean 8
Oboe 8
Pedal C-d1
Open Diapason 16
Bourdon 16
Flute 8
Swell to Great
Tremulant
"""


def fields_of(html: str) -> dict[str, list[str]]:
    """Everything a browser would send of the form, buttons apart."""
    from html.parser import HTMLParser

    found: dict[str, list[str]] = {}
    state = {"select": "", "area": ""}

    class Reader(HTMLParser):
        def handle_starttag(self, tag, attributes):
            one = dict(attributes)
            if tag == "input" and one.get("name") and one.get("type") not in ("file", "submit"):
                if one.get("type") in ("checkbox", "radio") and "checked" not in one:
                    return
                found.setdefault(one["name"], []).append(
                    one.get("value") or ("on" if one.get("type") == "checkbox" else "")
                )
            elif tag == "select":
                state["select"] = one["name"]
                found.setdefault(one["name"], [""])
            elif tag == "option" and state["select"] and "selected" in one:
                found[state["select"]] = [one.get("value", "")]
            elif tag == "textarea":
                state["area"] = one["name"]
                found.setdefault(one["name"], [""])

        def handle_endtag(self, tag):
            if tag == "select":
                state["select"] = ""
            if tag == "textarea":
                state["area"] = ""

        def handle_data(self, data):
            if state["area"]:
                found[state["area"]] = [found[state["area"]][0] + data.lstrip("\n")]

    form = re.search(r"<form[^>]*class=\"editing.*?</form>", html, re.S)
    assert form, html[:500]
    Reader().feed(form.group())
    return found


@pytest.fixture
def organ(people):
    return make_instrument(people.curator)


@pytest.fixture
def desk(people):
    client = Client()
    client.force_login(people.curator)
    return client


def read_text(desk, organ, text=TEXT, **more):
    address = f"/instruments/{organ.reference}/read-stoplist/"
    page = fields_of(desk.get(address).content.decode())
    page |= {"as_written": [text], "name": ["As built"], "basis": ["as built"], "is_current": ["on"], **more}
    return address, desk.post(address, {**page, "step": "read"})


def test_twenty_stops_are_read_and_nothing_is_saved_until_it_is_saved(desk, organ):
    address, answer = read_text(desk, organ)
    html = answer.content.decode()
    assert html.count('name="stop.lines"') == 20
    assert not Specification.objects.exists()
    sent = {**fields_of(html), "step": "save"}
    saved = desk.post(address, sent)
    assert saved.status_code == 302, saved.content.decode()
    one = Specification.objects.get()
    assert one.is_current and one.as_written.startswith("Great C-g3")
    boards = list(one.keyboards.order_by("order").values_list("name", "kind", "keys", "low_note"))
    assert boards == [
        ("Great", "manual", 56, 36), ("Swell", "manual", 56, 36), ("Pedal", "pedal", 27, 36),
    ]  # fmt: skip
    asked = [name for name, values in fields_of(html).items() if name.endswith(".asked") and values != [""]]
    assert Stop.objects.count() == 20 - len([name for name in asked if name.startswith("stop.")])
    twelfth = Stop.objects.get(label__startswith="Twelfth")
    assert (twelfth.footage, twelfth.keyboard.name, twelfth.division.name) == ("2 2/3", "Great", "Great")
    assert one.accessories.get().label == "Tremulant"
    assert Change.objects.of(Instrument.objects.get()).count() == 2  # made; the whole stoplist in one


def test_a_line_with_a_question_is_taken_only_when_it_is_ticked(desk, organ):
    address, answer = read_text(desk, organ, "Great C-g3, 56 keys\nCornet treble 8\nFlute 4\n")
    sent = fields_of(answer.content.decode())
    assert "stop.new-1.taken" not in sent and sent["stop.new-1.asked"] != [""]
    desk.post(address, {**sent, "step": "save"})
    assert list(Stop.objects.values_list("name", flat=True)) == ["Flute"]


def test_a_keyboard_without_keys_is_asked_for(desk, organ):
    address, answer = read_text(desk, organ, "Great\nFlute 8\n")
    sent = {**fields_of(answer.content.decode()), "step": "save", "keyboard.new-1.taken": "on"}
    refused = desk.post(address, sent)
    assert refused.status_code == 422 and "Write a number." in refused.content.decode()
    assert not Specification.objects.exists()
    sent["keyboard.new-1.keys"] = "54"
    assert desk.post(address, sent).status_code == 302
    assert Stop.objects.get().keyboard.keys == 54


def table_of(desk, organ, code="as-found"):
    address = f"/instruments/{organ.reference}/stoplists/{code}/"
    return address, fields_of(desk.get(address).content.decode())


def test_lines_are_moved_doubled_divided_and_taken_out_and_then_saved(desk, organ, people):
    add_shared_rank(organ, people.curator)
    address, sent = table_of(desk, organ)
    assert sent["stop.lines"] == ["flute-4", "flute-8"]  # both of order 0: by code
    sent = fields_of(desk.post(address, {**sent, "step": "stop|up|flute-8"}).content.decode())
    assert sent["stop.lines"] == ["flute-8", "flute-4"]
    sent = fields_of(desk.post(address, {**sent, "step": "stop|duplicate|flute-8"}).content.decode())
    assert sent["stop.lines"] == ["flute-8", "new-1", "flute-4"]
    sent["stop.new-1.label"], sent["stop.new-1.footage"] = ["Quint"], ["2 2/3"]
    sent = fields_of(desk.post(address, {**sent, "step": "stop|divide|new-1"}).content.decode())
    assert (sent["stop.new-1.half"], sent["stop.new-2.half"]) == (["bass"], ["treble"])
    sent = fields_of(desk.post(address, {**sent, "step": "stop|add|"}).content.decode())
    sent = fields_of(desk.post(address, {**sent, "step": "stop|remove|new-3"}).content.decode())
    assert Stop.objects.count() == 2  # nothing saved yet
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    found = list(Stop.objects.order_by("order").values_list("label", "half", "footage"))
    assert found == [
        ("Flute 8", "", "8"), ("Quint", "bass", "2 2/3"), ("Quint", "treble", "2 2/3"), ("Flute 4", "", "4"),
    ]  # fmt: skip
    assert Segment.objects.count() == 2


def test_the_last_save_is_undone_through_the_history(desk, organ, people):
    add_shared_rank(organ, people.curator)
    address, sent = table_of(desk, organ)
    sent = {**sent, "stop.lines": ["flute-8"], "step": "save"}
    assert desk.post(address, sent).status_code == 302
    assert list(Stop.objects.values_list("code", flat=True)) == ["flute-8"]
    page = desk.get(address).content.decode()
    undo = re.search(r'href="([^"]*/undo/)"', page).group(1)
    form = fields_of(desk.get(undo).content.decode())
    assert desk.post(undo, form).status_code == 302
    assert Stop.objects.count() == 2 and Segment.objects.count() == 2


def test_bad_cells_are_marked_and_nothing_is_saved(desk, organ, people):
    add_shared_rank(organ, people.curator)
    address, sent = table_of(desk, organ)
    for name, bad in (("footage", "9 1/7½"), ("first_key", "many"), ("keyboard", "nowhere")):
        answer = desk.post(
            address, {**sent, f"stop.flute-8.{name}": bad, "stop.flute-4.label": "Lost?", "step": "save"}
        )
        html = answer.content.decode()
        assert answer.status_code == 200 and "error" in html and "Lost?" in html, name
    assert not Stop.objects.filter(label="Lost?").exists()


def test_two_sessions_on_one_stoplist_keep_both_texts(desk, organ, people):
    add_shared_rank(organ, people.curator)
    address, mine = table_of(desk, organ)
    other = Client()
    other.force_login(people.editor)
    _address, theirs = table_of(other, organ)
    theirs["stop.flute-4.note"], theirs["stop.flute-8.label"] = ["their note"], ["Their Flute"]
    assert other.post(address, {**theirs, "step": "save"}).status_code == 302
    mine["stop.flute-8.label"], mine["stop.flute-8.note"] = ["My Flute"], ["my note"]
    answer = desk.post(address, {**mine, "step": "save"})
    html = answer.content.decode()
    assert answer.status_code == 409 and "My Flute" in html and "Their Flute" in html
    sent = fields_of(html)
    assert sent["stop.flute-4.note"] == ["their note"]  # what I left alone takes the other's text
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    flute = Stop.objects.get(code="flute-8")
    assert (flute.label, flute.note) == ("My Flute", "my note")
    assert Stop.objects.get(code="flute-4").note == "their note"
    assert any("Their Flute" in str(change.fields) for change in Change.objects.of(organ))


def test_choosing_the_others_text_takes_it(desk, organ, people):
    add_shared_rank(organ, people.curator)
    address, mine = table_of(desk, organ)
    other = Client()
    other.force_login(people.editor)
    other.post(address, {**mine, "stop.flute-8.label": "Theirs", "step": "save"})
    sent = fields_of(
        desk.post(address, {**mine, "stop.flute-8.label": "Mine", "step": "save"}).content.decode()
    )
    sent["keep|stop|flute-8|label"] = ["theirs"]
    desk.post(address, {**sent, "step": "save"})
    assert Stop.objects.get(code="flute-8").label == "Theirs"


def test_a_stoplist_is_copied_with_its_scheme_and_compared(desk, organ, people):
    old = add_shared_rank(organ, people.curator)
    organ.refresh_from_db()
    address = f"/instruments/{organ.reference}/stoplists/as-found/copy/"
    sent = fields_of(desk.get(address).content.decode())
    sent |= {"name": ["After the works"], "basis": ["as altered"], "when": ["1931"]}
    assert desk.post(address, sent).status_code == 302
    new = Specification.objects.exclude(pk=old.pk).get()
    assert (new.stops.count(), new.keyboards.count(), new.ranks.count()) == (2, 1, 1)
    assert {one.rank.specification for one in Segment.objects.filter(stop__specification=new)} == {new}
    table, sent = table_of(desk, organ, new.code)
    sent["stop.flute-4.label"] = ["Flautina 4"]
    desk.post(table, {**sent, "step": "save"})
    html = desk.get(f"/instruments/{organ.reference}/compare-stoplists/").content.decode()
    assert html.count('class="differs"') == 1 and "Flautina 4" in html and "flute, +12" in html


def test_a_coupler_joins_keyboards_of_the_table(desk, organ, people):
    add_shared_rank(organ, people.curator)
    address, sent = table_of(desk, organ)
    sent = fields_of(desk.post(address, {**sent, "step": "coupler|add|"}).content.decode())
    sent |= {
        "coupler.new-1.label": ["Octave coupler"], "coupler.new-1.from_keyboard": ["I"],
        "coupler.new-1.to_keyboard": ["I"], "coupler.new-1.shift": ["12"],
    }  # fmt: skip
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    assert Coupler.objects.get().shift == 12
