"""Fixed plans: the design tables, exact risks, curtailment, and refusals."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, hypergeom

from tests.training.statistics.random_designs import random_designs
from training.statistics.sampling_plan import (
    Decision,
    DecisionTable,
    acceptance_probability,
    curtail,
    design_plan,
    most_errors_allowed,
    rate_on_fresh,
    repeated_risk,
)

# Smallest c, then smallest n, with the real risks; exact binomial (own study).
# Columns: (alpha, beta) = (.05, .05), (.05, .10), (.10, .10), (.10, .05).
DESIGN_TABLE = """
.01 .05 181,4,.036,.049 132,3,.044,.099 105,2,.089,.099 153,3,.069,.049
.01 .08 77,2,.042,.049 65,2,.028,.099 48,1,.083,.095 77,2,.042,.049
.01 .10 61,2,.023,.049 52,2,.015,.097 38,1,.056,.095 46,1,.077,.048
.02 .08 129,5,.046,.049 98,4,.047,.100 82,3,.083,.098 112,4,.075,.050
.02 .10 89,4,.033,.050 65,3,.041,.100 52,2,.086,.097 76,3,.066,.047
.02 .12 63,3,.037,.047 54,3,.023,.098 43,2,.055,.097 51,2,.082,.047
.02 .15 40,2,.046,.049 34,2,.030,.098 25,1,.089,.093 40,2,.046,.049
.02 .20 30,2,.022,.044 18,1,.050,.099 18,1,.050,.099 22,1,.071,.048
.03 .10 129,7,.041,.048 104,6,.037,.095 78,4,.085,.099 103,5,.090,.048
.03 .15 59,4,.032,.047 43,3,.040,.096 34,2,.081,.098 50,3,.063,.046
.05 .15 93,8,.043,.050 77,7,.038,.092 60,5,.079,.097 76,6,.086,.050
.05 .20 50,5,.038,.048 38,4,.040,.099 32,3,.074,.093 44,4,.068,.044
.05 .25 34,4,.026,.049 25,3,.034,.096 20,2,.075,.091 29,3,.055,.045
.10 .25 70,11,.044,.044 55,9,.044,.089 40,6,.100,.096 55,8,.094,.045
.10 .30 41,7,.048,.046 33,6,.042,.094 25,4,.098,.090 37,6,.071,.044
"""
RISKS = [(0.05, 0.05), (0.05, 0.10), (0.10, 0.10), (0.10, 0.05)]
DESIGNS = [
    (float(p_ok), float(p_bad), *risks, *(float(value) for value in cell.split(",")))
    for p_ok, p_bad, *cells in (line.split() for line in DESIGN_TABLE.split("\n") if line)
    for risks, cell in zip(RISKS, cells, strict=True)
]


@pytest.mark.parametrize(
    ("p_ok", "p_bad", "alpha", "beta", "n", "c", "real_alpha", "real_beta"), DESIGNS
)
def test_design_table(
    p_ok: float,
    p_bad: float,
    alpha: float,
    beta: float,
    n: float,
    c: float,
    real_alpha: float,
    real_beta: float,
) -> None:
    plan = design_plan(p_ok, p_bad, alpha, beta)

    assert (plan.n, plan.c) == (n, c)
    # The table was rounded to four digits, then to three.
    assert plan.alpha == pytest.approx(real_alpha, abs=5.6e-4)
    assert plan.beta == pytest.approx(real_beta, abs=5.6e-4)


def test_500_random_plans_keep_their_risks_and_none_is_smaller() -> None:
    """Risks checked with scipy's binomial; c - 1 has no plan and n - 1 breaks beta."""
    for p_ok, p_bad, alpha, beta in random_designs(500, seed=65):
        plan = design_plan(p_ok, p_bad, alpha, beta)
        n, c = plan.n, plan.c

        assert plan.alpha == pytest.approx(binom.sf(c, n, p_ok), abs=1e-12)
        assert plan.beta == pytest.approx(binom.cdf(c, n, p_bad), abs=1e-12)
        assert plan.alpha <= alpha
        assert plan.beta <= beta
        assert binom.cdf(c, n - 1, p_bad) > beta
        if c > 0:
            smaller = next(k for k in range(1, n) if binom.cdf(c - 1, k, p_bad) <= beta)
            assert binom.sf(c - 1, smaller, p_ok) > alpha


