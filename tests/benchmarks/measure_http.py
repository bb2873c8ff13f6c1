"""Whole requests over HTTP: two worker processes, eight connections at a time, as ratios to a bare view.

    UPPERBOARD_DATA=FOLDER [DATABASE_URL=postgres://…] python -m tests.benchmarks.measure_http

on a database that `measure_pages` made before. Each worker is the standard library's WSGI server on one
shared socket, a connection for each request, as a server with synchronous workers does it; the client is
one process with eight open connections on the same cores. Prints one document of JSON: requests a second,
the ratio to the bare view, asked before and after each page, the slowest of a hundred.
"""

from __future__ import annotations

import json
import os
import selectors
import signal
import socket
import sys
import time
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.settings")
os.environ.setdefault("API_RATE_SIGNED_IN", "999999/minute")

WORKERS, AT_ONCE, SECONDS = 2, 8, 6.0


def serve(shared: socket.socket) -> None:
    """Answer requests for ever."""
    from wsgiref.simple_server import WSGIRequestHandler, WSGIServer

    from django.core.wsgi import get_wsgi_application

    class Quiet(WSGIRequestHandler):
        def log_message(self, format: str, *args: Any) -> None:
            """Says nothing."""

        def address_string(self) -> str:
            return "127.0.0.1"

    class Shared(WSGIServer):
        def server_bind(self) -> None:
            self.socket.close()
            self.socket = shared
            self.server_name, self.server_port = "localhost", shared.getsockname()[1]
            self.setup_environ()

        def server_activate(self) -> None:
            """The shared socket listens already."""

    server = Shared(("127.0.0.1", 0), Quiet)
    server.set_app(get_wsgi_application())
    server.serve_forever(poll_interval=60)


def ask_many(port: int, path: str, cookie: str, seconds: float) -> tuple[float, float, int]:
    """Requests a second, the slowest of a hundred in ms, and how many were not answered with 200."""
    request = f"GET {path} HTTP/1.0\r\nHost: localhost\r\nCookie: {cookie}\r\n\r\n".encode()
    ready = selectors.DefaultSelector()

    def begin() -> None:
        connection = socket.create_connection(("127.0.0.1", port))
        connection.sendall(request)
        ready.register(connection, selectors.EVENT_READ, [time.perf_counter(), b""])

    for _number in range(AT_ONCE):
        begin()
    taken: list[float] = []
    refused = answered = 0
    start = time.perf_counter()
    end = 0.0
    while ready.get_map():
        for key, _mask in ready.select(timeout=1):
            piece = key.fileobj.recv(262_144)  # type: ignore[union-attr]
            if piece:
                key.data[1] = key.data[1] or piece[:12]
                continue
            taken.append(time.perf_counter() - key.data[0])
            refused += key.data[1][9:12] != b"200"
            ready.unregister(key.fileobj)
            key.fileobj.close()  # type: ignore[union-attr]
            now = time.perf_counter()
            if now < start + seconds or len(taken) < 2 * AT_ONCE:
                begin()
            else:
                # Those on the way are waited for, and not counted: the next page finds nobody busy.
                end = end or now
                answered = answered or len(taken)
    taken = sorted(taken[:answered])
    return answered / (end - start), taken[int(answered * 0.99)] * 1000, refused


def measure(seconds: float = SECONDS) -> dict[str, Any]:
    """Every page in turn, the bare view before and after."""
    import django
    from django.conf import settings

    settings.ROOT_URLCONF = "tests.benchmarks.bare_urls"
    settings.ALLOWED_HOSTS = ["*"]
    django.setup()
    from django.db import connection, connections

    from .measure_pages import pages_of, signed_in_client

    client = signed_in_client()
    cookie = "; ".join(f"{name}={morsel.value}" for name, morsel in client.cookies.items())
    pages = pages_of()
    engine = connection.vendor
    connections.close_all()
    shared = socket.create_server(("127.0.0.1", 0), backlog=128)
    port = shared.getsockname()[1]
    workers = []
    for _number in range(WORKERS):
        if (worker := os.fork()) == 0:
            serve(shared)
            os._exit(0)
        workers.append(worker)
    told: dict[str, Any] = {"engine": engine, "load": round(os.getloadavg()[0], 1), "pages": {}}
    try:
        ask_many(port, "/bare/", cookie, 15.0)  # the workers read the whole program first
        before = ask_many(port, "/bare/", cookie, seconds / 2)[0]
        for name, path in pages.items():
            address = path.replace(" ", "%20").replace("|", "%7C")
            ask_many(port, address, cookie, 0.3)
            rate, slowest, refused = ask_many(port, address, cookie, seconds)
            after = ask_many(port, "/bare/", cookie, seconds / 2)[0]
            told["pages"][name] = {
                "requests_a_second": round(rate, 1),
                "ratio": round(2 * rate / (before + after), 3),
                "bare": [round(before), round(after)],
                "p99_ms": round(slowest, 1),
                "not_200": refused,
            }
            before = after
    finally:
        for worker in workers:
            os.kill(worker, signal.SIGTERM)
            os.waitpid(worker, 0)
    return told


if __name__ == "__main__":
    print(json.dumps(measure(*map(float, sys.argv[1:])), indent=1))
