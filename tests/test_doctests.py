"""The examples in docstrings, run where the packages are installed.

pytest's own doctest option would collect the checkout's files; this asks the installed modules.
"""

import doctest
import importlib
import pkgutil

import pytest

import ruleset
import validator

PACKAGES = (ruleset, validator)
MODULES = sorted(
    found.name
    for package in PACKAGES
    for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
)


def test_modules_are_found() -> None:
    assert {"ruleset.reader", "ruleset.formula.tree", "validator.statics"} <= set(MODULES)


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings(name: str) -> None:
    outcome = doctest.testmod(importlib.import_module(name))
    assert outcome.failed == 0
