"""Lists, search and pages of records at many instruments, as ratios to a bare view in the same run.

    UPPERBOARD_DATA=FOLDER [DATABASE_URL=postgres://…] python -m tests.benchmarks.measure_pages 100000

makes 2,000 different instruments (or as many as a second number says) with `make_collection` and the
search index, lets the database copy the instruments and their entries of the index until there are enough
(stops, ranks and segments stay those of the first ones), measures, and prints one document of JSON.
Building is not timed, except the index.
A ratio is bare seconds / page seconds, each the median of several, the bare view before and after each page:
once by the clock, and once in this process alone (`own_`), which other work on the machine disturbs less, and
which leaves out what a database server of its own does.
"""

from __future__ import annotations

import json
import os
import statistics
import sys
import time
from collections.abc import Callable
from functools import partial
from itertools import cycle
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.settings")
os.environ.setdefault("API_RATE_SIGNED_IN", "999999/minute")

DIFFERENT = 2_000


def copy_table(model: Any, times: int, given: dict[str, str]) -> None:
    """Copy every row of a table `times` times; `given` says what of a copy is written otherwise."""
    from django.db import connection, transaction

    columns = [field.column for field in model._meta.concrete_fields if not field.primary_key]
    table = model._meta.db_table
    names = ", ".join(f'"{column}"' for column in columns)
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"SELECT MAX(id) FROM {table}")
        last = cursor.fetchone()[0]
        for copy in range(1, times + 1):
            said = ", ".join(
                given.get(column, f'"{column}"').replace("COPY", str(copy)) for column in columns
            )
            cursor.execute(f"INSERT INTO {table} ({names}) SELECT {said} FROM {table} WHERE id <= {last}")


def build(instruments: int, different: int) -> dict[str, float]:
    """The database of this many instruments, unless it is there already; seconds the index took."""
    from django.core.management import call_command
    from django.db import connection

    from inventory.actions.searching import rebuild_index
    from inventory.models import Instrument, SearchEntry

    call_command("migrate", verbosity=0)
    told: dict[str, float] = {}
    if not Instrument.objects.exists():
        words = ["make_collection", "--instruments", str(different), "--seed", "1", "--without-search"]
        call_command(*words, stdout=sys.stderr)
        begin = time.perf_counter()
        rebuild_index()
        told["rebuild_index_seconds_per_1000"] = round((time.perf_counter() - begin) / different * 1000, 2)
    if (times := instruments // Instrument.objects.count() - 1) > 0:
        copy_table(Instrument, times, {"reference": "reference || '-copyCOPY'", "name": "name || ' COPY'"})
        copy_table(
            SearchEntry, times, {"reference": "reference || '-copyCOPY'", "words": "words || ' copyCOPY'"}
        )
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    return told


def seconds_of(ask: Callable[[], Any], least: int, room: float) -> tuple[float, float]:
    """Median seconds of one call by the clock and of this process; the first, which fills caches, is not counted."""
    ask()
    taken: list[float] = []
    worked: list[float] = []
    until = time.perf_counter() + room
    while len(taken) < least or time.perf_counter() < until:
        begin, work = time.perf_counter(), time.process_time()
        ask()
        taken.append(time.perf_counter() - begin)
        worked.append(time.process_time() - work)
        if len(taken) >= 400:
            break
    return statistics.median(taken), statistics.median(worked)


def signed_in_client() -> Any:
    """A curator's browser."""
    from django.test import Client

    from inventory.models import User

    user = User.objects.filter(username="measured").first() or User.objects.create_user(
        username="measured", password="not used here", role="curator"
    )
    client = Client()
    client.force_login(user)
    return client


def pages_of() -> dict[str, str]:
    """Addresses of the pages that are measured, by what they are."""
    from inventory.models import Instrument

    every = Instrument.objects.order_by("reference")
    middle = every.values_list("name", "reference")[every.count() // 2]
    some = Instrument.objects.filter(specifications__is_current=True).order_by("pk")[7]
    word = some.name.split()[0]
    return {
        "bare": "/bare/",
        "record": f"/instruments/{some.reference}/",
        "list": "/instruments/",
        "list by name": "/instruments/?sort=name",
        "list, half way": f"/instruments/?sort=name&after={middle[0]}|{middle[1]}",
        "list by place": "/instruments/?sort=place",
        "list of a state": "/instruments/?state=released",
        "list with words": f"/instruments/?q={word}",
        "list with a common word": "/instruments/?q=organ",
        "list with a pattern": "/instruments/?pattern=octave extension",
        "search": f"/?q={word}",
        "search of one": f"/?q={some.reference}",
        "search, a common word": "/?q=organ",
        "search, a stop": "/?q=bourdon 16",
        "search, two letters": "/?q=or",
        "search with a slip": "/?q=bourdn",
        "search of nothing": "/?q=qqqxyzw",
        "home": "/",
        "list for programs": "/api/v1/instruments",
        "list for programs, a pattern": "/api/v1/instruments?pattern=duplex",
    }


def measure(instruments: int, different: int = DIFFERENT) -> dict[str, Any]:
    """Ratios of every page to the bare view."""
    import django
    from django.conf import settings

    settings.ROOT_URLCONF = "tests.benchmarks.bare_urls"
    settings.ALLOWED_HOSTS = ["*"]
    django.setup()
    told: dict[str, Any] = dict(build(instruments, different))
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from inventory.curating.record_pages import forget_pages
    from inventory.models import Instrument

    client = signed_in_client()
    first = Instrument.objects.filter(specifications__is_current=True).order_by("pk")
    addresses = cycle([f"/instruments/{one}/" for one in first.values_list("reference", flat=True)[:500]])

    def open_another() -> Any:
        forget_pages()
        return client.get(next(addresses))

    asked: dict[str, Callable[[], Any]] = {"record, not opened before": open_another}
    asked |= {name: partial(client.get, path) for name, path in pages_of().items()}
    pages: dict[str, dict[str, float]] = {}
    before = seconds_of(partial(client.get, "/bare/"), 60, 0.3)
    for name, ask in asked.items():
        ask()
        with CaptureQueriesContext(connection) as captured:
            answer = ask()
        assert answer.status_code == 200, (name, answer.status_code)
        queries = len(captured)
        clock, work = seconds_of(ask, 5, 0.6)
        after = seconds_of(partial(client.get, "/bare/"), 60, 0.3)
        pages[name] = {
            "ms": round(clock * 1000, 1),
            "ratio": round((before[0] + after[0]) / 2 / clock, 3),
            "own_ms": round(work * 1000, 1),
            "own_ratio": round((before[1] + after[1]) / 2 / work, 3),
            "queries": queries,
        }
        before = after
    return {
        "engine": connection.vendor,
        "instruments": Instrument.objects.count(),
        "load": round(os.getloadavg()[0], 1),
        **told,
        "bare_ms": [round(one * 1000, 2) for one in before],
        "pages": pages,
    }


if __name__ == "__main__":
    print(json.dumps(measure(*map(int, sys.argv[1:])), indent=1))
