"""Killing a writer at any moment: children are forked, killed, and what stands at the target is judged.

The judge shares nothing with the writer: a site is whole if it has exactly the files of one generation.
"""

import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path

Writer = Callable[[int, Path], None]


def pages(generation: int, count: int) -> list[tuple[str, bytes]]:
    """A site of one generation: half its pages change with it, and one page has its name."""
    made = [
        (f"page/{n % 7}/{n}.html", f"{n} of {n * 7 if n % 2 else generation}. ".encode() * 40)
        for n in range(count)
    ]
    return [*made, (f"generation-{generation}.html", str(generation).encode())]


def standing_generation(target: Path, count: int) -> int | None:
    """The generation that stands whole at the target; 0 if there is no target; None if it is broken."""
    if not target.exists():
        return 0
    found = {
        path.relative_to(target).as_posix(): path.read_bytes()
        for path in target.rglob("*")
        if path.is_file() and not path.name.startswith(".")
    }
    for name in found:
        if name.startswith("generation-"):
            generation = int(name.removeprefix("generation-").removesuffix(".html"))
            return generation if found == dict(pages(generation, count)) else None
    return None


def run_child(work: Callable[[], None], kill_after: float | None = None) -> bool:
    """Run work in a forked child, killed after some seconds if it still runs; whether it ended by itself."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            work()
            status = 0
        finally:
            os._exit(status)
    if kill_after is not None:
        time.sleep(kill_after)
        os.kill(child, signal.SIGKILL)
    _pid, status = os.waitpid(child, 0)
    if os.WIFEXITED(status) and os.WEXITSTATUS(status) != 0:
        raise AssertionError("the child failed by itself")
    return os.WIFEXITED(status)


def kill_at_random_moments(
    write: Writer, target: Path, count: int, times: int, seed: int
) -> list[int | None]:
    """Kill writers of rising generations at moments spread over a whole run; what stood afterwards, each time."""
    draw = random.Random(seed)
    write(1, target)
    started = time.perf_counter()
    write(2, target)
    usual = time.perf_counter() - started
    standing: list[int | None] = []
    generation = 2
    for turn in range(times):
        generation += 1
        moment = (turn + draw.random()) / times * usual * 1.1
        run_child(lambda wanted=generation: write(wanted, target), kill_after=moment)
        stands = standing_generation(target, count)
        standing.append(None if stands not in (generation, generation - 1) else stands)
        if stands != generation:
            write(generation, target)
            assert standing_generation(target, count) == generation
    return standing


# What of a module touches the disk, and so is a moment to be killed or to fail at.
TOUCHING = {
    "os": ["open", "write", "fsync", "mkdir", "chmod", "fchmod", "rename", "link", "unlink", "rmdir"],
}


class CountedCalls:
    """Wraps every call that touches the disk and acts before the k-th."""

    def __init__(self, monkeypatch, act: Callable[[str], None], at: int, swapping) -> None:
        self.calls = 0
        self.at = at
        for name in TOUCHING["os"]:
            monkeypatch.setattr(os, name, self.counted(name, getattr(os, name), act))
        monkeypatch.setattr(swapping, "exchange", self.counted("exchange", swapping.exchange, act))

    def counted(self, name: str, call: Callable, act: Callable[[str], None]) -> Callable:
        def wrapped(*args, **kwargs):
            self.calls += 1
            if self.calls == self.at:
                act(name)
            return call(*args, **kwargs)

        return wrapped
