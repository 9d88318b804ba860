"""Operator's limit: simulated eyes, the grid written out, symmetry, what is not shown."""

import math
from dataclasses import astuple

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr

from tests.training.statistics.plain_limit import plain_family_prior, plain_posterior
from tests.training.statistics.simulated import Table
from training.statistics.operator_limit import (
    DEFAULT_PRIOR,
    LimitPrior,
    OperatorLimit,
    fit_family,
    fit_limit,
)

NEAR = 0.4


def judged(
    rng: np.random.Generator, count: int, ratio: float, *, sigma: float = 0.2, reach: float = NEAR
) -> tuple[Table, Table]:
    """Judgements of an operator with a given line; 2 % lapses."""
    shown = np.linspace(-reach, reach, count)
    chance = 0.01 + 0.98 * ndtr((shown - math.log(ratio)) / sigma)
    return shown, (rng.random(count) < chance).astype(float)


def some(value: float | None) -> float:
    assert value is not None
    return value


def called_strict(limit: OperatorLimit) -> bool:
    if limit.p_too_strict is None:
        return limit.reason is not None and "below every picture" in limit.reason
    return limit.p_too_strict >= 0.95


# ------------------------------------------------------------------ known truth


@pytest.mark.parametrize(("count", "rmse", "half_width"), [(24, 0.086, 0.19), (48, 0.060, 0.13)])
def test_line_is_found_with_an_honest_interval(count: int, rmse: float, half_width: float) -> None:
    rng = np.random.default_rng([5, count])
    squares, covered, widths = [], [], []
    for truth in rng.normal(0, 0.15, 120):
        limit = fit_limit(*judged(rng, count, math.exp(truth)))
        low, high = math.log(some(limit.low)), math.log(some(limit.high))
        squares.append((math.log(some(limit.ratio)) - truth) ** 2)
        covered.append(low <= truth <= high)
        widths.append((high - low) / 2)

    assert np.sqrt(np.mean(squares)) < rmse
    assert 0.92 <= np.mean(covered) <= 0.99
    assert np.mean(widths) < half_width


def test_too_strict_is_said_of_the_strict_and_not_of_the_slightly_strict() -> None:
    """Own study, 24 pictures within 50 %: 0 0 .03 .40 .91 at 1, .95, .9, .8, .7."""
    rng = np.random.default_rng([5, 24, 1])
    rate = {
        ratio: np.mean([called_strict(fit_limit(*judged(rng, 24, ratio))) for _ in range(120)])
        for ratio in (1.0, 0.95, 0.9, 0.8, 0.7)
    }

    assert rate[1.0] <= 0.01
    assert rate[0.95] <= 0.03
    assert rate[0.9] <= 0.08
    assert rate[0.8] >= 0.25
    assert rate[0.7] >= 0.8


def test_more_pictures_find_a_strict_eye_more_often() -> None:
    """Own study: .40 at 24, .75 at 48 pictures for a line at 80 %."""
    rng = np.random.default_rng([5, 48, 1])

    found = np.mean([called_strict(fit_limit(*judged(rng, 48, 0.8))) for _ in range(100)])

    assert found >= 0.6


def test_pooling_a_family_beats_each_alone() -> None:
    """Own study, 24 pictures within 70 %: error .081 alone, .077 pooled of 30."""
    rng = np.random.default_rng(33)
    alone, pooled, covered = [], [], []
    for _ in range(6):
        truths, sigmas = rng.normal(0, 0.15, 30), np.exp(rng.normal(math.log(0.2), 0.4, 30))
        family = [
            judged(rng, 24, math.exp(truth), sigma=sigma, reach=0.7)
            for truth, sigma in zip(truths, sigmas, strict=True)
        ]
        found = fit_family(family)
        assert found.pooled
        for truth, pair, limit in zip(truths, family, found.limits, strict=True):
            alone.append((math.log(some(fit_limit(*pair).ratio)) - truth) ** 2)
            pooled.append((math.log(some(limit.ratio)) - truth) ** 2)
            covered.append(some(limit.low) <= math.exp(truth) <= some(limit.high))

    assert np.sqrt(np.mean(pooled)) < np.sqrt(np.mean(alone))
    assert 0.92 <= np.mean(covered) <= 0.98


# ------------------------------------------------------------------ written out plainly


