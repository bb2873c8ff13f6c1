"""Exports of a small collection, killed at random moments: run as a program, because it forks again and again.

Python starts once; every export runs in a forked child, and the parent never opens the database. Prints what
happened as JSON; a judgement that fails ends with an error.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path


def forked(work: Callable[[], None], kill_when: Callable[[], bool] | None = None, after: float = 0.0) -> bool:
    """Run work in a child; whether it came to its end. Killed `after` seconds from the moment something is so."""
    child = os.fork()
    if child == 0:
        try:
            work()
        except BaseException as error:
            print(repr(error), file=sys.stderr, flush=True)
            os._exit(1)
        os._exit(0)
    if kill_when is not None:
        while not kill_when() and os.waitid(os.P_PID, child, os.WEXITED | os.WNOHANG | os.WNOWAIT) is None:
            time.sleep(0.001)
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
    _pid, status = os.waitpid(child, 0)
    assert not os.WIFEXITED(status) or os.WEXITSTATUS(status) == 0, "the child failed by itself"
    return os.WIFEXITED(status)


def build() -> None:
    """The collection."""
    from inventory.models import User
    from tests.publishing.catalogue.editing import RandomEditor

    RandomEditor(User.objects.create_user("keeper", password="a long enough word", role="keeper"), seed=1)


def edit(number: int) -> None:
    """Another name for one of the instruments, or another state."""
    from inventory.actions import change_record, release, return_to_draft, submit_for_review
    from inventory.models import Instrument, User

    by = User.objects.get()
    organ = Instrument.objects.order_by("reference")[number % 4]
    if number % 3:
        organ.name = f"Round {number}"
        change_record(organ, version=organ.version, by=by, put=[organ])
    elif organ.state == "released":
        return_to_draft(organ, version=organ.version, by=by, why="once more")
    else:
        organ = submit_for_review(organ, version=organ.version, by=by)
        release(organ, version=organ.version, by=by)


def export(to: Path, name: str) -> None:
    """The export as the command runs it."""
    from django.conf import settings
    from django.core.management import call_command

    settings.COLLECTION_NAME = name
    call_command("publish_catalogue", "--to", str(to), verbosity=0, stdout=open(os.devnull, "w"))


def main(folder: Path, times: int, views: int) -> None:
    """Kill so many exports over one site; every third has all pages changed, the others what one edit changes."""
    from publishing.catalogue import statistics_pages
    from publishing.catalogue.assets import asset_files
    from publishing.catalogue.manifest import verify_site
    from tests.publishing.catalogue.test_same_bytes import bytes_of

    statistics_pages.VIEWS = statistics_pages.VIEWS[:views]
    list(asset_files())  # fonts are cut once, for all children
    site, anew, name = folder / "site", folder / "anew", "First"
    lock, new = folder / ".site.upperboard-lock", folder / ".site.upperboard-new"
    draw = random.Random(times)
    forked(build)
    lasts = {}
    for all_pages in (True, False):
        began = time.monotonic()
        forked(lambda: export(site, name))
        lasts[all_pages] = time.monotonic() - began
        forked(lambda: edit(1))
    old, killed, replaced = bytes_of(site), 0, 0
    for number in range(2, times + 2):
        all_pages = number % 3 == 0
        name = f"Name {number}" if all_pages else name
        forked(lambda number=number: edit(number))
        # The first tenth reads only; later moments are those of writing, of syncing and of the exchange.
        moment = draw.uniform(0, lasts[all_pages])
        ended = forked(lambda name=name: export(site, name), lambda: lock.exists() or new.exists(), moment)
        killed += not ended
        assert verify_site(site) == [], number
        forked(lambda name=name: export(anew, name))
        standing, wanted = bytes_of(site), bytes_of(anew)
        assert standing in (old, wanted), number
        replaced += standing == wanted
        old = standing
    forked(lambda: export(site, name))
    assert bytes_of(site) == bytes_of(anew)
    print(json.dumps({"killed": killed, "replaced": replaced, "beside": sorted(os.listdir(folder))}))


if __name__ == "__main__":
    import django

    django.setup()
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
