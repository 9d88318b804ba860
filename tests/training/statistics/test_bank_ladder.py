"""The ladder of plans: which step a family's specimens reach, and its price."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.statistics.bank_ladder import BankStep, best_plan_for_bank

STEPS = list(BankStep)


def test_own_plan_needs_twice_its_cap_fresh() -> None:
    plan = best_plan_for_bank(98, 98, own_plan_cap=49)

    assert (plan.step, plan.bad, plan.wanted_for_next) == (BankStep.OWN, 49, 0)
    assert best_plan_for_bank(97, 200, own_plan_cap=49).step == BankStep.GROUP
    assert best_plan_for_bank(97, 200, own_plan_cap=49).wanted_for_next == 1


def test_without_an_own_plan_the_group_plan_is_the_top() -> None:
    plan = best_plan_for_bank(300, 300)

    assert (plan.step, plan.bad, plan.wanted_for_next) == (BankStep.GROUP, 8, 0)


@pytest.mark.parametrize(
    ("fresh", "in_window", "per_family", "step"),
    [
        (8, 16, 8, BankStep.GROUP),
        (8, 15, 8, BankStep.SHORT),
        (9, 24, 10, BankStep.SHORT),
        (10, 20, 10, BankStep.GROUP),
        (7, 24, 8, BankStep.NONE),
    ],
)
def test_group_plan_needs_one_draw_fresh_and_two_in_the_window(
    fresh: int, in_window: int, per_family: int, step: BankStep
) -> None:
    assert best_plan_for_bank(fresh, in_window, per_family=per_family).step == step


def test_short_plan_separates_2_from_29_percent() -> None:
    plan = best_plan_for_bank(12, 15)

    assert (plan.step, plan.bad, plan.misses_allowed) == (BankStep.SHORT, 12, 1)
    assert plan.alpha == pytest.approx(0.023, abs=5e-4)
    assert plan.beta == pytest.approx(0.097, abs=5e-4)
    assert (plan.valid_months, plan.planted_parts) == (6, 10)
    assert (plan.wanted, plan.wanted_for_next) == (0, 1)


def test_short_plan_fills_up_with_specimens_met_before_and_says_so() -> None:
    plan = best_plan_for_bank(9, 9, in_pool=20)

    assert plan.bad == 12
    assert plan.seen_share == pytest.approx(0.25)


@pytest.mark.parametrize("pool", [8, 9, 10, 11])
def test_a_pool_below_twelve_allows_no_miss(pool: int) -> None:
    plan = best_plan_for_bank(8, 8, in_pool=pool)
    assert plan.beta is not None

    assert (plan.bad, plan.misses_allowed) == (pool, 0)
    assert plan.beta <= 0.10


def test_below_eight_nobody_is_examined_and_the_wanted_number_is_named() -> None:
    plan = best_plan_for_bank(3, 3)

    assert (plan.step, plan.bad, plan.wanted) == (BankStep.NONE, 0, 5)


@given(st.integers(0, 60), st.integers(0, 60), st.integers(0, 60), st.none() | st.integers(1, 30))
def test_more_specimens_never_lead_down_the_ladder(
    fresh: int, later: int, seen: int, cap: int | None
) -> None:
    def step(extra: int) -> int:
        in_window = fresh + extra + later
        plan = best_plan_for_bank(
            fresh + extra, in_window, own_plan_cap=cap, in_pool=in_window + seen
        )
        return STEPS.index(plan.step)

    assert step(1) <= step(0)


@given(st.integers(0, 60), st.integers(0, 60), st.none() | st.integers(1, 30))
def test_the_wanted_specimens_reach_the_next_step(fresh: int, later: int, cap: int | None) -> None:
    plan = best_plan_for_bank(fresh, fresh + later, own_plan_cap=cap)
    more = plan.wanted_for_next
    better = best_plan_for_bank(fresh + more, fresh + later + more, own_plan_cap=cap)

    assert (more == 0) == (better.step == plan.step)
    assert plan.wanted == (8 - fresh if plan.step == BankStep.NONE else 0)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"fresh": -1, "in_window": 3}, "^fresh is -1"),
        ({"fresh": 4, "in_window": 3}, "^in_window is 3, .* includes the fresh ones"),
        ({"fresh": 1, "in_window": 3, "in_pool": 2}, "^in_pool is 2, .* in the window"),
        ({"fresh": 1, "in_window": 3, "per_family": 7}, "^per_family is 7"),
        ({"fresh": 1, "in_window": 3, "own_plan_cap": 0}, "^own_plan_cap is 0"),
    ],
)
def test_impossible_counts_are_refused(arguments: dict[str, int], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        best_plan_for_bank(**arguments)
