"""Retention: the study's figures, what makes a fit usable, and that it only shortens."""

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from training.statistics import retention
from training.statistics.retention import (
    Requalification,
    RetentionFit,
    due_date,
    fit_retention,
)

PASSED_ON, VALID_UNTIL = date(2026, 3, 1), date(2027, 3, 1)
passed = Requalification(1.0, passed=True)
failed = Requalification(1.0, passed=False)


def plant(
    people: int,
    each: int,
    mean_loss: float,
    seed: int,
    gaps: tuple[float, ...] = (0.5, 1.0, 1.5, 2.0),
) -> tuple[dict[str, list[Requalification]], dict[str, float]]:
    """Requalifications and true rates of loss of people; the rates have shape 2."""
    rng = np.random.default_rng([6, seed])
    rates = {str(person): float(rng.gamma(2, mean_loss / 2)) for person in range(people)}
    histories = {}
    for person, rate in rates.items():
        years = [float(rng.choice(gaps)) for _ in range(each)]
        kept = [rng.random() < math.exp(-rate * gap) for gap in years]
        passes = [bool(rng.random() < (0.95 if eye else 0.10)) for eye in kept]
        histories[person] = [
            Requalification(gap, ok) for gap, ok in zip(years, passes, strict=True)
        ]
    return histories, rates


def truth(mean_loss: float) -> float:
    """Years after which 90 % are left when the shape is 2."""
    return float(2 * (0.9**-0.5 - 1) / mean_loss)


@pytest.mark.parametrize(
    ("history", "years"),
    [
        ([passed], 0.99),
        ([passed] * 3, 1.22),
        ([passed] * 5, 1.43),
        ([failed], 0.47),
        ([passed, passed, failed], 0.67),
        ([failed, failed], 0.27),
    ],
)
def test_one_person_with_the_prior_only(history: list[Requalification], years: float) -> None:
    """Own study, with a coarser grid: within .025 years."""
    _, _, own = retention._posterior({"0417": history}, 0.05, 0.10)

    assert retention._lasts(own["0417"]) == pytest.approx(years, abs=0.025)


def test_without_data_the_prior_gives_10_months() -> None:
    """.86 years (own study)."""
    _, newcomer, _ = retention._posterior({}, 0.05, 0.10)

    assert retention._lasts(newcomer) == pytest.approx(0.86, abs=0.005)


def test_weights_of_a_law_give_its_power_curve() -> None:
    """(1 + m t / a)^-a of a group is left after t years."""
    for i, mean in ((20, retention.MEANS[20]), (60, retention.MEANS[60])):
        for j, shape in enumerate(retention.SHAPES):
            left = retention._spread()[i, j] @ np.exp(-retention.RATES * 1.5)

            # The grid leaves out the part of the law at rates below 1e-6.
            assert left == pytest.approx((1 + mean * 1.5 / shape) ** -shape, abs=2e-3)


def test_enough_data_give_a_supported_figure_near_the_truth() -> None:
    fit = fit_retention(plant(96, 4, 0.20, seed=1)[0])
    assert fit.years is not None
    assert fit.low is not None
    assert fit.high is not None

    assert fit.supported
    assert fit.low < fit.years < fit.high < 3 * fit.low
    assert fit.years == pytest.approx(truth(0.20), rel=0.35)
    assert set(fit.operator_years) == {str(i) for i in range(96)}


def test_interval_covers_and_errors_stay_within_the_study_s_size() -> None:
    """192 requalifications, 76 % left after a year; study: rmse .22, cover .92."""
    errors, covered = [], []
    for seed in range(25):
        law, newcomer, _ = retention._posterior(plant(48, 4, 0.30, seed=100 + seed)[0], 0.05, 0.10)
        low, high = retention._interval(law)
        errors.append(math.log(retention._lasts(newcomer) / truth(0.30)))
        covered.append(low <= truth(0.30) <= high)

    assert np.sqrt(np.mean(np.square(errors))) < 0.40
    assert np.mean(covered) >= 0.76


@pytest.mark.parametrize(
    ("histories", "reason"),
    [
        ({}, "0 requalifications; at least 100 are needed."),
        ({"0417": [passed] * 27}, "27 requalifications; at least 100 are needed."),
        (
            {str(i): [passed] * 4 for i in range(30)},
            "0 failed requalifications; at least 10 are needed.",
        ),
    ],
)
def test_too_few_data_give_a_reason(
    histories: dict[str, list[Requalification]], reason: str
) -> None:
    fit = fit_retention(histories)

    assert fit.reason == reason
    assert fit.years is fit.low is fit.high is None
    assert fit.operator_years == {}


def test_a_wide_interval_gives_a_reason() -> None:
    fit = fit_retention(plant(24, 5, 0.105, seed=0)[0])

    assert fit.requalifications == 120
    assert fit.failed >= 10
    assert fit.reason is not None
    assert fit.reason.startswith("The estimate is too uncertain: its interval spans a factor of")


