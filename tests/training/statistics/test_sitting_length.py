"""The exact law of a sitting's length against sittings played in every order and by chance."""

from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.statistics.sampling_plan import Decision, curtail
from training.statistics.sequential_plan import design_sequential, expected_sitting
from training.statistics.sitting_length import (
    length_until_lost,
    length_when_both_decided,
)

SMALL = curtail(3, 1)
rates = st.floats(0, 1)


def by_every_order(p_miss: float, p_refuse: float) -> list[float]:
    """Return the chance of each length by playing every order and every answer of a small plan."""
    orders = sorted(set(permutations((0, 0, 0, 1, 1, 1))))
    ended = [0.0] * 7
    for order, wrong in product(orders, product((0, 1), repeat=6)):
        chance = 1.0 / len(orders)
        counts, errors, going = [0, 0], [0, 0], [True, True]
        length = 0
        for side, error in zip(order, wrong, strict=True):
            rate = (p_miss, p_refuse)[side]
            chance *= rate if error else 1 - rate
            length += any(going)
            if going[side]:
                counts[side] += 1
                errors[side] += error
                going[side] = SMALL.decide(errors[side], counts[side]) is Decision.CONTINUE
        ended[length] += chance
    return ended


@pytest.mark.parametrize(("p_miss", "p_refuse"), [(0.1, 0.3), (0.5, 0.0), (1.0, 1.0)])
def test_both_decided_equals_every_order_and_answer(p_miss: float, p_refuse: float) -> None:
    law = length_when_both_decided(SMALL, p_miss, SMALL, p_refuse)
    assert np.diff(law.ended, prepend=0) == pytest.approx(by_every_order(p_miss, p_refuse))


@given(rates, rates)
def test_a_law_rises_to_one_and_its_quantiles_follow(p_miss: float, p_refuse: float) -> None:
    law = length_when_both_decided(SMALL, p_miss, curtail(7, 2), p_refuse)
    assert law.cap == 10
    assert (np.diff(law.ended) >= -1e-12).all()
    assert law.ended[-1] == 1
    assert law.quantile(0.05) <= law.mean + 1 <= law.cap + 1
    assert law.quantile(1.0) <= law.cap


def test_a_frozen_order_is_about_as_long_as_an_endless_mixture() -> None:
    table = design_sequential(0.05, 0.20, 0.05, 0.10)
    frozen = length_when_both_decided(table, 0.05, table, 0.02).mean
    endless = expected_sitting(table, 0.05, table, 0.02, stop_when_failed=False).total
    assert 0.9 * endless < frozen < endless


def played(rng: np.random.Generator, people: int) -> np.ndarray:
    """Play sittings of 12 bad with 1 miss, 10 good with 2 refused, 5 others."""
    kinds = np.array([0] * 12 + [1] * 10 + [2] * 5)
    lengths = np.empty(people)
    for i in range(people):
        order = rng.permutation(kinds)
        wrong = rng.random(27) < np.array([0.2, 0.15, 0.0])[order]
        misses = (wrong & (order == 0)).cumsum()
        refused = (wrong & (order == 1)).cumsum()
        lost = (misses > 1) | (refused > 2)
        lengths[i] = lost.argmax() + 1 if lost.any() else 27
    return lengths


def test_until_lost_agrees_with_sittings_played_by_chance() -> None:
    law = length_until_lost(
        12, 1, 0.2, good=10, false_rejects_allowed=2, p_false_reject=0.15, others=5
    )
    lengths = played(np.random.default_rng(20), 20_000)
    error = lengths.std() / len(lengths) ** 0.5
    assert abs(lengths.mean() - law.mean) < 4 * error
    assert abs(np.mean(lengths <= 15) - law.ended[15]) < 4 * 0.5 / len(lengths) ** 0.5


@given(rates, rates)
def test_without_the_early_stop_all_are_shown(p_miss: float, p_refuse: float) -> None:
    law = length_until_lost(
        4,
        1,
        p_miss,
        good=3,
        false_rejects_allowed=0,
        p_false_reject=p_refuse,
        others=2,
        stop_when_lost=False,
    )
    assert (law.mean, law.quantile(0.05)) == (9, 9)


def test_nobody_wrong_sees_all_and_everybody_wrong_the_fewest() -> None:
    assert (
        length_until_lost(4, 1, 0.0, good=3, false_rejects_allowed=0, p_false_reject=0.0).mean == 7
    )
    assert (
        length_until_lost(4, 1, 1.0, good=1, false_rejects_allowed=0, p_false_reject=1.0).quantile(
            1.0
        )
        == 2
    )


@pytest.mark.parametrize("q", [0, -0.1, 1.1])
def test_a_share_out_of_range_is_refused(q: float) -> None:
    law = length_when_both_decided(SMALL, 0.1, SMALL, 0.1)
    with pytest.raises(ValueError, match="q is"):
        law.quantile(q)


def test_rates_and_counts_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="p_miss"):
        length_until_lost(4, 1, 1.5, good=3, false_rejects_allowed=0, p_false_reject=0.0)
    with pytest.raises(ValueError, match="bad"):
        length_until_lost(-1, 1, 0.5, good=3, false_rejects_allowed=0, p_false_reject=0.0)
