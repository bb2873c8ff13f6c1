"""The sums: exchange files in, answers out; and the scheme and sums of a record."""

from __future__ import annotations

import json
from typing import Any

from django.utils.translation import gettext as _
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.models import Instrument, Specification
from inventory.organ.answers import evaluate_answer, sound_answer
from inventory.organ.errors import OrganError
from inventory.organ.explanations import explain
from inventory.organ.fault_answers import trace_answer
from inventory.organ.json_text import read_list, read_number, read_object, read_text, required, shown
from inventory.organ.next_trial import next_trial
from inventory.organ.odds import read_odds
from inventory.organ.scheme_files import read_scheme
from inventory.organ.scheme_writing import scheme_to_dict
from inventory.organ.schemes import Scheme
from inventory.organ.stoplists import read_stoplist
from inventory.organ.trials import read_trials
from inventory.schemes import scheme_of

from .base import ApiView
from .preconditions import etag_of
from .problems import Problem
from .reading import read_fields
from .throttles import AnonymousSums, SignedIn

LANGUAGES = ("en", "fr", "de", "es", "it")
MOST_NOTES = 20
NOTES = "Upperboard-Notes"
"""Header with what was not read, as the commands say it on standard error: a JSON list of sentences."""


def scheme_of_specification(specification: Specification) -> tuple[dict[str, Any], Scheme]:
    """A specification's scheme as a file and as read back; a record that makes no scheme says so."""
    try:
        written = scheme_to_dict(scheme_of(specification))
        return written, read_scheme(written)[0]
    except (OrganError, TypeError, ValueError, KeyError) as error:
        reason = str(error) if isinstance(error, OrganError) else _("a value of its rows has a wrong form")
        raise Problem(
            409,
            _("The rows of the specification %(code)s make no scheme: %(reason)s.")
            % {"code": specification.code, "reason": reason.rstrip(".")},
            f"specification:{specification.code}",
            "no-scheme",
        ) from None


class SumView(ApiView):
    """A sum over a scheme that is sent, or over that of a record one may read."""

    throttle_classes = [AnonymousSums, SignedIn]

    def find_scheme(self, body: dict[str, Any]) -> tuple[Scheme, list[str]]:
        """The scheme of a body: under `scheme`, or the record named under `record`."""
        if ("scheme" in body) == ("record" in body):
            raise Problem(400, _("Send either a scheme or the reference of a record."), "scheme")
        if "scheme" in body:
            if not isinstance(body["scheme"], dict):
                raise Problem(400, _("%(value)s is no scheme.") % {"value": shown(body["scheme"])}, "scheme")
            return read_scheme(body["scheme"])
        reference, _slash, code = body["record"].partition("/")
        root = self.find("instruments", reference)
        return scheme_of_specification(find_specification(root, code))[1], []

    def answered(self, document: Any, notes: list[str]) -> Response:
        """The answer, and what of the body was not read."""
        response = Response(document)
        if notes:
            kept = [note[:200] for note in notes[:MOST_NOTES]]
            response[NOTES] = json.dumps(kept)
        return response


def find_specification(root: Instrument, code: str) -> Specification:
    """The specification named, else the current one, else the latest."""
    found = root.specifications.all()
    chosen = found.filter(code=code).first() if code else found.current().first() or found.in_order().last()
    if chosen is None:
        raise Problem(
            404,
            _("%(reference)s has no such specification; it has: %(codes)s.")
            % {
                "reference": root.reference,
                "codes": ", ".join(found.order_by("code").values_list("code", flat=True)) or _("none"),
            },
            "specification",
        )
    return chosen


class Evaluate(SumView):
    """What a scheme amounts to."""

    def post(self, request: Request) -> Response:
        if not isinstance(request.data, dict):
            raise Problem(400, _("%(value)s is no scheme.") % {"value": shown(request.data)})
        scheme, notes = read_scheme(request.data)
        return self.answered(evaluate_answer(scheme), notes)


class Sound(SumView):
    """What sounds for stops drawn and keys held."""

    def post(self, request: Request) -> Response:
        known = {"scheme": dict, "record": str, "stops": list, "keys": list}
        body = read_fields(request.data, known, ("stops", "keys"))
        scheme, notes = self.find_scheme(body)
        stops = [
            read_text(one, f"stops[{n}]") for n, one in enumerate(read_list(body["stops"], "stops", 2000))
        ]
        held = []
        for n, one in enumerate(read_list(body["keys"], "keys", 1000)):
            place = f"keys[{n}]"
            key = read_object(one, place, ("keyboard", "key"), notes)
            keyboard = read_text(required(key, "keyboard", place), f"{place}.keyboard")
            held.append((keyboard, read_number(required(key, "key", place), f"{place}.key", 1, 256)))
        return self.answered(sound_answer(scheme, list(dict.fromkeys(stops)), held), notes)


class Trace(SumView):
    """Which failures trials are consistent with, and which trial to make next."""

    def post(self, request: Request) -> Response:
        known = {"scheme": dict, "record": str, "trials": list, "odds": dict}
        body = read_fields(request.data, known, ("trials",))
        scheme, notes = self.find_scheme(body)
        trials, more = read_trials(body["trials"], scheme)
        odds = read_odds(json.dumps({"odds": body["odds"]})) if "odds" in body else None
        diagnosis = explain(scheme, trials, odds)
        answer = trace_answer(trials, diagnosis, next_trial(scheme, trials, diagnosis))
        return self.answered(answer, notes + more)


class ReadStoplist(SumView):
    """What of a typed stoplist is understood, and what is asked."""

    def post(self, request: Request) -> Response:
        body = read_fields(request.data, {"text": str, "language": str}, ("text",))
        language = body.get("language")
        if language is not None and language not in LANGUAGES:
            raise Problem(
                400, _("A language is one of: %(all)s.") % {"all": ", ".join(LANGUAGES)}, "language"
            )
        return Response(read_stoplist(body["text"], language).as_json())


class RecordScheme(SumView):
    """The scheme of a record as an exchange file."""

    query_fields = ("specification",)
    plural = "instruments"

    def get(self, request: Request, reference: str) -> Response:
        root = self.find(self.plural, reference)
        code = request.query_params.get("specification", "")
        written, scheme = scheme_of_specification(find_specification(root, code))
        response = Response(self.told(written, scheme))
        response["ETag"] = etag_of(root.kind_name(), root.reference, root.version)
        return response

    def told(self, written: dict[str, Any], scheme: Scheme) -> Any:
        """What is told of the scheme."""
        return written


class RecordEvaluation(RecordScheme):
    """What the scheme of a record amounts to."""

    def told(self, written: dict[str, Any], scheme: Scheme) -> Any:
        return evaluate_answer(scheme)
