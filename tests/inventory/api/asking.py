"""Asks the API as a program would."""

from __future__ import annotations

import json
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from inventory.api.preconditions import etag_of

BASE = "/api/v1"


class Program:
    """A client of the API, signed in or not."""

    def __init__(self, user: Any = None, **headers: str) -> None:
        self.client = Client(raise_request_exception=False)
        self.headers = headers
        if user is not None:
            self.client.force_login(user)

    def ask(self, method: str, path: str, body: Any = None, *, seen: Any = None, raw: bytes | None = None,
            content_type: str = "application/json", **headers: str) -> Any:  # fmt: skip
        """One request; `seen` is the record whose version goes into If-Match, or the header itself."""
        sent = {**self.headers, **headers}
        if seen is not None:
            sent["If-Match"] = seen if isinstance(seen, str) else tag(seen)
        data = raw if raw is not None else b"" if body is None else json.dumps(body).encode()
        return self.client.generic(
            method.upper(),
            path if path.startswith("/") else f"{BASE}/{path}",
            data,
            content_type,
            headers=sent,
        )

    def get(self, path: str, **more: Any) -> Any:
        return self.ask("get", path, **more)

    def post(self, path: str, body: Any = None, **more: Any) -> Any:
        return self.ask("post", path, body, **more)

    def patch(self, path: str, body: Any = None, **more: Any) -> Any:
        return self.ask("patch", path, body, **more)


def tag(root: Any, version: int | None = None) -> str:
    """The ETag of a record."""
    return etag_of(root.kind_name(), root.reference, version or root.version)


def assert_error(answer: Any, status: int, code: str | None = None) -> dict[str, Any]:
    """The one shape of an error."""
    assert answer.status_code == status, answer.content
    said = answer.json()
    assert {"error", "message", "where"} <= set(said)
    assert all(isinstance(said[name], str) for name in ("error", "message", "where"))
    assert said["message"] and "Traceback" not in answer.content.decode()
    if code is not None:
        assert said["error"] == code
    return said


def upload(content: bytes = b"x", name: str = "front.jpg", **words: str) -> dict[str, Any]:
    """What a program sends to bring a picture: a form with a file, as `Program.ask` takes it."""
    file = SimpleUploadedFile(name, content, "image/jpeg")
    said = {"shows": "The front", "credit": "A", "licence": "CC BY 4.0", **words}
    body = encode_multipart(BOUNDARY, {**said, "file": file})
    return {"raw": body, "content_type": MULTIPART_CONTENT}
