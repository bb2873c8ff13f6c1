"""Every example in the documentation of the sums is run."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

PACKAGES = ("inventory.organ", "inventory.estimates", "publishing.statistics")


def modules() -> list[str]:
    """Every module of the packages whose examples are promised to run."""
    names = []
    for package in map(importlib.import_module, PACKAGES):
        names.append(package.__name__)
        names += [found.name for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")]
    return sorted(names)


@pytest.mark.parametrize("name", modules())
def test_the_examples_of_a_module_hold(name):
    failed, _tried = doctest.testmod(importlib.import_module(name))
    assert failed == 0


@pytest.mark.parametrize("package", PACKAGES)
def test_a_package_has_examples_at_all(package):
    finder = doctest.DocTestFinder()
    own = [name for name in modules() if name.startswith(package)]
    tests = [test for name in own for test in finder.find(importlib.import_module(name))]
    assert sum(len(test.examples) for test in tests) >= 5


def test_control_a_wrong_example_fails():
    wrong = doctest.DocTestParser().get_doctest(">>> 1 + 1\n3\n", {}, "wrong", None, 0)
    assert doctest.DocTestRunner(verbose=False).run(wrong, out=lambda text: None).failed == 1
