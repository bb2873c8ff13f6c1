"""Every form of the workroom as its page offers it: sixty hostile texts and a megabyte in each box people type in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cached_property

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import transaction
from django.test import Client
from django.urls import reverse

from inventory.actions.texts import LONGEST_TEXT, check_texts
from inventory.models import Change, Instrument, Invitation
from tests.inventory.curating.test_permissions import OF_INSTRUMENTS, OF_RECORDS, OTHERS
from tests.inventory.form_crawler import Form, forms_on
from tests.inventory.hostile_rows import models_with_texts, text_columns
from tests.inventory.hostile_scripts import SCRIPTS
from tests.inventory.hostile_worlds import Shown
from tests.publishing.canaries import Planter, World

NO_PAGE = ("preview", "sign-out", "row-", "choose")
"""Addresses without forms of their own, and forms of rows, whose fields are tried one by one elsewhere."""
MEGABYTE = "x" * 1_000_000
MANY = 1000
"""A limit of a page that is no short line."""


class House:
    """One record with a row of each kind, and a keeper who may do everything."""

    def __init__(self, people) -> None:
        self.people = people
        self.client = Client(raise_request_exception=False)
        self.client.force_login(people.keeper)
        self.saved = 0
        """How often a form that was sent changed a record."""
        self.session = self.client.cookies["sessionid"].value
        world = World(Planter(), "public")
        self.organ = world.get(Instrument)
        self.codes = {"photograph": world.made[apps.get_model("inventory", "photograph")].code}
        self.codes["stoplist"] = self.organ.specifications.get().code
        Invitation.objects.create(
            for_whom="x", role="reader", invited_by=people.keeper, until="2999-01-01T00:00Z"
        )

    def pages(self) -> Iterator[str]:
        """Every address that the table of rights knows and a browser can look at."""
        for name, (methods, more) in {**OF_RECORDS, **OTHERS}.items():
            known = dict(more)
            query = known.pop("?", "")
            if "GET" not in methods or name.startswith(NO_PAGE) or name.endswith("-file") or "key" in known:
                continue
            if name in OF_RECORDS:
                known["reference"] = self.organ.reference
                known |= {} if name.startswith(OF_INSTRUMENTS) else {"kind": "instruments"}
            if "code" in known:
                known["code"] = self.codes["photograph" if name == "photograph" else "stoplist"]
            if "username" in known:
                known["username"] = self.people.reader.username
            yield reverse(name, kwargs=known) + (f"?{query}" if query else "")

    @cached_property
    def forms(self) -> list[Form]:
        """One form for each address forms are sent to, with every control some page gives it."""
        found: dict[str, Form] = {}
        for address in self.pages():
            answer = self.client.get(address)
            if answer.status_code == 200 and "html" in answer["Content-Type"] and not answer.streaming:
                for form in forms_on(address, answer.content.decode()):
                    kept = found.setdefault(f"{form.method} {form.name}", form)
                    if len(form.typed) > len(kept.typed):
                        found[f"{form.method} {form.name}"] = form
        for form in found.values():
            form.typed = first_lines(form.typed)
        return list(found.values())

    def send(self, form: Form, texts: dict[str, str]) -> tuple[int, str]:
        """What answers a form filled so, after the page it leads to; nothing of it lasts."""
        good = answered(form) if form.name == "next-visit" else {}
        values = {**form.values, **good, **{name: [text] for name, text in texts.items()}}
        with transaction.atomic():
            before = Change.objects.count()
            self.client.cookies["sessionid"] = self.session
            ask = self.client.post if form.method == "post" else self.client.get
            answer = ask(form.address, values, follow=True)
            html = answer.content.decode() if not answer.streaming else ""
            self.saved += Change.objects.count() > before
            transaction.set_rollback(True)
        return answer.status_code, html


def answered(form: Form) -> dict[str, list[str]]:
    """What the form of a visit needs before it looks at notes: a date, a level, parts and defects, old and new."""
    good = {"when": "2024-05", "level": "2", "surveyor": "S.", "limits": "-", "looked_at": "present"}
    found = {name: [text] for ending, text in good.items() for name in form.values if name.endswith(ending)}
    for kind, answer in (("part", "changed"), ("defect", "worse")):
        found |= {name: [answer] for name in form.values if re.fullmatch(f"{kind}-[^-]+", name)}
    kinds = {name: [offered[-1]] for name, offered in form.choices.items() if name.endswith("-kind")}
    places = {name.replace("-kind", "-where"): ["Trunk"] for name in kinds}
    return found | kinds | places


def first_lines(typed: dict[str, int | None]) -> dict[str, int | None]:
    """Of a table one line: each of its columns once."""
    seen: dict[str, str] = {}
    for name in typed:
        table, _line, column = (
            [*name.split(".", 1)[:1], *name.rpartition(".")[::2]] if "." in name else ["", "", name]
        )
        seen.setdefault(f"{table}.{column}", name)
    return {name: typed[name] for name in seen.values()}


@pytest.fixture
def house(people, settings, tmp_path):
    settings.MEDIA_ROOT = settings.DATA_DIR = tmp_path
    return House(people)


def packs(room: int | None) -> list[str]:
    """The sixty, in as few texts as a box of this length takes; what is longer than the box stands alone."""
    made = [""]
    for text in SCRIPTS.values():
        if made[-1] and len(made[-1]) + len(text) + 1 > (room or 4000):
            made.append("")
        made[-1] = f"{made[-1]} {text}".strip(" ")
    return made


def fill_boxes(house: House, most: int) -> int:
    """Send every form with a pack of texts in each of its boxes, so often at most; how many boxes there were."""
    shown, boxes = Shown(), 0
    for form in house.forms:
        by_name = {name: packs(room) for name, room in form.typed.items()}
        for number in range(min(most, max(map(len, by_name.values())))):
            texts = {name: every[number % len(every)] for name, every in by_name.items()}
            status, html = house.send(form, texts)
            assert status in (200, 403, 404, 409, 410, 422), (form.name, status)
            shown.read(f"{form.name}: {texts}"[:300], html)
        boxes += len(by_name)
    assert not shown.wrong, shown.wrong
    return boxes


def test_hostile_texts_and_a_megabyte_in_boxes_of_every_form_are_answered_harmlessly(house):
    assert fill_boxes(house, most=1) > 70
    # Where the page itself sets no limit; cells of tables hold fields of rows, whose limits are tried below.
    assert fill_with_megabytes(house, lambda name, room: (room or MANY) >= MANY and "." not in name) > 25


@pytest.mark.thorough
def test_each_of_sixty_texts_in_each_box_of_each_form_is_answered_harmlessly(house):
    assert fill_boxes(house, most=60) > 70 and house.saved > 10


READ_NOT_KEPT = {"stoplist-read as_written", "home q", "list first", "list last", "trials also", "changes-compare from",
                 "changes-compare to"}  # fmt: skip
"""Boxes whose text is read and answered, but kept nowhere."""
LIMITS = re.compile(
    r"at most [\d,.]+|too long|is no whole number|is no note|write a number|cannot be read|Enter a|password|"
    r"more trials than \d+|look at the marked lines"
)


def fill_with_megabytes(house: House, wanted: Callable[[str, int | None], bool]) -> int:
    """Send every form with a megabyte in one of its boxes; how many boxes were tried."""
    wrong, tried = {}, 0
    for form in house.forms:
        for name in (name for name, room in form.typed.items() if wanted(name, room)):
            before, tried = house.saved, tried + 1
            status, html = house.send(form, {name: MEGABYTE})
            told = html.replace(MEGABYTE, "…")
            is_told = f"{form.name} {name}" in READ_NOT_KEPT or LIMITS.search(told)
            if status >= 500 or not is_told or house.saved != before:
                wrong[f"{form.name} {name}"] = (
                    status,
                    re.sub(r"\s+", " ", re.sub("<[^>]*>", " ", told))[:3000],
                )
    assert not wrong, wrong
    return tried


@pytest.mark.thorough
def test_a_megabyte_in_any_box_is_refused_with_its_limit_and_nothing_is_saved(house):
    assert fill_with_megabytes(house, lambda _name, _room: True) > 70


@pytest.mark.parametrize("model", models_with_texts(), ids=lambda model: model.__name__)
def test_a_megabyte_in_any_text_field_is_refused_with_its_limit(model):
    for column in text_columns(model):
        try:
            row = model()
            setattr(row, column.attname, column.clean(MEGABYTE, row))
            check_texts(row)
        except ValidationError as refused:
            words = " ".join(refused.messages)
            assert str(column.max_length or LONGEST_TEXT) in words and len(words) < 500, (column, words[:500])
        else:
            raise AssertionError(f"{column} takes a megabyte")


def test_a_megabyte_is_refused_at_every_door_for_programs(house):
    path = f"/api/v1/instruments/{house.organ.reference}"
    seen = house.client.get(path)["ETag"]
    stop, row = house.organ.specifications.get().stops.first(), {}
    row = {"specification": house.codes["stoplist"], "code": stop.code}
    long = {"name": 160, "status_since": 100, "summary": LONGEST_TEXT, "temperament": 60}
    bodies = [({"fields": {name: MEGABYTE}}, name, most) for name, most in long.items()]
    bodies += [({"rows": {"stop": [{**row, name: MEGABYTE}]}}, name, most)
               for name, most in (("label", 120), ("note", LONGEST_TEXT), ("footage", 16))]  # fmt: skip
    bodies += [({"fields": {"name": "x"}, "why": MEGABYTE}, "why", 300)]
    for body, name, most in bodies:
        answer = house.client.patch(path, body, content_type="application/json", headers={"If-Match": seen})
        told = answer.json()
        assert answer.status_code == 400 and str(most) in told["message"], (name, told)
        assert len(told["message"]) < 500 and name in told["where"], (name, told)
    assert house.client.get(path)["ETag"] == seen
    for door, body in (
        (
            "evaluate",
            {"keyboards": [{"id": MEGABYTE, "low": 36, "keys": 5}], "ranks": [], "stops": [], "segments": []},
        ),
        ("sound", {"record": MEGABYTE, "stops": [], "keys": []}),
        (
            "trace",
            {"record": house.organ.reference, "trials": [{"stops": [MEGABYTE], "keys": [], "heard": []}]},
        ),
        ("read-stoplist", {"text": "x", "language": MEGABYTE}),
        ("instruments", {"fields": {"reference": MEGABYTE, "name": "x"}}),
    ):
        answer = house.client.post(f"/api/v1/{door}", body, content_type="application/json")
        assert answer.status_code in (400, 404, 422) and len(answer.content) < 1500, (
            door,
            answer.content[:500],
        )
    read = house.client.post("/api/v1/read-stoplist", {"text": MEGABYTE}, content_type="application/json")
    assert read.status_code == 200 and len(read.content) < 5_000_000  # read, asked about, kept nowhere
