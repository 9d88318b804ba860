"""Accuracy and consistency of plans: closed forms, simulation, joint sides, and refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import beta as beta_of
from scipy.stats import betabinom, binom

from training.statistics.beta_law import BetaLaw, fit_error_rates
from training.statistics.checks import IntArray
from training.statistics.consistency import (
    DecisionConsistency,
    decision_consistency,
    group_consistency,
    joint_consistency,
    sequential_consistency,
)
from training.statistics.group_plan import design_group_plan
from training.statistics.sequential_plan import design_sequential, operating_characteristic

LAW = BetaLaw(1.2, 26)
PLANS = [(65, 3), (38, 4), (20, 0), (40, 30)]


def sat(operators: int, n: int, seed: int, law: BetaLaw = LAW) -> IntArray:
    """Errors of operators drawn from a law."""
    rng = np.random.default_rng([5, seed])
    return rng.binomial(n, rng.beta(law.alpha, law.beta, operators))


def figures(result: DecisionConsistency) -> tuple[float, ...]:
    values = (result.accuracy, result.consistency, result.chance, result.passing, result.able)
    assert all(value is not None for value in values)
    return tuple(float(value) for value in values if value is not None)


@pytest.mark.parametrize(("n", "c"), PLANS)
def test_share_passing_is_the_beta_binomial(n: int, c: int) -> None:
    result = decision_consistency(sat(60, n, seed=1), n, c)
    assert result.law is not None

    expected = betabinom.cdf(c, n, result.law.alpha, result.law.beta)
    assert result.passing == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(("n", "c"), PLANS)
def test_integrals_agree_with_adaptive_quadrature(n: int, c: int) -> None:
    result = decision_consistency(sat(60, n, seed=2), n, c)
    assert result.law is not None
    assert result.cut is not None
    law, cut = result.law, result.cut

    def mean(function: object, start: float, end: float) -> float:
        assert callable(function)
        value, _ = quad(
            lambda q: function(binom.cdf(c, n, q)) * beta_of.pdf(q, law.alpha, law.beta),
            start,
            end,
            epsabs=1e-10,
            limit=200,
        )
        return float(value)

    alike = mean(lambda a: a * a + (1 - a) ** 2, 0, cut) + mean(
        lambda a: a * a + (1 - a) ** 2, cut, 1
    )
    right = mean(lambda a: a, 0, cut) + mean(lambda a: 1 - a, cut, 1)
    assert result.consistency == pytest.approx(alike, abs=1e-6)
    assert result.accuracy == pytest.approx(right, abs=1e-6)
    assert result.able == pytest.approx(beta_of.cdf(cut, law.alpha, law.beta), abs=1e-9)


@pytest.mark.parametrize(
    ("n", "c", "middle"), [(65, 3, math.sqrt(0.02 * 0.10)), (38, 4, math.sqrt(0.05 * 0.20))]
)
def test_cut_of_a_designed_plan_lies_between_its_rates(n: int, c: int, middle: float) -> None:
    result = decision_consistency(sat(40, n, seed=3), n, c)

    assert result.cut == pytest.approx(middle, rel=0.05)


@pytest.mark.parametrize(("n", "c"), [(65, 3), (38, 4)])
@pytest.mark.parametrize("cut", [0.045, 0.10])
def test_a_second_sitting_of_300_operators_agrees_as_often_as_estimated(
    n: int, c: int, cut: float
) -> None:
    """Estimates over 20 plants of 300 operators against what their law really gives."""
    truth = decision_consistency(sat(200_000, n, seed=4), n, c, cut=cut)
    estimates = [decision_consistency(sat(300, n, seed=10 + i), n, c, cut=cut) for i in range(20)]
    for name, bias, spread in (("accuracy", 0.006, 0.02), ("consistency", 0.006, 0.02)):
        true = getattr(truth, name)
        errors = np.array([getattr(e, name) for e in estimates]) - true

        assert abs(errors.mean()) < bias
        assert np.sqrt((errors**2).mean()) < spread


def test_the_fitted_law_predicts_retest_agreement() -> None:
    """40,000 operators sit the plan twice; bound 4 standard errors."""
    rng = np.random.default_rng([5, 99])
    rates = rng.beta(LAW.alpha, LAW.beta, 40_000)
    first, second = rng.binomial(65, rates), rng.binomial(65, rates)
    result = decision_consistency(first, 65, 3, cut=0.045)

    alike = ((first <= 3) == (second <= 3)).mean()
    right = ((first <= 3) == (rates <= 0.045)).mean()
    assert result.consistency == pytest.approx(alike, abs=4 * 0.5 / 200)
    assert result.accuracy == pytest.approx(right, abs=4 * 0.5 / 200)


@settings(max_examples=30)
@given(
    errors=st.lists(st.integers(0, 65), min_size=30, max_size=60),
    c=st.integers(0, 20),
    cut=st.floats(0.01, 0.5),
)
def test_figures_are_probabilities_in_order(errors: list[int], c: int, cut: float) -> None:
    result = decision_consistency(errors, 65, c, cut=cut)
    accuracy, consistency, chance, passing, able = figures(result)

    assert 0 <= accuracy <= 1 + 1e-9
    assert 0 <= passing <= 1 + 1e-9
    assert 0 <= able <= 1
    assert 0.5 - 1e-9 <= chance <= consistency + 1e-9
    assert consistency <= 1 + 1e-9
    assert result.kappa is None or -1e-9 <= result.kappa <= 1 + 1e-9


@settings(max_examples=15)
@given(errors=st.lists(st.integers(0, 20), min_size=30, max_size=40))
def test_order_of_operators_does_not_matter(errors: list[int]) -> None:
    ahead, back = (decision_consistency(order, 20, 2) for order in (errors, sorted(errors)))

    assert figures(back) == pytest.approx(figures(ahead), abs=1e-4)


@pytest.mark.parametrize("errors", [[0] * 40, [65] * 40])
def test_operators_all_alike_still_give_numbers(errors: list[int]) -> None:
    result = decision_consistency(errors, 65, 3)

    assert all(math.isfinite(value) for value in figures(result))
    assert result.consistency is not None
    assert result.consistency > 0.95


def test_below_30_operators_the_reason_is_given() -> None:
    result = decision_consistency([0] * 29, 65, 3)

    assert result.accuracy is result.consistency is result.kappa is None
    assert result.law is None
    assert result.reason == "29 operators sat this plan; at least 30 are needed."


@pytest.mark.parametrize("operators", [30, 100])
def test_law_is_recovered(operators: int) -> None:
    fits = [fit_error_rates(sat(operators, 65, seed=i), np.full(operators, 65)) for i in range(20)]

    assert np.mean([fit.mean for fit in fits]) == pytest.approx(LAW.mean, abs=0.006)


def test_sequential_plan_uses_its_own_characteristic() -> None:
    """4,000 operators judge until decided; their second side agrees as estimated."""
    table = design_sequential(0.05, 0.20, 0.05, 0.10)
    rng = np.random.default_rng([5, 7])
    rates = rng.beta(1.5, 14, 4_000)

    def judge(rate: float) -> tuple[int, int]:
        wrong = (rng.random(table.cap) < rate).cumsum()
        accept, reject = np.array(table.accept[1:]), np.array(table.reject[1:])
        n = int(np.argmax((wrong <= accept) | (wrong >= reject))) + 1
        return int(wrong[n - 1]), n

    first = [judge(rate) for rate in rates]
    passes = np.array([operating_characteristic(table, p).p_accept for p in rates[:400]])
    errors, judged = zip(*first, strict=True)
    result = sequential_consistency(errors, judged, table, cut=0.10)

    # Second and third decimal move with the 400 rates sampled here.
    assert result.consistency == pytest.approx(
        float((passes**2 + (1 - passes) ** 2).mean()), abs=0.05
    )
    assert result.passing == pytest.approx(
        np.mean([e <= table.accept[n] for e, n in first]), abs=0.03
    )


def test_group_plan_joins_misses_and_false_rejects() -> None:
    plan = design_group_plan(5)
    misses = sat(60, plan.bad, seed=21)
    strict = sat(60, plan.good, seed=22)
    result = group_consistency(misses, strict, plan, cut=0.10)
    one_side = decision_consistency(misses, plan.bad, plan.misses_allowed, cut=0.10)
    other = decision_consistency(strict, plan.good, plan.false_rejects_allowed)

    assert figures(result.group) == pytest.approx(figures(joint_consistency(one_side, other)))
    for tighter, looser in (
        (result.all_families, result.one_family),
        (result.one_family, result.group),
    ):
        assert tighter.passing is not None
        assert looser.passing is not None
        assert tighter.passing < looser.passing


def test_joint_figures_are_those_of_independent_sides() -> None:
    """Operators with both rates drawn: bound 4 standard errors of 200,000."""
    sides = [
        decision_consistency(sat(50, n, seed=i), n, c, cut=cut)
        for i, n, c, cut in ((31, 65, 3, 0.045), (32, 38, 4, 0.10))
    ]
    rng = np.random.default_rng([5, 33])
    passes, able = np.ones(200_000), np.ones(200_000, dtype=bool)
    for side, (n, c) in zip(sides, ((65, 3), (38, 4)), strict=True):
        assert side.law is not None
        assert side.cut is not None
        rates = rng.beta(side.law.alpha, side.law.beta, 200_000)
        passes *= binom.cdf(c, n, rates)
        able &= rates <= side.cut
    joint = joint_consistency(*sides)

    assert joint.consistency == pytest.approx((passes**2 + (1 - passes) ** 2).mean(), abs=0.003)
    assert joint.accuracy == pytest.approx(np.where(able, passes, 1 - passes).mean(), abs=0.003)
    assert joint.able == pytest.approx(able.mean(), abs=0.004)


def test_a_side_without_figures_leaves_the_joint_without() -> None:
    full, few = decision_consistency([0] * 30, 65, 3), decision_consistency([0], 65, 3)

    assert joint_consistency(full, few).reason == few.reason
    with pytest.raises(ValueError, match=r"^No side was given"):
        joint_consistency()


@pytest.mark.parametrize(
    ("errors", "n", "c", "message"),
    [
        ([0, 66], 65, 3, r"^errors must hold whole numbers from 0 to 65"),
        ([0, -1], 65, 3, r"^errors must hold whole numbers"),
        ([0, 0.5], 65, 3, r"^errors must hold whole numbers"),
        ([0, math.nan], 65, 3, r"^errors holds NaN"),
        ([[0, 1]], 65, 3, r"^errors has 2 dimension"),
        ([0], 0, 0, r"^n is 0"),
        ([0], 65, 65, r"^c is 65"),
    ],
)
def test_bad_counts_are_refused(errors: list[float], n: int, c: int, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        decision_consistency(errors, n, c)


def test_bad_cut_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^cut is 0, not strictly"):
        decision_consistency([0] * 30, 65, 3, cut=0)


def test_bad_sequential_counts_are_refused() -> None:
    table = design_sequential(0.05, 0.20, 0.05, 0.10)
    with pytest.raises(ValueError, match=r"^errors exceeds judged"):
        sequential_consistency([5], [4], table)
    with pytest.raises(ValueError, match=r"^judged must hold whole numbers from 1"):
        sequential_consistency([0], [0], table)
    with pytest.raises(ValueError, match=r"^errors holds 1 values; give 2"):
        sequential_consistency([0], [9, 9], table)
