"""How long the eye for a family lasts: what requalifications show, and the day it is due."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache

import numpy as np
from scipy.optimize import brentq
from scipy.stats import gamma

from training.statistics.checks import FloatArray, real_number
from training.statistics.sampling_plan import checked_pair
from training.statistics.wording import Wording, gettext_noop

DAYS_PER_YEAR = 365.25
# A certificate is due when this share of such people would still judge well enough.
RETAINED = 0.90
LEAST_REQUALIFICATIONS = 100
LEAST_FAILED = 10
WIDEST_RATIO = 3.0
# No statement reaches further than the gaps observed, by these factors.
EDGE_BELOW, EDGE_ABOVE = 0.8, 1.25
# Prior of the methods study: the mean rate of loss per year is log-normal around .105
# (90 % left after a year) with deviation .7; the shape of its spread among people.
MEDIAN_LOSS, LOSS_DEVIATION = 0.105, 0.7
SHAPES = (0.5, 1.0, 2.0, 4.0, 8.0)
SHAPE_WEIGHTS = (0.15, 0.25, 0.30, 0.20, 0.10)
RATES = np.geomspace(1e-6, 50.0, 400)
MEANS = MEDIAN_LOSS * np.exp(LOSS_DEVIATION * np.linspace(-3.5, 3.5, 81))

FEW = gettext_noop("%(found)d requalifications; at least %(needed)d are needed.")
FEW_FAILED = gettext_noop("%(found)d failed requalifications; at least %(needed)d are needed.")
WIDE = gettext_noop("The estimate is too uncertain: its interval spans a factor of %(ratio).1f.")
BEYOND = gettext_noop("Not supported by the data: the estimate lies outside the gaps observed.")
NO_MODEL = gettext_noop(
    "Nothing is known about how long this family lasts; the fixed validity stands."
)
LASTS = gettext_noop("The skill is expected to last longer; the fixed validity stands.")
SHORTENED = gettext_noop("90 %% of such people would still judge well enough on %(day)s.")
AT_EDGE = gettext_noop("Due at the edge of what the gaps observed so far support.")


@dataclass(frozen=True)
class Requalification:
    """Years since the family was last passed, and whether it was passed again."""

    years: float
    passed: bool


@dataclass(frozen=True)
class RetentionFit:
    """What requalifications of one family say about how long the eye for it lasts.

    Attributes
    ----------
    years : float or None
        Time after which 90 % of people new to requalification still judge well
        enough; None when the data do not support a figure.
    low, high : float or None
        Its 90 % interval.
    left_after_a_year : float
        Expected share after one year.
    operator_years : dict of str to float
        The same time for each person with a history; empty when not supported.
    requalifications, failed : int
        What the fit rests on.
    shortest, longest : float or None
        Gaps observed, in years.
    reason : Wording or None
        Why no figure is supported; None when one is.
    """

    years: float | None
    low: float | None
    high: float | None
    left_after_a_year: float
    requalifications: int
    failed: int
    shortest: float | None
    longest: float | None
    reason: Wording | None
    operator_years: dict[str, float] = field(default_factory=dict)

    @property
    def supported(self) -> bool:
        """Whether the fit may shorten a validity."""
        return self.reason is None


@dataclass(frozen=True)
class DueDate:
    """Day by which a person must requalify, whether the model moved it, and why."""

    on: date
    shortened: bool
    reason: Wording


def fit_retention(
    histories: Mapping[str, Sequence[Requalification]],
    alpha: float = 0.05,
    beta: float = 0.10,
) -> RetentionFit:
    """Fit how long the eye for one family lasts to all requalifications of it.

    Parameters
    ----------
    histories : mapping of str to sequence of Requalification
        Each person's requalifications of the family; may be empty.
    alpha, beta : float, optional
        Risks of the examination: failing although the skill is there, and passing
        although it is lost; in (0, 1), together below 1.

    Returns
    -------
    RetentionFit
        ``supported`` only with at least 100 requalifications, 10 of them failed, an
        interval within a factor of 3 and an estimate inside the gaps observed.

    Raises
    ------
    ValueError
        For a gap that is not a positive number of years, or risks out of range.

    Notes
    -----
    A person loses the skill at a constant rate; rates differ among people as a gamma
    law with shape a and mean m, so that (1 + m t / a)^-a of a group is left after t
    years: exponential for a person, a power law for a group (R. B. Anderson and
    R. D. Tweney, Memory & Cognition 25 (1997), from memory). m and a are averaged
    over a grid with the priors above. Nothing published gives an interval for
    judging moulded parts; until a plant's own data speak, the fixed validity stands.

    Examples
    --------
    >>> fit = fit_retention({})
    >>> round(fit.left_after_a_year, 2), str(fit.reason)
    (0.89, '0 requalifications; at least 100 are needed.')
    """
    alpha, beta = checked_pair(alpha, beta)
    clean = {name: _history(name, history) for name, history in histories.items() if history}
    law, newcomer, own = _posterior(clean, alpha, beta)
    seen = [each for history in clean.values() for each in history]
    return _summary(law, newcomer, own, seen)


def due_date(fit: RetentionFit | None, person: str, passed_on: date, valid_until: date) -> DueDate:
    """Return the day by which a person must requalify.

    Parameters
    ----------
    fit : RetentionFit or None
        Of the family; None where nothing was fitted.
    person : str
        Key of the person in the histories; others get the newcomers' time.
    passed_on : date
        Day the family was last passed.
    valid_until : date
        Last day of the fixed validity, after passed_on.

    Returns
    -------
    DueDate
        Never later than valid_until; earlier only when the fit is supported.

    Raises
    ------
    ValueError
        When valid_until is not after passed_on.

    Examples
    --------
    >>> due = due_date(None, "0417", date(2026, 3, 1), date(2027, 3, 1))
    >>> due.on, due.shortened
    (datetime.date(2027, 3, 1), False)
    """
    if valid_until <= passed_on:
        raise ValueError(
            f"valid_until is {valid_until}, not after passed_on {passed_on}; check both days."
        )
    if fit is None:
        return DueDate(valid_until, False, Wording(NO_MODEL))
    if fit.reason is not None:
        return DueDate(valid_until, False, fit.reason)
    if fit.years is None or fit.shortest is None or fit.longest is None:
        return DueDate(valid_until, False, Wording(BEYOND))
    years = fit.operator_years.get(person, fit.years)
    within = min(max(years, EDGE_BELOW * fit.shortest), EDGE_ABOVE * fit.longest)
    on = passed_on + timedelta(days=math.floor(within * DAYS_PER_YEAR))
    if on >= valid_until:
        return DueDate(valid_until, False, Wording(LASTS))
    if within != years:
        return DueDate(on, True, Wording(AT_EDGE))
    return DueDate(on, True, Wording(SHORTENED, day=on.isoformat()))


def _history(name: str, history: Sequence[Requalification]) -> list[Requalification]:
    for i, each in enumerate(history):
        real_number(
            f"histories[{name!r}][{i}].years",
            each.years,
            0.0,
            open_ends=True,
            remedy="give the years since the family was last passed",
        )
    return list(history)


def _likelihood(history: list[Requalification], alpha: float, beta: float) -> FloatArray:
    """Return the chance of a person's history at each rate of loss."""
    years = np.array([each.years for each in history])[:, np.newaxis]
    passed = np.array([each.passed for each in history], dtype=bool)[:, np.newaxis]
    kept = np.exp(-RATES * years)
    passing = kept * (1 - alpha) + (1 - kept) * beta
    product: FloatArray = np.where(passed, passing, 1 - passing).prod(axis=0)
    return product


