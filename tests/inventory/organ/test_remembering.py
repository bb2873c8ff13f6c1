"""Answers are kept for the last few things asked about, known by being the same object."""

from __future__ import annotations

import pickle
from threading import Thread

import pytest

from inventory.organ.answers import LateAnswer, evaluate_answer
from inventory.organ.calls import called_pipes
from inventory.organ.remembering import remember_recent
from inventory.organ.schemes import Scheme, answered_calls, calls_by_rank
from inventory.organ.synthetic import make_scheme


def test_an_equal_thing_is_not_the_same_thing():
    asked = []

    @remember_recent(2)
    def size_of(values: list[int]) -> int:
        asked.append(values)
        return len(values)

    one, other = [1], [1]
    assert (size_of(one), size_of(other), size_of(one)) == (1, 1, 1)
    assert len(asked) == 2


def test_what_raised_is_asked_again():
    answers = iter([ValueError("first"), 2])

    @remember_recent(1)
    def once(_about: object) -> int:
        found = next(answers)
        if isinstance(found, Exception):
            raise found
        return found

    about = object()
    with pytest.raises(ValueError):
        once(about)
    assert once(about) == once(about) == 2


def test_many_threads_asking_about_many_things_get_their_own_answers():
    @remember_recent(3)
    def size_of(values: list[int]) -> int:
        return len(values)

    things = [list(range(n)) for n in range(8)]
    wrong: list[int] = []

    def ask() -> None:
        for _round in range(300):
            wrong.extend(n for n, one in enumerate(things) if size_of(one) != n)

    threads = [Thread(target=ask) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []


def test_nothing_is_kept_but_the_last_few():
    @remember_recent(2)
    def itself(about: list[int]) -> list[int]:
        return about

    for n in range(50):
        itself([n])
    (kept,) = [cell.cell_contents for cell in itself.__closure__ if isinstance(cell.cell_contents, list)]
    assert [answer for _about, answer in kept] == [[48], [49]]


@pytest.mark.parametrize("seed", range(3))
def test_calls_by_rank_are_the_calls_in_order(seed):
    scheme = make_scheme(seed, unified=True)
    found = calls_by_rank(scheme)
    assert list(found) == [rank.id for rank in scheme.ranks]
    assert frozenset(call for calls in found.values() for call in calls) == answered_calls(scheme)
    assert all(list(calls) == sorted(calls) for calls in found.values())
    assert called_pipes(scheme) is called_pipes(scheme)


def test_an_answer_is_worked_out_part_by_part_and_travels_as_its_scheme(monkeypatch):
    scheme = make_scheme(1, unified=True)
    whole = evaluate_answer(scheme)
    late = LateAnswer(scheme)
    assert bool(late) and "_sharing" not in vars(late), "nothing is worked out before it is asked"
    assert late["families"] == whole["families"]
    assert "_findings" not in vars(late) and "_valves" not in vars(late)
    there = pickle.loads(pickle.dumps(late))
    assert "_sharing" not in vars(there)
    assert dict(there) == whole and list(late) == list(whole) and len(late) == len(whole)
    with pytest.raises(KeyError):
        late["no such part"]
    assert bool(LateAnswer(Scheme((), (), (), ())))
