"""Records: lists, documents, changes, steps of the editorial way, history."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.translation import gettext as _
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import actions
from inventory.actions import StaleRecord, change_record, create_record
from inventory.models import Instrument, Root
from inventory.readers import reader_of

from .base import BASE, ApiView
from .changes import Planned, plan_change
from .documents import read_document, read_heads
from .history import read_history
from .kinds import ROOTS, plural_of, row_kinds
from .lists import FILTERS, PAGING, list_page, next_address
from .preconditions import etag_of, stale_problem, version_seen
from .problems import BadBody, Problem
from .reading import read_fields
from .values import BadValue, find_record


def step(name: str, root: Root, version: int, by: Any, why: str) -> Root:
    """Take one step of the editorial way."""
    calls: Mapping[str, Callable[[], Root]] = {
        "submit": lambda: actions.submit_for_review(root, version=version, by=by, why=why),
        "return": lambda: actions.return_to_draft(root, version=version, by=by, why=why),
        "release": lambda: actions.release(root, version=version, by=by, why=why),
        "withdraw": lambda: actions.withdraw(root, version=version, by=by, because=why),
    }
    return calls[name]()


class RecordView(ApiView):
    """A view of records of one kind; the kind stands in the address."""

    plural = ""

    def answer(self, root: Root, status: int = 200, wanted: Any = None) -> Response:
        """The record as this person may read it now, with its tag."""
        self.__dict__.pop("reader", None)
        reader = reader_of(self.request.user)
        known = reader.may_know(root.kind_name(), root.reference, root.state, root.audience)
        head = {"kind": root.kind_name(), "reference": root.reference, "version": root.version}
        # Whoever gave a record out of their own hands is told that it is saved, and no more.
        document = read_document(root, reader, wanted) if known else head
        response = Response(document, status)
        response["ETag"] = etag_of(root.kind_name(), root.reference, document["version"])
        return response

    def saving(self, act: Callable[[], Root]) -> Root:
        """Do what changes a record; a stale save tells both versions as far as they may be told."""
        try:
            return act()
        except StaleRecord as stale:
            raise stale_problem(stale, self.reader) from None


class RecordList(RecordView):
    """All records of a kind that one may read; a new one."""

    @property
    def query_fields(self) -> tuple[str, ...]:  # type: ignore[override]
        return (*FILTERS[self.plural], *PAGING) if self.request.method == "GET" else ()

    def get(self, request: Request) -> Response:
        asked = request.query_params.dict()
        records, size, _downwards = list_page(self.plural, asked, self.reader)
        found = read_heads(records, self.reader)
        more = len(found) > size
        path = f"{BASE}/{self.plural}"
        return Response(
            {
                "records": found[:size],
                "next": next_address(path, asked, found[size - 1]["reference"]) if more else None,
            }
        )

    def post(self, request: Request) -> Response:
        model = ROOTS[self.plural]
        self.require("create")
        body = read_fields(request.data, {"fields": dict, "rows": dict, "why": str}, ("fields",))
        root = model()
        planned = plan_change(root, body, self.reader)
        why = body.get("why", "")
        self.saving(
            lambda: create_record(root, by=request.user, why=why, put=planned.put, links=planned.links)  # type: ignore[arg-type]
        )
        response = self.answer(root, 201)
        response["Location"] = f"{BASE}/{self.plural}/{root.reference}"
        return response


class RecordDetail(RecordView):
    """One record with its rows; a change of it."""

    @property
    def query_fields(self) -> tuple[str, ...]:  # type: ignore[override]
        return ("rows",) if self.request.method == "GET" else ()

    def get(self, request: Request, reference: str) -> Response:
        root = self.find(self.plural, reference)
        wanted = request.query_params.get("rows")
        names = None if wanted is None else [name for name in wanted.split(",") if name]
        known = row_kinds(type(root))
        if names and (unknown := [name for name in names if name not in known]):
            raise Problem(
                400,
                _("%(name)s is no kind of row; kinds: %(known)s.")
                % {"name": ascii(unknown[0])[:60], "known": ", ".join(known)},
                "rows",
            )
        return self.answer(root, wanted=names)

    def patch(self, request: Request, reference: str) -> Response:
        root = self.find(self.plural, reference)
        self.require("change", root)
        version = version_seen(request, root)
        body = read_fields(request.data, {"fields": dict, "rows": dict, "remove": list, "why": str})
        if not any(body.get(name) for name in ("fields", "rows", "remove")):
            raise Problem(400, _("The body changes nothing; write fields, rows or remove."))
        stale = version != root.version
        try:
            planned = plan_change(root, body, self.reader)
        except BadBody:
            if not stale:
                raise
            # The body does not fit the record as it is now: that somebody changed it is the news.
            planned = Planned()
        changed = self.saving(
            lambda: change_record(
                root,
                version=version,
                by=request.user,  # type: ignore[arg-type]
                why=body.get("why", ""),
                put=planned.put,
                remove=planned.remove,
                links=planned.links,
            )
        )
        return self.answer(changed)


class RecordStep(RecordView):
    """A step of the editorial way: submit, release, return, withdraw."""

    step = ""

    def post(self, request: Request, reference: str) -> Response:
        root = self.find(self.plural, reference)
        self.require(self.step, root)
        version = version_seen(request, root)
        body = read_fields(request.data or {}, {"why": str})
        moved = self.saving(lambda: step(self.step, root, version, request.user, body.get("why", "")))
        return self.answer(moved)


class RecordMerge(RecordView):
    """Two records turn out to be one instrument."""

    plural = "instruments"

    def post(self, request: Request, reference: str) -> Response:
        root = self.find(self.plural, reference)
        self.require("merge", root)
        version = version_seen(request, root)
        body = read_fields(request.data, {"into": str, "why": str}, ("into", "why"))
        try:
            into: Any = find_record(Instrument, body["into"], self.reader)
        except BadValue as bad:
            raise BadBody([("into", str(bad))]) from None
        if not body["why"].strip():
            raise BadBody([("why", _("Say why the two are one instrument."))])
        return self.answer(
            self.saving(
                lambda: actions.merge(root, into, version=version, by=request.user, because=body["why"])  # type: ignore[arg-type]
            )
        )


class RecordHistory(RecordView):
    """Who changed what, when and why, newest first; for the team."""

    query_fields = ("before", "limit")

    def get(self, request: Request, reference: str) -> Response:
        root = self.find(self.plural, reference)
        self.require("read history", root)
        numbers = {}
        for name, most in (("before", 10**9), ("limit", 200)):
            text = request.query_params.get(name, str(most if name == "before" else 50))
            if not (text.isascii() and text.isdigit() and 1 <= int(text[:12]) <= most):
                raise Problem(400, _("Write a whole number from 1 to %(most)d.") % {"most": most}, name)
            numbers[name] = int(text)
        changes, more = read_history(root, self.reader, numbers["before"], numbers["limit"])
        path = f"{BASE}/{plural_of(type(root))}/{reference}/history"
        following = f"{path}?before={changes[-1]['version']}&limit={numbers['limit']}" if more else None
        response = Response({"changes": changes, "next": following})
        response["ETag"] = etag_of(root.kind_name(), root.reference, root.version)
        return response
