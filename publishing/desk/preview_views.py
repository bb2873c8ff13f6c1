"""The preview: an editor sees any page of the catalogue exactly as it will be published, below a bar that says so."""

from __future__ import annotations

import mimetypes
import sqlite3

from csp.constants import SELF
from csp.decorators import csp_replace
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_GET

from inventory.curating.access import find_record, refuse, signed_in
from inventory.models import Root
from inventory.roles import require
from publishing.catalogue.languages import own_name, plain_path
from publishing.catalogue.pictures import PictureMissing

from .previewing import preview_file

TYPES = {".cff": "text/plain; charset=utf-8", ".atom": "application/atom+xml", ".geojson": "application/geo+json",
         ".parquet": "application/vnd.apache.parquet", ".woff2": "font/woff2", ".webp": "image/webp"}  # fmt: skip


@require_GET
@csp_replace({"frame-src": [SELF]})
@signed_in
def show(
    request: HttpRequest, path: str, kind: type[Root] | None = None, reference: str = ""
) -> HttpResponse:
    """The bar, and below it the page in a frame."""
    root = _root(request, kind, reference)
    codes = settings.CATALOGUE_LANGUAGES
    plain = plain_path(path)
    context = {
        "root": root,
        "path": path,
        "page": _address("preview-file", path, root),
        "languages": [
            (own_name(code), _address("preview", plain if code == codes[0] else f"{code}/{plain}", root))
            for code in codes
        ],
        "is_public": root is not None and root.state == "released" and root.audience == "public",
    }
    return _never_kept(render(request, "desk/preview.html", context))


@require_GET
@xframe_options_sameorigin
@csp_replace({"frame-ancestors": [SELF]})
@signed_in
def send(
    request: HttpRequest, path: str, kind: type[Root] | None = None, reference: str = ""
) -> HttpResponse:
    """The bare file, byte for byte."""
    root = _root(request, kind, reference)
    try:
        content = preview_file(path, root)
    except PictureMissing as missing:
        return refuse(request, str(missing), 409)
    except sqlite3.OperationalError:
        return refuse(request, _("Another preview is being made. Try again in a moment."), 503)
    if content is None:
        raise Http404(_("The catalogue has no such page."))
    ending = path[path.rfind(".") :]
    kind_of_file = TYPES.get(ending) or mimetypes.guess_type(path)[0] or "application/octet-stream"
    response = HttpResponse(content, content_type=kind_of_file)
    if kind_of_file in ("text/html", "text/css", "text/csv", "text/javascript"):
        response["Content-Type"] = f"{kind_of_file}; charset=utf-8"
    return _never_kept(response)


def _root(request: HttpRequest, kind: type[Root] | None, reference: str) -> Root | None:
    """The record to show as if it were released; None where every page is shown as it stands."""
    require(request.user, "preview")
    if kind is None:
        return None
    root: Root = find_record(request, kind, reference)
    return root


def _address(name: str, path: str, root: Root | None) -> str:
    if root is None:
        return reverse(name, kwargs={"path": path})
    return reverse(f"{name}-as-if", kwargs={"path": path, "kind": type(root), "reference": root.reference})


def _never_kept(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = "private, no-store"
    return response