@pytest.mark.parametrize("seed", range(3))
def test_every_number_agrees_with_the_grid_written_out(seed: int) -> None:
    rng = np.random.default_rng([51, seed])
    shown, rejected = judged(rng, 30, math.exp(rng.normal(0, 0.1)))
    limit, posterior = fit_limit(shown, rejected), plain_posterior(shown, rejected)
    ratio, grid = posterior.sum(axis=1), np.linspace(-0.8, 0.8, 65)

    assert math.log(some(limit.ratio)) == pytest.approx(ratio @ grid, abs=1e-10)
    assert limit.log_sigma == pytest.approx(
        posterior.sum(axis=0) @ np.linspace(math.log(0.03), math.log(1.2), 25), abs=1e-10
    )
    assert limit.p_too_strict == pytest.approx(ratio[grid < math.log(0.9)].sum(), abs=1e-10)
    assert limit.p_too_lenient == pytest.approx(ratio[grid > -math.log(0.9)].sum(), abs=1e-10)
    below = ratio.cumsum()
    for end, share in ((limit.low, 0.025), (limit.high, 0.975)):
        assert math.log(some(end)) == pytest.approx(np.interp(share, below, grid + 0.0125))


def test_family_prior_agrees_with_the_rounds_written_out() -> None:
    rng = np.random.default_rng(52)
    family = [judged(rng, 24, math.exp(rng.normal(0.1, 0.15))) for _ in range(5)]

    assert astuple(fit_family(family).prior) == pytest.approx(plain_family_prior(family), abs=1e-9)


def test_many_judgements_leave_the_range_of_a_double_behind() -> None:
    """A product of 4,000 probabilities underflows; the blocks keep it."""
    rng = np.random.default_rng(2)
    shown, rejected = judged(rng, 4000, 0.9)

    limit = fit_limit(shown, rejected)

    assert limit.ratio == pytest.approx(0.9, abs=0.02)


# ------------------------------------------------------------------ what must always hold

seeds = st.integers(0, 2**32 - 1)


