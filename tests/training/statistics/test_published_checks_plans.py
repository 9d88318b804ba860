"""Each published value of proportions, plans and consistency, within its tolerance."""

import pytest

from tests.training.statistics.published_check import Check
from tests.training.statistics.published_checks_plans import CHECKS


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_instrument_agrees_with_the_published_value(check: Check) -> None:
    assert check.ours() == pytest.approx(check.published, abs=check.tolerance, rel=0)


def test_every_check_names_its_source_and_stands_once() -> None:
    assert all(check.source for check in CHECKS)
    assert len({check.id for check in CHECKS}) == len(CHECKS)