def test_loss_before_the_shortest_gap_is_not_extrapolated() -> None:
    """Half the people lose the eye within weeks; nobody is seen before half a year."""
    histories = {str(i): [Requalification(0.5, passed=i % 2 == 0)] * 3 for i in range(80)}
    fit = fit_retention(histories)

    assert fit.years is None
    assert fit.reason is not None
    assert fit.reason.startswith("Not supported by the data")


def test_the_predicted_share_matches_who_passes_next() -> None:
    """After four requalifications, by number failed: predicted within .03 of the truth."""
    histories, rates = plant(1_200, 4, 0.28, seed=4, gaps=(1.0,))
    _, _, own = retention._posterior(histories, 0.05, 0.10)
    left = np.array([own[str(i)] @ np.exp(-retention.RATES) for i in range(1_200)])
    fails = np.array([sum(not r.passed for r in histories[str(i)]) for i in range(1_200)])
    true = np.exp(-np.array(list(rates.values())))
    for number in (0, 1, 2):
        group = fails == number

        assert left[group].mean() == pytest.approx(true[group].mean(), abs=0.03)


@settings(max_examples=30)
@given(
    history=st.lists(
        st.builds(Requalification, st.floats(0.05, 5), st.booleans()), min_size=1, max_size=8
    ),
    years=st.floats(0.05, 5),
)
def test_one_more_pass_never_shortens_and_one_more_fail_never_lengthens(
    history: list[Requalification], years: float
) -> None:
    def lasts(more: list[Requalification]) -> float:
        _, _, own = retention._posterior({"0417": history + more}, 0.05, 0.10)
        return retention._lasts(own["0417"])

    assert lasts([Requalification(years, passed=True)]) >= lasts([]) - 1e-9
    assert lasts([Requalification(years, passed=False)]) <= lasts([]) + 1e-9


def test_order_of_people_does_not_matter() -> None:
    histories, _ = plant(60, 4, 0.2, seed=5)
    ahead = fit_retention(histories)
    back = fit_retention(dict(reversed(list(histories.items()))))

    assert back.operator_years == pytest.approx(ahead.operator_years)


def known(years: float, person: float | None = None, **changes: float) -> RetentionFit:
    facts: dict[str, float] = {"shortest": 0.5, "longest": 2.0} | changes
    return RetentionFit(
        years=years,
        low=years / 1.5,
        high=years * 1.5,
        left_after_a_year=0.8,
        requalifications=200,
        failed=30,
        shortest=facts["shortest"],
        longest=facts["longest"],
        reason=None,
        operator_years={} if person is None else {"0417": person},
    )


def test_a_supported_fit_shortens_the_validity() -> None:
    due = due_date(known(0.9, 0.6), "0417", PASSED_ON, VALID_UNTIL)

    assert due.on == PASSED_ON + timedelta(days=219)
    assert due.shortened
    assert due.reason == f"90 % of such people would still judge well enough on {due.on}."


def test_somebody_without_a_history_gets_the_newcomers_time() -> None:
    due = due_date(known(0.9, 0.6), "0533", PASSED_ON, VALID_UNTIL)

    assert due.on == PASSED_ON + timedelta(days=328)


@pytest.mark.parametrize(
    ("fit", "reason"),
    [
        (None, "Nothing is known about how long this family lasts"),
        (known(1.8, 1.9), "The skill is expected to last longer"),
        (fit_retention({}), "0 requalifications; at least 100"),
    ],
)
def test_otherwise_the_fixed_validity_stands_and_says_why(
    fit: RetentionFit | None, reason: str
) -> None:
    due = due_date(fit, "0417", PASSED_ON, VALID_UNTIL)

    assert (due.on, due.shortened) == (VALID_UNTIL, False)
    assert due.reason.startswith(reason)


@pytest.mark.parametrize(
    ("person", "valid_until", "days"),
    [(0.1, VALID_UNTIL, 146), (4.0, date(2031, 3, 1), 913)],
)
def test_a_person_s_time_is_held_to_what_the_gaps_support(
    person: float, valid_until: date, days: int
) -> None:
    due = due_date(known(0.9, person), "0417", PASSED_ON, valid_until)

    assert due.on == PASSED_ON + timedelta(days=days)
    assert due.reason == "Due at the edge of what the gaps observed so far support."


@given(years=st.floats(0.01, 50), person=st.none() | st.floats(0.01, 50), days=st.integers(1, 3000))
def test_the_model_only_ever_shortens(years: float, person: float | None, days: int) -> None:
    valid_until = PASSED_ON + timedelta(days=days)
    due = due_date(known(years, person), "0417", PASSED_ON, valid_until)

    assert PASSED_ON < due.on <= valid_until
    assert due.shortened == (due.on < valid_until)


@pytest.mark.parametrize("years", [0.0, -1.0, math.nan, math.inf])
def test_bad_gaps_are_refused(years: float) -> None:
    with pytest.raises(ValueError, match=r"^histories\['0417'\]\[0\]\.years is .*last passed"):
        fit_retention({"0417": [Requalification(years, passed=True)]})


def test_bad_risks_and_days_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^alpha is 0, not strictly"):
        fit_retention({}, alpha=0)
    with pytest.raises(ValueError, match=r"^valid_until is 2026-03-01, not after passed_on"):
        due_date(None, "0417", PASSED_ON, PASSED_ON)