@given(n=st.integers(1, 300), c=st.integers(0, 320), p=st.floats(0, 1))
def test_acceptance_probability_agrees_with_scipy(n: int, c: int, p: float) -> None:
    assert acceptance_probability(n, c, p) == pytest.approx(binom.cdf(c, n, p), abs=1e-12)


@given(n=st.integers(1, 200), share=st.floats(0, 1), p=st.floats(0, 1))
def test_counting_right_answers_instead_of_errors_gives_the_same(
    n: int, share: float, p: float
) -> None:
    c = int(share * (n - 1))
    at_least_n_minus_c_right = 1 - acceptance_probability(n, n - c - 1, 1 - p)

    assert acceptance_probability(n, c, p) == pytest.approx(at_least_n_minus_c_right, abs=1e-12)


@given(n=st.integers(1, 200), c=st.integers(0, 30), p=st.floats(0, 0.99))
def test_a_higher_error_rate_never_passes_more_often(n: int, c: int, p: float) -> None:
    assert acceptance_probability(n, c, p + 0.01) <= acceptance_probability(n, c, p)


def test_binomial_is_the_cautious_side_of_drawing_from_a_small_lot() -> None:
    """A lot of 120 with 22 bad, 20 drawn, 1 allowed: public help text, .0762970752."""
    from_lot = hypergeom.cdf(1, 120, 22, 20)

    assert from_lot == pytest.approx(0.0762970752, abs=1e-9)
    assert from_lot < acceptance_probability(20, 1, 22 / 120)


@pytest.mark.parametrize(
    ("n", "p", "passes"),
    [
        (22, 0.10, 0.0985),
        (22, 0.005, 0.8956),
        (22, 0.0025, 0.9464),
        (29, 0.10, 0.0471),
        (29, 0.005, 0.8647),
        (29, 0.0025, 0.9300),
    ],
)
def test_zero_miss_blocks(n: int, p: float, passes: float) -> None:
    """Exact binomial (own study)."""
    assert acceptance_probability(n, 0, p) == pytest.approx(passes, abs=5e-5)


@pytest.mark.parametrize(
    ("p_ok", "p_bad", "seen_share", "n", "c"),
    [
        (0.02, 0.10, 0.1, 87, 4),
        (0.02, 0.10, 0.2, 98, 4),
        (0.02, 0.10, 0.3, 131, 5),
        (0.05, 0.20, 0.1, 50, 5),
        (0.05, 0.20, 0.2, 64, 6),
        (0.05, 0.20, 0.3, 91, 8),
    ],
)
def test_remembered_specimens_ask_for_a_larger_plan(
    p_ok: float, p_bad: float, seen_share: float, n: int, c: int
) -> None:
    """Exact binomial (own study)."""
    plan = design_plan(p_ok, rate_on_fresh(p_bad, seen_share), 0.05, 0.10)

    assert (plan.n, plan.c) == (n, c)


@pytest.mark.parametrize(
    ("n", "c", "p_bad", "betas"),
    [(65, 3, 0.10, [0.152, 0.226, 0.325, 0.590]), (38, 4, 0.20, [0.161, 0.251, 0.370, 0.670])],
)
def test_remembered_specimens_weaken_an_unadjusted_plan(
    n: int, c: int, p_bad: float, betas: list[float]
) -> None:
    """Beta with 10, 20, 30 and 50 % remembered, exact binomial (own study)."""
    for share, beta in zip([0.1, 0.2, 0.3, 0.5], betas, strict=True):
        passes = acceptance_probability(n, c, rate_on_fresh(p_bad, share))
        assert passes == pytest.approx(beta, abs=5e-4)


def test_nothing_fresh_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^seen_share is 1: .* draw other specimens"):
        rate_on_fresh(0.1, 1)


def test_a_second_try_on_the_same_day_nearly_doubles_beta() -> None:
    assert repeated_risk(0.098, 2) == pytest.approx(0.186, abs=5e-4)
    assert repeated_risk(0.3, 1) == pytest.approx(0.3)


