"""Group plans: the exact tables, the convolution against brute force, and the scorer."""

from itertools import product
from math import comb

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from training.statistics.group_plan import (
    GroupPlan,
    GroupVerdict,
    decide_group,
    design_group_plan,
    group_lost,
    group_risks,
    tighten_group_plan,
)

small_plans = st.builds(
    GroupPlan,
    families=st.just(("flash", "burr", "sink")),
    per_family=st.integers(1, 3),
    misses_allowed=st.integers(0, 5),
    family_misses_allowed=st.integers(0, 3),
    good=st.just(4),
    false_rejects_allowed=st.integers(0, 3),
    alpha=st.just(0.0),
    beta=st.just(0.0),
)
rates = st.floats(0, 1)


@pytest.mark.parametrize(
    ("families", "per_family", "misses_allowed"), [(4, 10, 4), (5, 8, 4), (6, 8, 5), (7, 8, 6)]
)
def test_design_follows_from_the_risks_asked(
    families: int, per_family: int, misses_allowed: int
) -> None:
    plan = design_group_plan(families)

    assert (plan.per_family, plan.misses_allowed) == (per_family, misses_allowed)
    assert plan.family_misses_allowed == 1
    assert (plan.good, plan.false_rejects_allowed) == (30, 3)
    assert plan.alpha <= 0.05
    assert plan.beta <= 0.10


# One family, all families: exact (own study), everybody missing at the rate everywhere.
EVERYWHERE = [
    (4, 0.01, 0.996, 0.983),
    (4, 0.02, 0.983, 0.937),
    (4, 0.05, 0.885, 0.697),
    (4, 0.10, 0.538, 0.294),
    (4, 0.20, 0.060, 0.020),
    (5, 0.01, 0.997, 0.987),
    (5, 0.02, 0.989, 0.949),
    (5, 0.05, 0.909, 0.743),
    (5, 0.10, 0.569, 0.347),
    (5, 0.20, 0.066, 0.028),
    (6, 0.01, 0.997, 0.984),
    (6, 0.02, 0.989, 0.940),
    (6, 0.05, 0.920, 0.702),
    (6, 0.10, 0.582, 0.286),
    (6, 0.20, 0.053, 0.015),
]


@pytest.mark.parametrize(("families", "rate", "one", "every"), EVERYWHERE)
def test_table_of_equal_rates(families: int, rate: float, one: float, every: float) -> None:
    risks = group_risks(design_group_plan(families), rate)

    assert list(risks.by_family.values()) == pytest.approx([one] * families, abs=5.1e-4)
    assert risks.all_families == pytest.approx(every, abs=5.1e-4)


@pytest.mark.parametrize(
    ("families", "rate", "certified"),
    [
        (4, 0.50, 0.011),
        (4, 0.30, 0.149),
        (4, 0.20, 0.376),
        (5, 0.50, 0.035),
        (5, 0.30, 0.255),
        (5, 0.20, 0.503),
        (6, 0.50, 0.035),
        (6, 0.30, 0.255),
        (6, 0.20, 0.503),
    ],
)
def test_table_of_one_blind_family(families: int, rate: float, certified: float) -> None:
    """That family's chance, the others missed at 1 %: exact (own study)."""
    risks = group_risks(design_group_plan(families), [rate] + [0.01] * (families - 1))

    assert risks.by_family["1"] == pytest.approx(certified, abs=5e-4)


def test_merged_group_of_seven() -> None:
    plan = design_group_plan(7)

    assert group_risks(plan, 0.01).by_family["7"] == pytest.approx(0.997, abs=5e-4)
    assert group_risks(plan, 0.20).by_family["7"] == pytest.approx(0.042, abs=6e-4)


@pytest.mark.parametrize(("rate", "passes"), [(0.02, 0.997), (0.20, 0.123)])
def test_false_rejects_alone(rate: float, passes: float) -> None:
    risks = group_risks(design_group_plan(5), 0.0, false_reject_rate=rate)

    assert risks.group == pytest.approx(passes, abs=5e-4)
    assert risks.all_families == pytest.approx(passes, abs=5e-4)


def test_a_second_try_doubles_the_small_chance() -> None:
    once = group_risks(design_group_plan(5), 0.20).by_family["1"]

    assert 1 - (1 - once) ** 2 == pytest.approx(0.128, abs=2e-3)


def chance_of(m: int, n: int, p: float) -> float:
    # Written out, because scipy's own overflows at rates near the smallest number.
    return comb(n, m) * p**m * (1 - p) ** (n - m)