def random_judgements(seed: int) -> tuple[Table, Table]:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(12, 60))
    shown = rng.normal(0, 0.4, count)
    return shown, (rng.random(count) < ndtr((shown - rng.normal(0, 0.3)) / 0.3)).astype(float)


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_swapping_accept_and_reject_mirrors_the_line(seed: int) -> None:
    shown, rejected = random_judgements(seed)
    limit, mirror = fit_limit(shown, rejected), fit_limit(-shown, 1 - rejected)
    if limit.ratio is None:
        assert mirror.ratio is None
        return

    assert some(mirror.ratio) == pytest.approx(1 / limit.ratio, rel=1e-9)
    assert some(mirror.low) == pytest.approx(1 / some(limit.high), rel=1e-9)
    assert some(mirror.p_too_strict) == pytest.approx(some(limit.p_too_lenient), abs=1e-9)
    assert some(mirror.log_sigma) == pytest.approx(some(limit.log_sigma), abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_order_does_not_matter_and_numbers_keep_their_bounds(seed: int) -> None:
    shown, rejected = random_judgements(seed)
    order = np.random.default_rng(seed).permutation(shown.size)
    limit, moved = fit_limit(shown, rejected), fit_limit(shown[order], rejected[order])
    if limit.ratio is None:
        assert limit.reason is not None
        return

    assert some(moved.ratio) == pytest.approx(limit.ratio, rel=1e-9)
    assert 0.44 < some(limit.low) <= limit.ratio <= some(limit.high) < 2.27
    assert 0 <= some(limit.p_too_strict) <= 1
    assert some(limit.p_too_strict) + some(limit.p_too_lenient) <= 1 + 1e-12


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_one_more_reject_never_makes_the_line_more_lenient(seed: int) -> None:
    shown, rejected = random_judgements(seed)
    accepted = np.flatnonzero(rejected == 0)
    before = fit_limit(shown, rejected)
    if before.ratio is None or accepted.size < 2:
        return
    stricter = rejected.copy()
    # The one nearest the line: a far one may be read as a lapse or a wide spread.
    stricter[accepted[np.abs(shown[accepted] - math.log(before.ratio)).argmin()]] = 1

    after = fit_limit(shown, stricter)

    if after.ratio is not None:
        assert after.ratio <= before.ratio + 1e-9


# ------------------------------------------------------------------ what is not shown


def test_nothing_below_twelve_judgements() -> None:
    limit = fit_limit(np.linspace(-0.4, 0.4, 11), np.arange(11) > 5)

    assert limit.ratio is None
    assert limit.reason == "11 of 12 judgements needed."


def test_three_pictures_on_either_side_are_needed() -> None:
    shown = np.concatenate([np.linspace(-0.4, -0.01, 18), [0.1, 0.2]])

    limit = fit_limit(shown, shown > -0.2)

    assert limit.ratio is None
    assert limit.reason == (
        "18 judgements below the limit and 2 above it; 3 are needed on each side."
    )


@pytest.mark.parametrize(
    ("answer", "words"), [(0, "above every picture"), (1, "below every picture")]
)
def test_one_and_the_same_answer_gives_no_number(answer: int, words: str) -> None:
    limit = fit_limit(np.linspace(-0.4, 0.4, 30), np.full(30, answer))

    assert (limit.ratio, limit.low, limit.high, limit.statement) == (None, None, None, None)
    assert limit.reason is not None
    assert words in limit.reason


def test_line_beyond_the_range_examined_is_said_to_be_so() -> None:
    shown = np.concatenate([np.linspace(-0.3, 1.6, 150), np.linspace(0.8, 1.6, 50)])

    limit = fit_limit(shown, shown > 1.2)

    assert limit.ratio is None
    assert some(limit.p_too_lenient) > 0.99
    assert limit.reason == "The person's limit is above 223 % of the job's, or near it."
    mirror = fit_limit(-shown, shown < 1.2)
    assert mirror.reason == "The person's limit is below 45 % of the job's, or near it."


def test_provisional_numbers_carry_no_statement() -> None:
    limit = fit_limit(*judged(np.random.default_rng(0), 23, 0.8))

    assert limit.provisional
    assert limit.ratio is not None
    assert limit.statement is None
    assert limit.reason == "Provisional: 23 of 24 judgements for a statement."


@pytest.mark.parametrize(
    ("ratio", "count", "words"),
    [
        (0.70, 60, "At least 10 % too strict"),
        (1.45, 60, "At least 10 % too lenient"),
        (1.00, 400, "Judges by the limit, within 10 %"),
        (0.90, 24, "Too few judgements"),
    ],
)
def test_statement_says_what_the_judgements_support(ratio: float, count: int, words: str) -> None:
    shown = np.linspace(-0.45, 0.45, count)
    sure = fit_limit(shown, (shown + 0.05 * np.sin(np.arange(count) * 2.4)) > math.log(ratio))

    assert sure.statement is not None
    assert sure.statement.startswith(words)
    assert f"{100 * some(sure.ratio):.0f} %" in sure.statement


def test_families_are_pooled_from_five_operators_with_twenty_four() -> None:
    rng = np.random.default_rng(1)
    rich = [judged(rng, 24, 1.0) for _ in range(4)]
    poor = judged(rng, 14, 0.9)

    alone, together = fit_family([*rich, poor]), fit_family([*rich, judged(rng, 24, 1.1), poor])

    assert not alone.pooled
    assert alone.prior == DEFAULT_PRIOR
    assert alone.reason is not None
    assert "4 of 5 operators" in alone.reason
    assert alone.limits[4] == fit_limit(*poor)
    assert together.pooled
    assert together.reason is None
    assert together.limits[5] == fit_limit(*poor, prior=together.prior)


def test_prior_may_be_given() -> None:
    pair = judged(np.random.default_rng(1), 30, 1.0)
    tight = LimitPrior(math.log(1.3), 0.02, math.log(0.2), 0.6)

    assert fit_limit(*pair, prior=tight).ratio == pytest.approx(1.3, abs=0.05)


# ------------------------------------------------------------------ bad input


@pytest.mark.parametrize(
    ("shown", "rejected", "message"),
    [
        ([0.1, np.nan], [0, 1], "log_ratio holds NaN"),
        ([0.1, 0.2], [0, 2], "rejected, value 2, is 2"),
        ([0.1, 0.2], [0, np.nan], "rejected holds NaN"),
        ([0.1, 0.2], [0], "rejected holds 1 values; give 2"),
        ([[0.1]], [0], "log_ratio has 2 dimension"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    shown: npt.ArrayLike, rejected: npt.ArrayLike, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        fit_limit(shown, rejected)


def test_family_names_the_operator_at_fault() -> None:
    with pytest.raises(ValueError, match="operators, operator 2: rejected, value 1, is 5"):
        fit_family([([0.1], [1]), ([0.1], [5])])
    with pytest.raises(ValueError, match="operators is empty"):
        fit_family([])
