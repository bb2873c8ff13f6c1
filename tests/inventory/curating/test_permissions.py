"""Every address × every role × a draft, a released and a confidential record, against the table in the docs."""

from __future__ import annotations

import base64
import re
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import URLPattern, reverse

from inventory.actions import change_record
from inventory.curating import urls
from inventory.models import (
    Claim,
    FindingAnswer,
    Instrument,
    Invitation,
    Photograph,
    SavedList,
    Specification,
    Term,
)
from publishing.desk import urls as desk_urls
from tests.factory import make_instrument, make_public, make_term

DOT = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNgAAAAAgABSK+kcQAAAABJRU5ErkJggg=="
)
TABLE = Path(__file__).resolve().parents[3] / "docs" / "permissions.md"
ROLES = ("anonymous", "reader", "surveyor", "curator", "editor", "keeper")
RECORDS = ("draft", "released", "confidential")

OF_RECORDS = {
    "record": ("GET", {}),
    "record-part": ("GET", {"part": "history"}),
    "fields-edit": ("GET POST", {"group": "main"}),
    "record-step": ("POST", {}),
    "row-add": ("GET POST", {"rows": "layers"}),
    "row-edit": ("GET POST", {"rows": "claims", "code": "said"}),
    "row-remove": ("GET POST", {"rows": "claims", "code": "said"}),
    "changes": ("GET", {}),
    "changes-compare": ("GET", {}),
    "change-undo": ("GET POST", {"version": 2}),
    "evidence": ("GET", {}),
    "claim-prefer": ("POST", {"code": "said"}),
    "findings": ("GET", {}),
    "finding-answer": ("POST", {}),
    "finding-reopen": ("POST", {"code": "answered"}),
    "stoplist-read": ("GET POST", {}),
    "stoplist-compare": ("GET", {}),
    "stoplist-table": ("GET POST", {"code": "as-found"}),
    "stoplist-copy": ("GET POST", {"code": "as-found"}),
    "scheme-table": ("GET POST", {"code": "as-found"}),
    "scheme-try": ("POST", {"code": "as-found"}),
    "preview-as-if": ("GET", {"path": "index.html"}),
    "preview-file-as-if": ("GET", {"path": "assets/mark.svg"}),
    "photographs-add": ("GET POST", {}),
    "photograph": ("GET POST", {"code": "front"}),
    "photograph-file": ("GET", {"code": "front"}),
    "course": ("GET", {}),
    "next-visit": ("GET POST", {}),
    "trials": ("GET POST", {}),
    "trials-trace": ("POST", {}),
    "test-plan": ("GET", {}),
    "field-sheet": ("GET", {}),
    "field-sheet-file": ("GET", {}),
    "danger": ("GET", {}),
    "danger-decide": ("POST", {}),
    "danger-notice": ("GET", {}),
    "works": ("GET", {}),
    "works-choose": ("POST", {}),
    "pipe-give": ("POST", {}),
    "pipe-take-back": ("POST", {}),
    "briefs": ("GET", {}),
    "brief-passage": ("POST", {}),
    "brief-file": ("GET", {}),
    "identification": ("GET", {}),
}
OF_INSTRUMENTS = tuple(
    (
        "finding stoplist scheme photograph works pipe brief identification course next-visit trials test-plan "
        "field-sheet danger"
    ).split()
)
OTHERS = {
    "home": ("GET", {}),
    "list": ("GET", {"kind": "instruments"}),
    "list-csv": ("GET", {"kind": "instruments"}),
    "list-xlsx": ("GET", {"kind": "instruments"}),
    "record-new": ("GET POST", {"kind": "instruments"}),
    "choose": ("GET", {"kind": "makers"}),
    "list-save": ("POST", {}),
    "list-open": ("GET", {"key": None}),
    "list-forget": ("POST", {"key": None}),
    "help": ("GET", {"page": "tour"}),
    "language": ("POST", {}),
    "translations": ("GET", {}),
    "date-reading": ("GET", {}),
    "account": ("GET POST", {}),
    "second-factor": ("GET POST", {}),
    "second-factor-setup": ("GET POST", {}),
    "second-factor-forget": ("POST", {}),
    "people": ("GET", {}),
    "invite": ("POST", {}),
    "invitation-withdraw": ("POST", {"key": None}),
    "person": ("GET POST", {"username": None}),
    "person-forget-device": ("POST", {"username": None}),
    "preview": ("GET", {"path": "index.html"}),
    "preview-file": ("GET", {"path": "assets/mark.svg"}),
    "danger-list": ("GET", {}),
    "danger-register": ("GET", {}),
    "statistics": ("GET", {}),
    "statistics-group": ("GET", {"?": "by=all"}),
    "statistics-table": ("GET", {"table": "stops", "form": "csv"}),
    "study": ("GET", {}),
    "study-file": ("GET", {}),
    "sign-in": ("GET", {}),
    "sign-out": ("POST", {}),
    "invitation": ("GET POST", {"token": "made-up"}),
}


