"""The address of the OpenAPI document."""

from __future__ import annotations

from rest_framework.request import Request
from rest_framework.response import Response

from .base import ApiView
from .openapi import openapi_document


class OpenApi(ApiView):
    """The interface described for programs."""

    def get(self, request: Request) -> Response:
        return Response(openapi_document())
