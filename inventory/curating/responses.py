"""How an edit is answered: as a piece of the page where scripts run, as a page where they do not."""

from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from inventory.models import Root

from .access import find_record, record_url
from .editing import Conflict, Editor, Outcome
from .pages import evidence_counts, page_context, steps_context
from .parts import Part
from .saying import say_clashes


def edit_with(
    editor: Editor, *, part: Part, title: str, help: str = "", remove_url: str = "", is_row: bool = False
) -> HttpResponse:
    """Show a form, or save what was posted in it."""
    request, root = editor.request, editor.root
    context: dict[str, Any] = {
        "root": root,
        "kind": type(root),
        "part": part,
        "title": title,
        "help": help,
        "remove_url": remove_url,
        "is_row": is_row,
        "back": record_url(root, part.code),
    }
    if request.method != "POST":
        context["form"] = editor.form()
        return _piece_or_page(request, "form", context)
    outcome = editor.save()
    if outcome.saved is not None:
        return saved(request, root, part, _words(outcome))
    context["form"] = outcome.form
    if outcome.conflict is not None:
        return _piece_or_page(
            request, "conflict", {**context, **conflict_context(editor, outcome.conflict)}, 409
        )
    return _piece_or_page(request, "form", context, 422)


def _words(outcome: Outcome) -> str:
    if outcome.also:
        return _("Saved. %(who)s changed other fields meanwhile; both stand.") % {"who": outcome.also}
    return _("Saved.")


def conflict_context(editor: Editor, conflict: Conflict) -> dict[str, Any]:
    """Both versions in words, and everything that was typed, to be sent again."""
    now = editor.find()
    names = {editor._path(now, name): name for name in editor.form(instance=now).fields}
    own = {"csrfmiddlewaretoken", "record_version"}
    return {
        "conflict": conflict,
        "clashes": say_clashes(editor.root, conflict.clashes, names, editor.reader),
        "typed": [
            (key, value) for key, values in conflict.data.lists() for value in values if key not in own
        ],
    }


def saved(request: HttpRequest, root: Root, part: Part, words: str) -> HttpResponse:
    """The part as it stands now."""
    if not request.htmx:
        messages.success(request, words, extra_tags=request.path)
        return redirect(record_url(root, part.code))
    root = find_record(request, type(root), root.reference)
    context = {
        **page_context(request, root, only=part),
        **steps_context(request, root),
        "evidence": evidence_counts(root),
        "words": words,
    }
    context["shown"] = context["parts"][0]
    response = render(request, "curating/_saved.html", context)
    response["HX-Trigger"] = json.dumps({"record-saved": {"draft": request.path, "part": part.code}})
    return response


def _piece_or_page(
    request: HttpRequest, name: str, context: dict[str, Any], status: int = 200
) -> HttpResponse:
    if not request.htmx:
        return render(request, f"curating/{name}.html", context, status=status)
    response = render(request, f"curating/_{name}.html", context)
    if request.method == "POST":
        # The form asked to replace its whole part; with errors it replaces only itself.
        response["HX-Retarget"] = "closest .editing"
        response["HX-Reswap"] = "outerHTML"
    return response