def table() -> dict[tuple[str, str], tuple[str, ...]]:
    """The rows of the documented tables: address and method, then one cell for each role."""
    found = {}
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == 2 + len(ROLES) and re.fullmatch("`[a-z-]+`", cells[0]):
            found[cells[0].strip("`"), cells[1]] = tuple(cells[2:])
    return found


def word(answer) -> str:
    """What happened, as the table says it."""
    if answer.status_code == 302 and "/sign-in/" in answer["Location"]:
        return "sign in"
    if answer.status_code in (200, 302, 303, 409, 410, 422):
        return "yes"
    return {403: "no", 404: "hidden"}.get(answer.status_code, str(answer.status_code))


@pytest.fixture
def cast(people, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    clients = {"anonymous": Client()}
    for role in ROLES[1:]:
        clients[role] = Client()
        clients[role].force_login(getattr(people, role))
    return clients


def pictured(root):
    """A stoplist and a picture, for everybody who may read the record."""
    stoplist = Specification(instrument=root, code="as-found", name="As found", basis="as found")
    front = Photograph(
        instrument=root, code="front", shows="Front", credit="x", licence="x", audience="public"
    )
    front.file.save("front.png", ContentFile(DOT), save=False)
    return [stoplist, front]


@pytest.fixture
def records(people, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    made = {"draft": make_instrument(people.surveyor), "released": make_instrument(people.surveyor)}
    made["confidential"] = make_instrument(people.keeper, audience="named")
    make_term("event", "built")
    for name, root in made.items():
        claim = Claim(instrument=root, code="said", about="name", value="Another name")
        answer = FindingAnswer(
            instrument=root, code="answered", finding="x", facts="x", because="x", who=people.keeper
        )
        change_record(root, version=root.version, by=people.keeper, put=[claim, answer, *pictured(root)])
        if name == "released":
            made[name] = make_public(root, people.editor)
    return made


def ask(client: Client, name: str, method: str, kwargs: dict) -> str:
    # A new row must not come into being: the version is out of date, the needed fields are missing.
    kwargs = dict(kwargs)
    query = kwargs.pop("?", "")
    address = reverse(name, kwargs=kwargs) + (f"?{query}" if query else "")
    answer = (
        client.get(address) if method == "GET" else client.post(address, {"version": 0, "step": "submit"})
    )
    if answer.streaming:
        b"".join(answer.streaming_content)
    return word(answer)


def names_of(patterns) -> set[str]:
    return {one.name for one in patterns if isinstance(one, URLPattern)}


def test_no_address_is_missing_from_the_table():
    rows = {name for name, _method in table()}
    assert names_of(urls.urlpatterns) | names_of(desk_urls.urlpatterns) == rows
    assert rows == set(OF_RECORDS) | set(OTHERS)
    wanted = {(n, m) for n, (ms, _) in {**OF_RECORDS, **OTHERS}.items() for m in ms.split()}
    assert wanted == set(table())


def test_addresses_of_records_answer_each_role_as_the_table_says(cast, records):
    wrong = []
    for name, (methods, more) in OF_RECORDS.items():
        for method in methods.split():
            for role, said in zip(ROLES, table()[name, method], strict=True):
                found = []
                for record in RECORDS:
                    kwargs = {"reference": records[record].reference, **more}
                    if not name.startswith(OF_INSTRUMENTS):
                        kwargs["kind"] = "instruments"
                    found.append(ask(cast[role], name, method, kwargs))
                if " · ".join(dict.fromkeys(found) if len(set(found)) == 1 else found) != said:
                    wrong.append((name, method, role, found, said))
    assert not wrong
    assert Instrument.objects.get(pk=records["draft"].pk).state in ("draft", "in review")


def test_other_addresses_answer_each_role_as_the_table_says(cast, people):
    wrong = []
    for name, (methods, more) in OTHERS.items():
        for method in methods.split():
            for role, said in zip(ROLES, table()[name, method], strict=True):
                kwargs = dict(more)
                if name.startswith("list-") and "key" in kwargs:
                    owner = getattr(people, role, people.reader)
                    kwargs["key"] = SavedList.objects.create(
                        user=owner, name=f"{name}{role}", query="instruments?"
                    ).pk
                elif name == "invitation-withdraw":
                    kwargs["key"] = Invitation.objects.create(
                        for_whom="x", role="reader", invited_by=people.keeper, until="2999-01-01T00:00Z"
                    ).pk
                elif "username" in kwargs:
                    kwargs["username"] = people.reader.username
                found = ask(cast[role], name, method, kwargs)
                if name == "sign-out" and role != "anonymous":
                    cast[role].force_login(getattr(people, role))
                if found != said:
                    wrong.append((name, method, role, found, said))
    assert not wrong


def test_a_named_person_reads_the_confidential_record_and_no_other(cast, people, records):
    from inventory.models import Confidence

    secret, other = records["confidential"], make_instrument(people.keeper, audience="named")
    address = reverse("record", kwargs={"kind": "instruments", "reference": secret.reference})
    assert cast["surveyor"].get(address).status_code == 404
    Confidence.objects.create(
        user=people.surveyor, root_kind="instrument", reference=secret.reference, given_because="test"
    )
    assert cast["surveyor"].get(address).status_code == 200
    hidden = reverse("record", kwargs={"kind": "instruments", "reference": other.reference})
    assert cast["surveyor"].get(hidden).status_code == 404


def test_nobody_opens_or_forgets_the_list_of_another(cast, people):
    saved = SavedList.objects.create(user=people.curator, name="mine", query="instruments?q=x")
    for name in ("list-open", "list-forget"):
        address = reverse(name, kwargs={"key": saved.pk})
        client = cast["editor"]
        answer = client.get(address) if name == "list-open" else client.post(address)
        assert answer.status_code == 404
    assert SavedList.objects.filter(pk=saved.pk).exists()


def test_a_confidential_record_is_found_nowhere(cast, people, records):
    secret = records["confidential"]
    secret.name = "Qwyxthorpe organ"
    change_record(
        secret, version=Instrument.objects.get(pk=secret.pk).version, by=people.keeper, put=[secret]
    )
    pages = (
        "/?q=Qwyxthorpe",
        "/instruments/?q=Qwyxthorpe",
        "/instruments/",
        "/choose/instruments/?q=Qwyxthorpe",
    )
    for role in ROLES[1:]:
        for page in pages:
            html = cast[role].get(page).content.decode()
            shown = secret.reference in html
            assert shown == (role == "keeper"), (role, page)
    sheet = b"".join(cast["editor"].get("/instruments/list.csv").streaming_content).decode()
    assert secret.reference not in sheet


def test_every_change_needs_the_forms_own_token(people, records):
    client = Client(enforce_csrf_checks=True)
    client.force_login(people.keeper)
    for name, (methods, more) in OF_RECORDS.items():
        if "POST" in methods:
            kwargs = {"reference": records["draft"].reference, **more}
            if not name.startswith(OF_INSTRUMENTS):
                kwargs["kind"] = "instruments"
            assert client.post(reverse(name, kwargs=kwargs)).status_code == 403, name


def test_looking_changes_nothing(cast, records):
    from inventory.models import Change

    before = (Change.objects.count(), Term.objects.count(), Claim.objects.count())
    for name, (methods, more) in OF_RECORDS.items():
        if "GET" in methods:
            kwargs = {"reference": records["draft"].reference, **more}
            if not name.startswith(OF_INSTRUMENTS):
                kwargs["kind"] = "instruments"
            cast["keeper"].get(reverse(name, kwargs=kwargs))
    assert (Change.objects.count(), Term.objects.count(), Claim.objects.count()) == before
