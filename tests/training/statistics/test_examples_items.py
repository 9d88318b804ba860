"""The examples in the docstrings of difficulty, limit, detection and agreement run as printed."""

import doctest
from types import ModuleType

import pytest

from training.statistics import (
    analytic_method,
    attribute_study,
    chance_agreement,
    classical_analysis,
    counts,
    detection,
    item_difficulty,
    item_flags,
    operator_limit,
    probit,
    rasch,
    wording,
    zone_method,
)

MODULES = [
    analytic_method,
    attribute_study,
    chance_agreement,
    classical_analysis,
    counts,
    detection,
    item_difficulty,
    item_flags,
    operator_limit,
    probit,
    rasch,
    wording,
    zone_method,
]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rsplit(".")[-1])
def test_examples_print_what_they_say(module: ModuleType) -> None:
    outcome = doctest.testmod(module)

    assert outcome.attempted > 0
    assert outcome.failed == 0
