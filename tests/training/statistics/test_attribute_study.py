"""Attribute agreement study: counts part by part, symmetry, verdicts, bad input."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from training.statistics.agreement import Verdict, attribute_study
from training.statistics.checks import IntArray
from training.statistics.proportions import clopper_pearson

seeds = st.integers(0, 2**32 - 1)


def random_study(seed: int) -> tuple[IntArray, IntArray]:
    rng = np.random.default_rng(seed)
    parts, people, trials = (int(rng.integers(low, 7)) for low in (1, 1, 1))
    reference = rng.integers(0, 2, parts)
    wrong = rng.random((parts, people, trials)) < 0.2
    return np.where(wrong, 1 - reference[:, None, None], reference[:, None, None]), reference


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_counts_are_those_of_going_through_the_parts(seed: int) -> None:
    ratings, reference = random_study(seed)
    study = attribute_study(ratings, reference)
    parts, people, trials = ratings.shape

    for person, found in enumerate(study.appraisers):
        effective = steady = misses = alarms = 0
        for part in range(parts):
            answers = {int(ratings[part, person, trial]) for trial in range(trials)}
            effective += answers == {int(reference[part])}
            steady += len(answers) == 1
            for trial in range(trials):
                accepted = ratings[part, person, trial] == 1
                misses += bool(accepted and reference[part] == 0)
                alarms += bool(not accepted and reference[part] == 1)
        assert found.effectiveness.count == effective
        assert found.misses.count == misses
        assert found.false_alarms.count == alarms
        assert found.misses.of + found.false_alarms.of == parts * trials
        if trials > 1:
            assert found.self_agreement is not None
            assert found.self_agreement.count == steady
            assert effective <= steady
        else:
            assert found.self_agreement is None
            assert found.kappa_within is None
    if people > 1:
        assert study.between is not None
        assert study.system.count <= study.between.count
        assert len(study.pairs) == people * (people - 1) // 2
    else:
        assert study.between is None
    assert study.system.count <= min(a.effectiveness.count for a in study.appraisers)
    assert len(study.codes) == parts


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_swapping_accept_and_reject_swaps_misses_and_false_alarms(seed: int) -> None:
    ratings, reference = random_study(seed)
    study, mirror = attribute_study(ratings, reference), attribute_study(1 - ratings, 1 - reference)

    assert mirror.system == study.system
    for found, other in zip(study.appraisers, mirror.appraisers, strict=True):
        assert other.misses == found.false_alarms
        assert other.false_alarms == found.misses
        assert other.effectiveness == found.effectiveness
        assert other.kappa_reference.kappa == pytest.approx(found.kappa_reference.kappa)
    swap = {"+": "-", "-": "+", "x": "x"}
    assert mirror.codes == tuple(swap[code] for code in study.codes)


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_order_of_parts_does_not_matter(seed: int) -> None:
    ratings, reference = random_study(seed)
    order = np.random.default_rng(seed).permutation(len(reference))
    study, moved = (
        attribute_study(ratings, reference),
        attribute_study(ratings[order], reference[order]),
    )

    assert moved.system == study.system
    assert moved.verdict == study.verdict
    for found, other in zip(study.appraisers, moved.appraisers, strict=True):
        assert (other.effectiveness, other.misses) == (found.effectiveness, found.misses)


def test_rates_carry_the_exact_interval() -> None:
    ratings, reference = random_study(3)
    rate = attribute_study(ratings, reference, confidence=0.9).system
    interval = clopper_pearson(rate.count, rate.of, 0.9)

    assert (rate.low, rate.high) == (interval.low, interval.high)


def graded(wrong_bad: int, wrong_good: int) -> Verdict | None:
    """Verdict of one appraiser on 100 bad and 100 good parts, judged once."""
    reference = np.repeat([0, 1], 100)
    ratings = reference.copy()
    ratings[:wrong_bad] = 1
    ratings[100 : 100 + wrong_good] = 0
    return attribute_study(ratings[:, None, None], reference).verdict


@pytest.mark.parametrize(
    ("misses", "alarms", "verdict"),
    [
        (0, 0, Verdict.ACCEPTABLE),
        (2, 5, Verdict.ACCEPTABLE),
        (3, 0, Verdict.MARGINAL),
        (5, 0, Verdict.MARGINAL),
        (6, 0, Verdict.UNACCEPTABLE),
        (0, 6, Verdict.MARGINAL),
        (0, 10, Verdict.MARGINAL),
        (0, 11, Verdict.UNACCEPTABLE),
    ],
)
def test_verdict_is_the_worst_step_of_the_acceptance_table(
    misses: int, alarms: int, verdict: Verdict
) -> None:
    """Acceptable to 2 % misses and 5 % false alarms, marginal to 5 and 10 (from memory)."""
    assert graded(misses, alarms) is verdict


@pytest.mark.parametrize(
    ("effective", "verdict"),
    [
        (45, Verdict.ACCEPTABLE),
        (44, Verdict.MARGINAL),
        (40, Verdict.MARGINAL),
        (39, Verdict.UNACCEPTABLE),
    ],
)
def test_effectiveness_counts_whole_parts(effective: int, verdict: Verdict) -> None:
    reference = np.repeat([0, 1], 25)
    ratings = np.repeat(reference[:, None, None], 3, axis=2)
    ratings[: 50 - effective, 0, 0] = 1 - ratings[: 50 - effective, 0, 0]

    assert attribute_study(ratings, reference).appraisers[0].effectiveness_verdict is verdict


@pytest.mark.parametrize("reference", [0, 1])
def test_one_kind_of_part_leaves_no_verdict(reference: int) -> None:
    study = attribute_study(np.full((4, 2, 2), reference), np.full(4, reference))

    assert study.verdict is None
    assert study.reason == "The study needs both good and bad parts for a verdict."
    appraiser = study.appraisers[0]
    empty = appraiser.false_alarms if reference == 0 else appraiser.misses
    assert (empty.rate, empty.low, empty.high) == (None, None, None)
    assert appraiser.kappa_reference.kappa is None
    assert appraiser.detection.d_prime is None


def test_a_single_judgement_is_a_study_without_agreement() -> None:
    study = attribute_study([[[1]]], [1])

    assert study.fleiss is None
    assert study.ac1 is None
    assert study.system.rate == 1.0


def test_appraisers_are_named() -> None:
    study = attribute_study(np.ones((2, 2, 2)), [1, 0], names=["Ivo", "Ana"])

    assert [found.name for found in study.appraisers] == ["Ivo", "Ana"]
    assert (study.pairs[0].first, study.pairs[0].second) == ("Ivo", "Ana")


@pytest.mark.parametrize(
    ("ratings", "reference", "options", "message"),
    [
        ([[1, 0]], [1], {}, "ratings has shape .*parts x appraisers x trials"),
        ([], [], {}, "ratings has shape"),
        ([[[1, 0], [1]]], [1], {}, "ratings is not a full block"),
        ([[[1, 2]]], [1], {}, "part 1, appraiser 1, trial 2, is 2"),
        ([[[1, np.nan]]], [1], {}, "part 1, appraiser 1, trial 2, is nan"),
        ([[[1, 0]]], [1, 0], {}, "reference holds 2 values; give 1"),
        ([[[1, 0]]], [3], {}, "reference, value 1, is 3"),
        ([[[1, 0]]], [1], {"names": ["A", "B"]}, "names holds 2; give 1"),
        ([[[1, 0]]], [1], {"confidence": 0}, "confidence is 0"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    ratings: npt.ArrayLike, reference: npt.ArrayLike, options: dict[str, Any], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        attribute_study(ratings, reference, **options)
