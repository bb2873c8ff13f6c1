"""Versions on the wire: every record read carries an ETag, every change names the one it saw."""

from __future__ import annotations

import re
from typing import Any

from django.utils.translation import gettext as _
from rest_framework.request import Request

from inventory.actions import StaleRecord
from inventory.models import Root
from inventory.readers import Reader, readable_fields

from .kinds import row_kinds
from .problems import Problem

_TAG = re.compile(r'"([a-z]+)-([A-Za-z0-9._-]{1,64})-([1-9][0-9]{0,8})"', re.ASCII)


def etag_of(kind: str, reference: str, version: int) -> str:
    """The tag of a record at one version."""
    return f'"{kind}-{reference}-{version}"'


def version_seen(request: Request, root: Root) -> int:
    """The version a change was made from, as If-Match names it."""
    now = etag_of(root.kind_name(), root.reference, root.version)
    sent = request.headers.get("If-Match", "").strip()
    if not sent or sent == "*":
        raise Problem(
            428,
            _("Send If-Match with the ETag of the version you read, such as %(tag)s; * names no version.")
            % {"tag": now},
            "If-Match",
        )
    read = _TAG.fullmatch(sent)
    if read is None or (read[1], read[2]) != (root.kind_name(), root.reference):
        raise Problem(
            412,
            _(
                "If-Match names no version of this record. Nothing was saved; read it again, it is now %(tag)s."
            )
            % {"tag": now},
            "If-Match",
            etag=now,
            fields=[],
        )
    return int(read[3])


def stale_problem(stale: StaleRecord, reader: Reader) -> Problem:
    """Both versions of a record, field by field, as far as the person may read them."""
    root = stale.root
    told = TellableFields(root, reader)
    return Problem(
        412,
        str(stale),
        "If-Match",
        etag=etag_of(root.kind_name(), root.reference, stale.found),
        version_seen=stale.wanted,
        version_now=stale.found,
        fields=[
            {
                "where": clash.path,
                "was": clash.was,
                "yours": clash.mine,
                "theirs": clash.theirs,
                "contested": clash.is_contested,
            }
            for clash in stale.clashes
            if told.may_tell(clash.path)
        ],
    )


class TellableFields:
    """Which paths of a record (``name``, ``event:built#when``) one person may be told of."""

    def __init__(self, root: Root, reader: Reader, hidden: set[str] | frozenset[str] = frozenset()) -> None:
        self.root = root
        self.audience = reader.audience_for(root.kind_name(), root.reference)
        self.hidden = hidden

    def may_tell(self, path: str) -> bool:
        """Whether the field at a path may be told; the steps of the editorial way always."""
        row, _hash, field = path.partition("#")
        if row in self.hidden:
            return False
        kind, colon, _key = row.partition(":")
        model: Any = type(self.root)
        if colon:
            found = row_kinds(type(self.root)).get(kind)
            if found is None:
                return False
            model = found.model
        return (field if colon else row) in readable_fields(model, self.audience)