def brute_force(plan: GroupPlan, rate: tuple[float, ...]) -> tuple[list[float], float, float]:
    """Sum over every combination of misses."""
    k = len(plan.families)
    by_family, every, group = [0.0] * k, 0.0, 0.0
    for misses in product(range(plan.per_family + 1), repeat=k):
        chance = float(
            np.prod([chance_of(m, plan.per_family, p) for m, p in zip(misses, rate, strict=True)])
        )
        decision = decide_group(plan, misses, false_rejects=0)
        group += chance * decision.passed
        every += chance * (len(decision.certified) == k)
        for i, name in enumerate(plan.families):
            by_family[i] += chance * (name in decision.certified)
    return by_family, every, group


@settings(max_examples=40)
@given(plan=small_plans, rate=st.tuples(rates, rates, rates))
def test_risks_are_what_the_scorer_does(plan: GroupPlan, rate: tuple[float, float, float]) -> None:
    by_family, every, group = brute_force(plan, rate)
    risks = group_risks(plan, rate)

    assert list(risks.by_family.values()) == pytest.approx(by_family, abs=1e-12)
    assert risks.all_families == pytest.approx(every, abs=1e-12)
    assert risks.group == pytest.approx(group, abs=1e-12)


@given(plan=small_plans, rate=st.tuples(rates, rates, rates), false=rates)
def test_chances_are_in_order(
    plan: GroupPlan, rate: tuple[float, float, float], false: float
) -> None:
    risks = group_risks(plan, rate, false)

    assert 0 <= risks.all_families <= min(risks.by_family.values()) + 1e-12
    assert max(risks.by_family.values()) <= risks.group + 1e-12
    assert risks.group <= 1


@given(families=st.integers(3, 7), values=st.lists(rates, min_size=7, max_size=7))
def test_order_of_families_does_not_matter(families: int, values: list[float]) -> None:
    plan = design_group_plan(families)
    given_order, reverse = values[:families], values[:families][::-1]
    ahead, back = group_risks(plan, given_order), group_risks(plan, reverse)

    assert list(back.by_family.values())[::-1] == pytest.approx(list(ahead.by_family.values()))
    assert back.all_families == pytest.approx(ahead.all_families)


@pytest.mark.parametrize("families", [4, 5, 6])
@pytest.mark.parametrize("rate", [0.02, 0.05, 0.10, 0.20])
def test_simulated_persons_pass_as_often_as_computed(families: int, rate: float) -> None:
    """20,000 persons through the scorer's rule; bound 4.5 standard errors."""
    plan, persons = design_group_plan(families), 20_000
    rng = np.random.default_rng([8, families, round(100 * rate)])
    missed = rng.binomial(plan.per_family, rate, (persons, families))
    group = missed.sum(axis=1) <= plan.misses_allowed
    own = missed <= plan.family_misses_allowed
    risks = group_risks(plan, rate)

    for observed, exact in (
        ((group & own[:, 0]).mean(), risks.by_family["1"]),
        ((group & own.all(axis=1)).mean(), risks.all_families),
    ):
        assert abs(observed - exact) < 4.5 * np.sqrt(exact * (1 - exact) / persons)


@given(
    families=st.integers(1, 12),
    p_ok=st.floats(0.01, 0.08),
    ratio=st.floats(3, 6),
    alpha=st.floats(0.02, 0.2),
    beta=st.floats(0.02, 0.2),
)
def test_designed_groups_keep_both_risks(
    families: int, p_ok: float, ratio: float, alpha: float, beta: float
) -> None:
    plan = design_group_plan(families, p_ok, p_ok * ratio, alpha, beta)

    assert binom.sf(plan.misses_allowed, plan.bad, p_ok) <= alpha
    assert binom.cdf(plan.misses_allowed, plan.bad, p_ok * ratio) <= beta
    assert binom.cdf(plan.misses_allowed + 1, plan.bad, p_ok * ratio) > beta
    assert binom.cdf(plan.family_misses_allowed, plan.per_family, 0.5) <= 0.05
    assert plan.per_family >= 8


PLAN = design_group_plan(["flash", "burr", "short shot", "sink"])


def test_a_failed_family_does_not_stop_the_others() -> None:
    decision = decide_group(PLAN, {"sink": 2, "flash": 1, "burr": 1, "short shot": 0}, 3)

    assert decision.passed
    assert decision.certified == ("flash", "burr", "short shot")
    assert decision.verdicts["sink"] == GroupVerdict.FAMILY_MISSES
    assert (decision.misses, decision.false_rejects) == (4, 3)


