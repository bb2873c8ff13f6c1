"""Pictures on their way in for programs: one file and what is to be said of it, in one change."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.intake.photographs import attach, code_of, read_upload, save_photographs
from inventory.intake.pictures import MOST_BYTES, PictureError
from inventory.models import Photograph

from .base import BASE
from .changes import plan_change
from .kinds import writable_fields
from .preconditions import version_seen
from .problems import BadBody, Problem
from .record_views import RecordView

FILE, WHY = "file", "why"
ROOM_FOR_WORDS = 200_000
"""Bytes an upload may have besides the picture."""


class MultipartOnly(BaseContentNegotiation):
    """A form with a file in, JSON out."""

    def select_parser(self, request: Any, parsers: Any) -> Any:
        sent = (request.content_type or "").partition(";")[0].strip().lower()
        return parsers[0] if sent == parsers[0].media_type else None

    def select_renderer(self, request: Any, renderers: Any, format_suffix: str | None = None) -> Any:
        return renderers[0], renderers[0].media_type


def text_fields() -> tuple[str, ...]:
    """What may be said of a picture when it is brought."""
    return tuple(writable_fields(Photograph))


class PhotographUpload(RecordView):
    """A photograph for an instrument: checked and made anew as in the workroom."""

    plural = "instruments"
    parser_classes = [MultiPartParser]
    content_negotiation_class = MultipartOnly

    def post(self, request: Request, reference: str) -> Response:
        root = self.find(self.plural, reference)
        self.require("change", root)
        version = version_seen(request, root)
        sent = request.META.get("CONTENT_LENGTH") or "0"
        if not sent.isdigit() or int(sent) > MOST_BYTES + ROOM_FOR_WORDS:
            raise Problem(413, _("The picture is larger than 40 MB; export it smaller."))
        if (request.content_type or "").partition(";")[0].strip().lower() != "multipart/form-data":
            raise Problem(
                415, _("Send the picture as multipart/form-data, in a field named file."), code="not-a-form"
            )
        words = self._words(request)
        try:
            content, picture = read_upload(self._file(request))
        except PictureError as refused:
            raise BadBody([(FILE, _("The picture is refused: %(why)s") % {"why": refused})]) from None
        if root.photographs.filter(code=code_of(picture)).exists():
            raise Problem(409, _("This picture is here already."), FILE)
        why = words.pop(WHY, "")
        last = max(root.photographs.values_list("order", flat=True), default=0)
        row = {"order": last + 1, **words, "code": code_of(picture)}
        planned = plan_change(root, {"rows": {"photograph": [row]}}, self.reader)
        made = next(one for one in planned.put if isinstance(one, Photograph))
        attach(made, content, picture)

        def save() -> Any:
            save_photographs(root, [made], version=version, by=request.user, why=why)  # type: ignore[arg-type]
            return root

        response = self.answer(self.saving(save), 201, ["photograph"])
        response["Location"] = f"{BASE}/instruments/{root.reference}?rows=photograph"
        return response

    def _file(self, request: Request) -> UploadedFile:
        files = request.FILES.getlist(FILE)
        if len(files) != 1 or len(request.FILES) != 1:
            raise BadBody([(FILE, _("Send one picture, in a field named file."))])
        return files[0]

    def _words(self, request: Request) -> dict[str, Any]:
        """The other fields of the form: what the photograph shows, its credit, its licence."""
        known = {*text_fields(), WHY} - {"code"}
        words: dict[str, Any] = {}
        for name in request.POST:
            values = request.POST.getlist(name)
            if name not in known:
                raise BadBody(
                    [
                        (
                            name if name.isidentifier() else "?",
                            _("There is no field of this name here; use: %(names)s.")
                            % {"names": ", ".join([FILE, *sorted(known)])},
                        )
                    ]
                )
            if len(values) != 1 or "\0" in values[0]:
                raise BadBody([(name, _("Write each field once, without a zero character."))])
            words[name] = values[0]
        if "is_drawn" in words:  # a form has only texts
            words["is_drawn"] = words["is_drawn"].strip().lower() in ("true", "yes", "1", "on")
        if words.get("order", "").isdecimal():
            words["order"] = int(words["order"])
        return words
