"""Versions on the wire: every record read carries an ETag, every change names the one it saw."""

from __future__ import annotations

import re

from django.utils.translation import gettext as _
from rest_framework.request import Request

from inventory.actions import StaleRecord
from inventory.models import Root
from inventory.past import Past
from inventory.readers import Reader

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
    # What this person sent is their own; what was there and what the other saved may be for others.
    past = Past(root, reader.user, ((clash.path, (clash.was, clash.theirs)) for clash in stale.clashes))
    told = [clash for clash in stale.clashes if past.may_tell(clash.path, (clash.was, clash.theirs))]
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
            for clash in told
        ],
        withheld=len(stale.clashes) - len(told),
    )