@given(n=st.integers(1, 120), share=st.floats(0, 1), data=st.data())
def test_curtailing_never_changes_the_decision(n: int, share: float, data: st.DataObject) -> None:
    c = int(share * (n - 1))
    table = curtail(n, c)
    answers = data.draw(st.lists(st.booleans(), min_size=n, max_size=n))
    errors = 0
    for judged, wrong in enumerate(answers, 1):
        errors += wrong
        decision = table.decide(errors, judged)
        if decision is not Decision.CONTINUE:
            break

    assert decision == (Decision.ACCEPT if sum(answers) <= c else Decision.REJECT)


@given(n=st.integers(2, 120), share=st.floats(0, 1))
def test_curtailing_stops_exactly_when_the_outcome_is_certain(n: int, share: float) -> None:
    c = int(share * (n - 1))
    table = curtail(n, c)
    for judged in range(n + 1):
        for errors in range(judged + 1):
            surely_passes = errors + (n - judged) <= c
            decision = table.decide(errors, judged)

            assert (decision == Decision.ACCEPT) == surely_passes
            assert (decision == Decision.REJECT) == (errors > c)


def test_table_states_cap_and_c() -> None:
    table = curtail(65, 3)

    assert (table.cap, table.c) == (65, 3)


@given(n=st.integers(1, 300), p=st.floats(0.01, 0.9), beta=st.floats(0.001, 0.5))
def test_most_errors_allowed_is_the_last_that_keeps_beta(n: int, p: float, beta: float) -> None:
    c = most_errors_allowed(n, p, beta)

    assert c is None or acceptance_probability(n, c, p) <= beta
    assert acceptance_probability(n, 0 if c is None else c + 1, p) > beta


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.1, 0.02, 0.05, 0.1), "^p_ok is 0.1 and p_bad is 0.02; .*swap or change"),
        ((0.1, 0.1, 0.05, 0.1), "^p_ok is 0.1 and p_bad is 0.1"),
        ((0, 0.1, 0.05, 0.1), "^p_ok is 0, .* such as 0.02 for 2 %"),
        ((0.02, 1, 0.05, 0.1), "^p_bad is 1, .* such as 0.10 for 10 %"),
        ((2, 10, 5, 10), "^p_ok is 2, not strictly between 0 and 1"),
        ((0.02, 0.1, 0, 0.1), "^alpha is 0, .* such as 0.05 for 5 %"),
        ((0.02, 0.1, 0.05, math.nan), "^beta is nan, not a finite number"),
        ((0.02, 0.1, 0.5, 0.5), "^alpha is 0.5 and beta 0.5; together .* lower one"),
        ((0.1, 0.1001, 0.01, 0.01), "lie too close: .* more than 10000 specimens; widen the gap"),
    ],
)
def test_bad_designs_are_refused(
    arguments: tuple[float, float, float, float], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        design_plan(*arguments)


@pytest.mark.parametrize(("n", "c"), [(0, 0), (5, 5), (5, -1), (5.5, 1), (True, 0)])
def test_bad_numbers_of_a_plan_are_refused(n: int, c: int) -> None:
    with pytest.raises(ValueError, match=r"^[nc] is .*; "):
        curtail(n, c)


@pytest.mark.parametrize(
    ("errors", "n", "message"),
    [
        (0, 66, "^n is 66, .* the table ends at 65 judgements"),
        (5, 4, "^errors is 5, outside 0 to 4"),
        (-1, 4, "^errors is -1"),
        (0.5, 4, "^errors is 0.5, not a whole number"),
    ],
)
def test_impossible_scores_are_refused(errors: int, n: int, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        curtail(65, 3).decide(errors, n)


@pytest.mark.parametrize(
    ("accept", "reject", "message"),
    [
        ((-1, 0), (1,), "accept holds 2 numbers and reject 1"),
        ((-1,), (1,), "accept holds 1 numbers"),
        ((-1, 1), (1, 1), "reaches its rejection number"),
        ((-1, 0), (1, 2), "The table ends undecided"),
    ],
)
def test_impossible_tables_are_refused(
    accept: tuple[int, ...], reject: tuple[int, ...], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        DecisionTable(accept, reject)
