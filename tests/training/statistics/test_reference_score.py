"""Scores on the plant's reference specimens: by hand, adjusted for what was shown, or none and why."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import expit

from training.statistics.rasch import RaschFit, fit_rasch
from training.statistics.reference_score import average_share, reference_scores
from training.statistics.wording import Wording


def judged(
    people: int, items: int, *, gap: float = 0.0, seed: int = 3
) -> tuple[RaschFit, np.ndarray, np.ndarray]:
    """Fit simulated answers; the second half of the people saw items that are `gap` harder."""
    rng = np.random.default_rng(seed)
    ability, difficulty = rng.normal(0, 0.8, people), rng.normal(-1.8, 1.0, items)
    seen = np.ones((people, items))
    seen[: people // 2, items * 3 // 4 :] = 0
    seen[people // 2 :, : items // 4] = 0
    difficulty[items * 3 // 4 :] += gap
    right = rng.random((people, items)) < expit(ability[:, None] - difficulty)
    return fit_rasch(right, seen), seen, expit(ability[:, None] - difficulty).mean(axis=1)


def test_the_score_is_the_mean_chance_over_the_reference() -> None:
    fit, seen, _truth = judged(30, 40)
    sure = replace(fit, ability_se=np.zeros_like(fit.ability_se))
    chosen = np.arange(40) < 25
    found = reference_scores(sure, seen.sum(axis=1), chosen)[4]
    by_hand = 100 * expit(fit.ability[4] - fit.difficulty[:25]).mean()
    assert found.right == found.low == found.high == pytest.approx(by_hand, abs=1e-9)


def test_it_is_adjusted_for_harder_specimens() -> None:
    fit, seen, truth = judged(120, 80, gap=2.0)
    found = reference_scores(fit, seen.sum(axis=1), np.ones(80))
    right = np.array([score.right for score in found], dtype=float)
    easy, hard = right[:60] - 100 * truth[:60], right[60:] - 100 * truth[60:]
    assert abs(easy.mean() - hard.mean()) < 2.5
    # Unadjusted, those shown the harder specimens look some twelve specimens of 100 worse.
    assert abs(easy.mean()) < 2.5


def test_the_interval_holds_the_truth_about_as_often_as_it_says() -> None:
    held = []
    for seed in range(4):
        fit, seen, truth = judged(120, 60, seed=seed)
        for score, share in zip(
            reference_scores(fit, seen.sum(axis=1), np.ones(60)), truth, strict=True
        ):
            assert score.low is not None
            assert score.high is not None
            held.append(score.low <= 100 * share <= score.high)
    assert 0.90 <= np.mean(held) <= 0.99


def test_too_few_own_answers_give_a_reason_and_no_number() -> None:
    fit, _seen, _truth = judged(30, 40)
    found = reference_scores(fit, [19] + [20] * 29, np.ones(40))
    assert found[0].right is None
    assert found[0].reason == "19 of 20 exam judgements needed."
    assert found[1].right is not None


def test_too_few_reference_specimens_with_enough_answers() -> None:
    fit, seen, _truth = judged(30, 40)
    found = reference_scores(fit, seen.sum(axis=1), np.arange(40) < 19)
    assert {score.right for score in found} == {None}
    assert found[0].reason is not None
    assert "Only 19 of 20" in found[0].reason


def test_specimens_with_fewer_than_eight_answers_are_left_out() -> None:
    fit, seen, _truth = judged(30, 40)
    few = replace(fit, answered=np.where(np.arange(40) < 19, 30, 7))
    assert reference_scores(few, seen.sum(axis=1), np.ones(40))[0].right is None


def test_a_fit_that_is_not_linked_or_did_not_settle_says_so() -> None:
    fit, seen, _truth = judged(30, 40)
    reason = Wording("The answers do not hang together.")
    apart = replace(fit, linked=False, link_reason=reason)
    astray = replace(fit, converged=False, reason=reason)
    for broken in (apart, astray):
        score = reference_scores(broken, seen.sum(axis=1), np.ones(40))[0]
        assert (score.right, score.reason) == (None, reason)


@pytest.mark.parametrize(("answered", "reference"), [([30], [1] * 40), ([30] * 30, [1])])
def test_lengths_must_be_those_of_the_fit(answered: list[int], reference: list[int]) -> None:
    fit, _seen, _truth = judged(30, 40)
    with pytest.raises(ValueError, match="as the fit has"):
        reference_scores(fit, answered, reference)


def test_the_average_eye_stands_at_the_origin() -> None:
    assert average_share([0.0, np.log(3)]) == pytest.approx((0.5 + 0.25) / 2)
    with pytest.raises(ValueError, match="empty"):
        average_share([])
