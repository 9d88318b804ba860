"""Risks of worked plans: the figures of the project's own study of group plans, exact binomial."""

import pytest

from training.quizzes.full_bank import shown_sizes, with_full_bank
from training.quizzes.plan_rules import read_rules
from training.quizzes.risks import Scope, family_curve, minutes, passing_curve, risks_of
from training.quizzes.worked_plan import Form

GROUP = read_rules("group", {})
SHORT = read_rules("short_bank", {})


def chances(form: str, families: int, critical: int = 0) -> dict[Scope, float]:
    plan = with_full_bank(read_rules(form, {}), families, critical=critical)
    return {risk.scope: risk.probability for risk in risks_of(plan)}


@pytest.mark.parametrize(
    ("families", "fails", "passes", "blind"),
    [(4, 0.048, 0.076, 0.011), (5, 0.048, 0.076, 0.035), (6, 0.032, 0.062, 0.035)],
)
def test_the_group_plan_separates_five_from_twenty_per_cent(
    families: int, fails: float, passes: float, blind: float
) -> None:
    # "blind in one family (misses 50 % there, 1 % elsewhere)": .011 for four families, .035 for five
    found = chances("group", families)
    assert found[Scope.GROUP_FAILS] == pytest.approx(fails, abs=5e-4)
    assert found[Scope.GROUP_PASSES] == pytest.approx(passes, abs=5e-4)
    assert found[Scope.FAMILY_PASSES] == pytest.approx(blind, abs=5e-4)


def test_false_rejects_of_one_in_five_pass_with_twelve_in_a_hundred() -> None:
    assert chances("group", 5)[Scope.REFUSING_PASSES] == pytest.approx(0.123, abs=5e-4)


def test_the_critical_block_stops_one_in_ten() -> None:
    # 29 clear ones: a 10 % misser passes with .047, twice .092; .5 % lapses pass with .865
    plan = with_full_bank(GROUP, 5, critical=2)
    found = {risk.scope: risk for risk in risks_of(plan)}
    assert found[Scope.BLOCK_PASSES].probability == pytest.approx(0.047, abs=5e-4)
    assert found[Scope.BLOCK_PASSES].twice == pytest.approx(0.092, abs=5e-4)
    assert found[Scope.BLOCK_FAILS].probability == pytest.approx(1 - 0.865, abs=5e-4)
    assert Scope.BLOCK_PASSES not in chances("group", 5)


def test_the_short_plan_separates_two_from_twenty_nine_per_cent() -> None:
    found = chances("short_bank", 1)
    assert found[Scope.ALONE_FAILS] == pytest.approx(0.023, abs=5e-4)
    assert found[Scope.ALONE_PASSES] == pytest.approx(0.097, abs=5e-4)


def test_practice_carries_no_risk() -> None:
    assert risks_of(with_full_bank(read_rules("practice", {}), 1)) == []


def test_curves_fall_and_meet_their_risks() -> None:
    plan = with_full_bank(GROUP, 5)
    group = plan.group_plan()
    assert group is not None
    rates = [place / 100 for place in range(61)]
    whole = passing_curve(plan, rates, "group")
    alone = family_curve(group, rates, "alone")
    for curve in (whole, alone):
        assert list(curve.y) == sorted(curve.y, reverse=True)
        assert curve.y[0] == pytest.approx(1, abs=5e-3)
    assert whole.y[20] == pytest.approx(0.076, abs=5e-4)
    assert alone.y[50] == pytest.approx(0.035, abs=5e-4)


def test_a_plan_that_decides_each_family_passes_with_its_worst() -> None:
    plan = with_full_bank(SHORT, 1)
    assert passing_curve(plan, [0.29], "each").y[0] == pytest.approx(0.097, abs=5e-4)


def test_a_usual_sitting_takes_a_quarter_of_an_hour() -> None:
    assert minutes(with_full_bank(GROUP, 5)) == 15
    assert shown_sizes(Form.GROUP) == (4, 5, 6, 7)
