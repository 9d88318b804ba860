"""Analytic method of an accept/reject gauge: the textbook case, mirrors, what it refuses."""

import numpy as np
import numpy.typing as npt
import pytest
from scipy.stats import linregress, norm
from scipy.stats import t as student

from tests.training.statistics.published_data import numbers
from training.statistics.operator_limit import analytic_method

REFERENCE, ACCEPTED, TRIALS = numbers("attribute_gauge_analytic.csv").T


def some(value: float | None) -> float:
    assert value is not None
    return value


def test_line_agrees_with_scipys_regression() -> None:
    share = ACCEPTED[:8] / 20
    shifted = np.where(share < 0.5, share + 0.025, np.where(share > 0.5, share - 0.025, 0.5))
    line = linregress(REFERENCE[:8], norm.ppf(shifted))

    found = analytic_method(REFERENCE, ACCEPTED, 20, -0.010)

    assert found.parts == 8
    assert found.slope == pytest.approx(line.slope)
    assert found.intercept == pytest.approx(line.intercept)
    assert found.critical_t == pytest.approx(student.ppf(0.975, 19))
    assert found.biased


def test_order_and_repeated_clean_parts_do_not_matter() -> None:
    order = np.random.default_rng(0).permutation(REFERENCE.size)
    more = np.append(REFERENCE, [-0.02, -0.005, 0.0]), np.append(ACCEPTED, [0, 20, 20])

    found = analytic_method(REFERENCE, ACCEPTED, 20, -0.010)

    for x, count in ((REFERENCE[order], ACCEPTED[order]), more):
        again = analytic_method(x, count, 20, -0.010)
        assert again.bias == pytest.approx(some(found.bias))
        assert again.repeatability == pytest.approx(some(found.repeatability))


def test_an_upper_limit_is_the_mirror_of_a_lower_one() -> None:
    found = analytic_method(REFERENCE, ACCEPTED, 20, -0.010)

    upper = analytic_method(-REFERENCE, ACCEPTED, 20, 0.010)

    assert some(upper.bias) == pytest.approx(-some(found.bias))
    assert some(upper.slope) == pytest.approx(-some(found.slope))
    assert some(upper.repeatability) == pytest.approx(some(found.repeatability))
    assert some(upper.t) == pytest.approx(some(found.t))


def test_unit_scales_bias_and_repeatability_and_leaves_t() -> None:
    found = analytic_method(REFERENCE, ACCEPTED, 20, -0.010)

    scaled = analytic_method(1000 * REFERENCE, ACCEPTED, 20, -10)

    assert some(scaled.bias) == pytest.approx(1000 * some(found.bias))
    assert some(scaled.t) == pytest.approx(some(found.t))


def test_no_bias_is_no_bias() -> None:
    found = analytic_method(
        REFERENCE, ACCEPTED, 20, some(analytic_method(REFERENCE, ACCEPTED, 20, 0).half_accepted_at)
    )

    assert found.bias == pytest.approx(0, abs=1e-12)
    assert found.biased is False


@pytest.mark.parametrize(
    ("reference", "accepted", "trials", "reason"),
    [
        (REFERENCE, ACCEPTED, 25, "20 trials of each part, not 25"),
        (REFERENCE[:5], ACCEPTED[:5], 20, "5 usable parts, 4 of them judged both ways"),
        (REFERENCE, np.zeros(9), 20, "0 usable parts"),
        (REFERENCE, np.full(9, 20), 20, "0 usable parts"),
        (np.full(9, 0.1), np.arange(9) + 1, 20, "All parts have the same value"),
        ([-4, -3, -2, -1, 1, 2, 3, 4], [8, 8, 8, 8, 8, 8, 8, 8], 20, "does not change"),
        ([], [], 20, "0 usable parts"),
    ],
)
def test_what_the_method_cannot_do_is_none_with_a_reason(
    reference: npt.ArrayLike, accepted: npt.ArrayLike, trials: int, reason: str
) -> None:
    found = analytic_method(reference, accepted, trials, -0.010)

    assert (found.bias, found.repeatability, found.t, found.biased) == (None, None, None, None)
    assert found.reason is not None
    assert reason in found.reason


@pytest.mark.parametrize(
    ("reference", "accepted", "trials", "limit", "message"),
    [
        ([0, 1], [21, 3], 20, 0, "accepted, value 1, is 21 of 20 trials"),
        ([0, 1], [-1, 3], 20, 0, "accepted, value 1, is -1"),
        ([0, np.nan], [1, 3], 20, 0, "reference holds NaN"),
        ([0, 1, 2], [1, 3], 20, 0, "differ in length"),
        ([0, 1], [1, 3], 0, 0, "trials is 0"),
        ([0, 1], [1, 3], 20, float("nan"), "limit is nan"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    reference: npt.ArrayLike, accepted: npt.ArrayLike, trials: int, limit: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        analytic_method(reference, accepted, trials, limit)
