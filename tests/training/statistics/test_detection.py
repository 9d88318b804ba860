"""Signal detection: independent formulas, symmetry, degenerate counts, bad input."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from training.statistics.detection import Detection, detection

counts = st.integers(1, 80).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


def some(value: float | None) -> float:
    assert value is not None
    return value


@given(counts, counts)
def test_log_linear_figures_agree_with_the_normal_distribution(
    hits: tuple[int, int], alarms: tuple[int, int]
) -> None:
    found = detection(*hits, *alarms)
    h = (hits[0] + 0.5) / (hits[1] + 1)
    f = (alarms[0] + 0.5) / (alarms[1] + 1)

    assert found.d_prime == pytest.approx(norm.isf(f) - norm.isf(h), abs=1e-9)
    assert found.criterion == pytest.approx((norm.isf(h) + norm.isf(f)) / 2, abs=1e-9)
    # Likelihood ratio at the criterion, from the two densities themselves.
    ratio = norm.pdf(norm.ppf(h)) / norm.pdf(norm.ppf(f))
    assert found.beta == pytest.approx(ratio, rel=1e-9)
    assert found.reason is None


@given(counts, counts)
def test_swapping_accept_and_reject_mirrors_the_leaning_only(
    hits: tuple[int, int], alarms: tuple[int, int]
) -> None:
    """A reject of a bad part becomes an accept of a good one."""
    found = detection(*hits, *alarms)
    swapped = detection(alarms[1] - alarms[0], alarms[1], hits[1] - hits[0], hits[1])

    assert swapped.d_prime == pytest.approx(some(found.d_prime), abs=1e-9)
    assert swapped.criterion == pytest.approx(-some(found.criterion), abs=1e-9)
    assert swapped.a_prime == pytest.approx(some(found.a_prime), abs=1e-9)
    assert swapped.beta == pytest.approx(1 / some(found.beta), rel=1e-9)


@given(counts, counts)
def test_a_prime_stays_within_nought_and_one_and_follows_d_prime(
    hits: tuple[int, int], alarms: tuple[int, int]
) -> None:
    found = detection(*hits, *alarms)

    assert 0 <= some(found.a_prime) <= 1
    if abs(some(found.d_prime)) > 1e-9:
        assert (some(found.d_prime) > 0) == (some(found.a_prime) > 0.5)


@given(counts.filter(lambda xn: xn[0] < xn[1]), counts)
def test_one_more_hit_raises_sensitivity_and_readiness(
    hits: tuple[int, int], alarms: tuple[int, int]
) -> None:
    before = detection(*hits, *alarms)
    after = detection(hits[0] + 1, hits[1], *alarms)

    assert some(after.d_prime) > some(before.d_prime)
    assert some(after.criterion) < some(before.criterion)


def test_area_under_the_curve_of_d_prime() -> None:
    """Stanislaw and Todorov's example: Phi(d'/sqrt 2) = .780611 is the area itself."""
    d_prime = some(detection(20, 25, 10, 25, "none").d_prime)

    area, _ = quad(lambda f: norm.cdf(norm.ppf(f) + d_prime), 0, 1)

    assert norm.cdf(d_prime / math.sqrt(2)) == pytest.approx(area, abs=1e-6)
    assert area == pytest.approx(0.780611, abs=1e-5)


@pytest.mark.parametrize("counts_", [(5, 5, 1, 5), (0, 5, 1, 5), (3, 5, 0, 5), (5, 5, 0, 5)])
def test_extreme_raw_rates_are_explained(counts_: tuple[int, int, int, int]) -> None:
    found = detection(*counts_, correction="none")

    assert (found.d_prime, found.criterion, found.beta) == (None, None, None)
    assert found.a_prime is not None
    assert found.reason == "A rate of 0 or 1 leaves d' infinite; use the log-linear correction."


@pytest.mark.parametrize("counts_", [(0, 5, 0, 5), (5, 5, 5, 5), (2, 5, 2, 5)])
def test_equal_rates_are_guessing(counts_: tuple[int, int, int, int]) -> None:
    assert detection(*counts_, correction="none").a_prime == 0.5
    assert detection(*counts_).d_prime == 0.0


@pytest.mark.parametrize(
    ("counts_", "reason"),
    [((0, 0, 1, 5), "No bad part was shown."), ((3, 5, 0, 0), "No good part")],
)
def test_one_kind_of_part_is_not_enough(counts_: tuple[int, int, int, int], reason: str) -> None:
    found = detection(*counts_)

    assert isinstance(found, Detection)
    assert found.d_prime is None
    assert found.reason is not None
    assert reason in found.reason


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((6, 5, 1, 5), "hits is 6.*no larger than signals"),
        ((1, 5, 6, 5), "false_alarms is 6.*no larger than noises"),
        ((-1, 5, 1, 5), "hits is -1"),
        ((1, -5, 1, 5), "signals is -5"),
        ((1.5, 5, 1, 5), "hits is 1.5"),
        ((float("nan"), 5, 1, 5), "hits is nan"),
        ((1, 5, 1, 5, "other"), "correction is 'other'; choose one of log-linear, none"),
    ],
)
def test_bad_input_is_named_with_its_remedy(arguments: tuple[int, ...], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        detection(*arguments)  # type: ignore[arg-type]
