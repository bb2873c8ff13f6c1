"""The demonstration: the invented collection loaded, published, and served on this machine only."""

from __future__ import annotations

import json
import secrets
import shutil
import threading
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from socketserver import ThreadingMixIn
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

from django.conf import settings
from django.core.management import call_command
from django.core.wsgi import get_wsgi_application
from django.utils.translation import gettext as _

from inventory.actions.loading import remember_loaded
from inventory.models import Instrument, User
from inventory.models.users import Role

FIXTURES = ("vocabularies", "demo")
KEEPER = "keeper"
LOOPBACK = "127.0.0.1"


class DemoRefused(Exception):
    """The demo would mix with somebody's own records."""


def demo_references() -> set[str]:
    """References of the demo's instruments."""
    document = json.loads((settings.BASE_DIR / "fixtures" / "demo.json").read_text(encoding="utf-8"))
    return {row["fields"]["reference"] for row in document if row["model"] == "inventory.instrument"}


def load_demo() -> bool:
    """Load the demo into an empty database; False if it is there already (and then left as it is)."""
    present = set(Instrument.objects.values_list("reference", flat=True))
    strangers = present - demo_references()
    if strangers:
        raise DemoRefused(
            _(
                "The database holds %(count)d records that are not the demo's (such as %(one)s). The demo is for an "
                "empty database: set UPPERBOARD_DATA to a new folder and run it again."
            )
            % {"count": len(strangers), "one": min(strangers)}
        )
    copy_pictures()
    if present:
        return False
    call_command("loaddata", *FIXTURES, verbosity=0)
    return True


def copy_pictures() -> int:
    """Put the demo's pictures into the media folder; returns how many were new."""
    source = settings.BASE_DIR / "fixtures" / "pictures"
    target = Path(settings.MEDIA_ROOT) / "photographs"
    target.mkdir(parents=True, exist_ok=True)
    new = 0
    for picture in sorted(source.glob("*.jpg")):
        if not (target / picture.name).exists():
            shutil.copyfile(picture, target / picture.name)
            new += 1
    return new


def make_keeper() -> str:
    """A keeper of the demo with a new password, which is returned and stored nowhere in clear."""
    password = secrets.token_urlsafe(12)
    keeper, _made = User.objects.get_or_create(
        username=KEEPER, defaults={"role": Role.KEEPER, "is_staff": True}
    )
    keeper.role, keeper.is_staff, keeper.is_active = Role.KEEPER, True, True
    keeper.set_password(password)
    keeper.save()
    remember_loaded(by=keeper, why="the demo collection")
    return password


@dataclass(frozen=True)
class Served:
    """Two servers on this machine's loopback address."""

    workroom: WSGIServer
    catalogue: ThreadingHTTPServer

    @property
    def addresses(self) -> tuple[str, str]:
        """Of the workroom and of the catalogue."""
        return (
            f"http://{LOOPBACK}:{self.workroom.server_port}/",
            f"http://{LOOPBACK}:{self.catalogue.server_port}/",
        )

    def run(self) -> None:
        """Serve both until the workroom's server is stopped."""
        thread = threading.Thread(target=self.catalogue.serve_forever, daemon=True)
        thread.start()
        try:
            self.workroom.serve_forever()
        finally:
            self.catalogue.shutdown()
            self.catalogue.server_close()
            self.workroom.server_close()


class _QuietRequests(WSGIRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """The terminal is for the addresses and the password."""


class _QuietFiles(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """As above."""


class _ThreadedWorkroom(ThreadingMixIn, WSGIServer):
    daemon_threads = True


def open_servers(site: Path, port: int) -> Served:
    """Both servers, listening; where a port is taken the next free one is used."""
    workroom = _first_free(
        port,
        lambda at: make_server(
            LOOPBACK, at, get_wsgi_application(), server_class=_ThreadedWorkroom, handler_class=_QuietRequests
        ),
    )
    files = partial(_QuietFiles, directory=str(site))
    catalogue = _first_free(workroom.server_port + 1, lambda at: ThreadingHTTPServer((LOOPBACK, at), files))
    return Served(workroom, catalogue)


def _first_free(port: int, make: Callable[[int], Any]) -> Any:
    for candidate in range(port, port + 50):
        try:
            return make(candidate)
        except OSError:
            continue
    raise DemoRefused(
        _("No port from %(first)d to %(last)d is free; name another one with --port.")
        % {"first": port, "last": port + 49}
    )