def _posterior(
    histories: dict[str, list[Requalification]], alpha: float, beta: float
) -> tuple[FloatArray, FloatArray, dict[str, FloatArray]]:
    """Return weights of the laws, of a newcomer's rates of loss and of each person's."""
    spread = _spread()
    chances = {name: _likelihood(history, alpha, beta) for name, history in histories.items()}
    by_law = {name: np.log(spread @ chance) for name, chance in chances.items()}
    log_law = _log_prior()
    for each in by_law.values():
        log_law = log_law + each
    own = {}
    for name, chance in chances.items():
        # A person's own history must not count twice.
        others = np.tensordot(_normal(log_law - by_law[name]), spread, 2) * chance
        own[name] = others / others.sum()
    law = _normal(log_law)
    return law, np.tensordot(law, spread, 2), own


@cache
def _spread() -> FloatArray:
    """Return the weight of each rate of loss for each mean and shape."""
    density = np.array([[gamma.pdf(RATES, a, scale=m / a) * RATES for a in SHAPES] for m in MEANS])
    weights: FloatArray = density / density.sum(axis=2, keepdims=True)
    return weights


def _log_prior() -> FloatArray:
    z = np.log(MEANS / MEDIAN_LOSS) / LOSS_DEVIATION
    return -(z**2)[:, np.newaxis] / 2 + np.log(SHAPE_WEIGHTS)


def _normal(log_weights: FloatArray) -> FloatArray:
    weights: FloatArray = np.exp(log_weights - log_weights.max())
    weights /= weights.sum()
    return weights


def _lasts(weights: FloatArray) -> float:
    """Return the years after which 90 % are left, given weights of the rates of loss."""
    return float(brentq(lambda t: weights @ np.exp(-RATES * t) - RETAINED, 0.0, 1e6))


def _summary(
    law: FloatArray,
    newcomer: FloatArray,
    own: dict[str, FloatArray],
    seen: list[Requalification],
) -> RetentionFit:
    years = _lasts(newcomer)
    low, high = _interval(law)
    gaps = [each.years for each in seen]
    failed = sum(not each.passed for each in seen)
    reason = _unsupported(len(seen), failed, high / low)
    if reason is None and not EDGE_BELOW * min(gaps) <= years <= EDGE_ABOVE * max(gaps):
        reason = Wording(BEYOND)
    shown = reason is None
    return RetentionFit(
        years=years if shown else None,
        low=low if shown else None,
        high=high if shown else None,
        left_after_a_year=float(newcomer @ np.exp(-RATES)),
        requalifications=len(seen),
        failed=failed,
        shortest=min(gaps, default=None),
        longest=max(gaps, default=None),
        reason=reason,
        operator_years={name: _lasts(weights) for name, weights in own.items()} if shown else {},
    )


def _interval(law: FloatArray) -> tuple[float, float]:
    """Return the 5 % and 95 % points of the time after which 90 % are left."""
    shapes = np.array(SHAPES)
    times = (shapes * (RETAINED ** (-1 / shapes) - 1) / MEANS[:, np.newaxis]).ravel()
    order = np.argsort(times)
    reached = np.cumsum(law.ravel()[order])
    low, high = (float(times[order][np.searchsorted(reached, q)]) for q in (0.05, 0.95))
    return low, high


def _unsupported(count: int, failed: int, ratio: float) -> Wording | None:
    if count < LEAST_REQUALIFICATIONS:
        return Wording(FEW, found=count, needed=LEAST_REQUALIFICATIONS)
    if failed < LEAST_FAILED:
        return Wording(FEW_FAILED, found=failed, needed=LEAST_FAILED)
    return Wording(WIDE, ratio=ratio) if ratio >= WIDEST_RATIO else None
