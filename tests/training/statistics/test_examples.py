"""The examples in the docstrings print what they say; every public function has one home."""

import doctest
import importlib
import pkgutil

import pytest

import training.statistics

MODULES = sorted(module.name for module in pkgutil.iter_modules(training.statistics.__path__))


@pytest.mark.parametrize("name", MODULES)
def test_examples_print_what_they_say(name: str) -> None:
    module = importlib.import_module(f"training.statistics.{name}")

    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize("name", MODULES)
def test_module_opens_with_one_sentence(name: str) -> None:
    opening = importlib.import_module(f"training.statistics.{name}").__doc__ or ""

    assert opening.split("\n\n")[0].strip().endswith(".")