def test_a_lost_group_certifies_nobody() -> None:
    too_many_missed = decide_group(PLAN, [1, 1, 1, 2], 0)
    too_strict = decide_group(PLAN, [0, 0, 0, 0], 4)

    assert too_many_missed.certified == too_strict.certified == ()
    assert set(too_many_missed.verdicts.values()) == {GroupVerdict.GROUP_MISSES}
    assert set(too_strict.verdicts.values()) == {GroupVerdict.GROUP_FALSE_REJECTS}


def test_a_sitting_stops_early_only_when_the_group_is_lost() -> None:
    assert not group_lost(PLAN, misses=4, false_rejects=3)
    assert group_lost(PLAN, misses=5, false_rejects=0)
    assert group_lost(PLAN, misses=0, false_rejects=4)


@pytest.mark.parametrize("seen_share", [0, 0.05, 0.10])
def test_a_plan_stands_up_to_a_tenth_seen_before(seen_share: float) -> None:
    assert tighten_group_plan(PLAN, seen_share) == PLAN


@pytest.mark.parametrize("families", [4, 5, 6])
@pytest.mark.parametrize("seen_share", [0.11, 0.2, 0.3])
def test_a_tighter_plan_keeps_beta_for_fresh_specimens(families: int, seen_share: float) -> None:
    plan = design_group_plan(families)
    tighter = tighten_group_plan(plan, seen_share)

    assert tighter.bad == plan.bad
    assert tighter.misses_allowed < plan.misses_allowed
    assert binom.cdf(tighter.misses_allowed, plan.bad, 0.2 * (1 - seen_share)) <= 0.10
    assert tighter.alpha == pytest.approx(binom.sf(tighter.misses_allowed, plan.bad, 0.05))


def test_beyond_three_tenths_the_short_plan_is_named() -> None:
    with pytest.raises(ValueError, match=r"^seen_share is 0\.31, .* use the short-bank plan"):
        tighten_group_plan(PLAN, 0.31)


def test_a_plan_that_cannot_be_tightened_says_so() -> None:
    tiny = design_group_plan(1, 0.02, 0.9, 0.2, 0.2)
    with pytest.raises(ValueError, match=r"^8 specimens cannot keep beta .* take more specimens"):
        tighten_group_plan(tiny, 0.2, p_ok=0.01, p_bad=0.05)


@pytest.mark.parametrize(
    ("families", "message"),
    [
        (0, "^families is 0, .* at least one family"),
        (2.5, "^families is 2.5, not a whole number"),
        ([], "^families is empty"),
        (["flash", "flash"], "^families holds 'flash' twice"),
        ("flash", "^families is the text 'flash'; give a list"),
    ],
)
def test_bad_families_are_refused(families: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        design_group_plan(families)  # type: ignore[arg-type]


def test_bad_good_side_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^good is 0"):
        design_group_plan(5, good=0)
    with pytest.raises(ValueError, match=r"^false_rejects_allowed is 30"):
        design_group_plan(5, false_rejects_allowed=30)


@pytest.mark.parametrize(
    ("given_rates", "message"),
    [
        (1.2, "^rates_by_family is 1.2"),
        ([0.1, 0.1], "^rates_by_family holds 2 values; give 4"),
        ([0.1, 0.1, 0.1, -0.1], r"^rates_by_family\['sink'\] is -0.1"),
        ({"flash": 0.1}, "^rates_by_family lacks 'burr'"),
        (
            {"flash": 0.1, "burr": 0.1, "short shot": 0.1, "sink": 0.1, "haze": 0.1},
            "^rates_by_family holds 'haze' as well",
        ),
    ],
)
def test_bad_rates_are_refused(given_rates: list[float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        group_risks(PLAN, given_rates)


@pytest.mark.parametrize(
    ("missed", "false_rejects", "message"),
    [
        ([0, 0, 0, 11], 0, r"^missed_by_family\['sink'\] is 11, outside 0 to 10"),
        ([0, 0, 0], 0, "^missed_by_family holds 3 values; give 4"),
        ([0, 0, 0, 0], 31, "^false_rejects is 31, outside 0 to 30"),
        ([0, 0, 0, -1], 0, r"^missed_by_family\['sink'\] is -1"),
    ],
)
def test_bad_scores_are_refused(missed: list[int], false_rejects: int, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        decide_group(PLAN, missed, false_rejects)
