"""The level answered one way half the time, by maximum likelihood of a probit curve."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.special import gammaln, ndtr, xlogy

from training.statistics.checks import FloatArray, probability, vector
from training.statistics.counts import right_of_answered
from training.statistics.wording import Wording, gettext_noop

MOST_ROUNDS = 200
# Beyond 25 the square of the normal distribution function leaves the range of a double.
FARTHEST = 25.0
# A curve steeper than this over the range of levels is a step: it has no finite slope.
STEEPEST = 1e3
# Information each answer leaves, and share of it apart from place, once a curve has run
# away to a step.
LEAST_INFORMATION, LEAST_APART = 1e-6, 1e-8


@dataclass(frozen=True)
class ProbitFit:
    """A fitted curve; all None with a reason where the likelihood has no maximum.

    Attributes
    ----------
    threshold : float or None
        Level at which the normal curve, before guesses and lapses, is one half.
    threshold_se : float or None
        From the expected information, delta method.
    sigma : float or None
        Spread of the curve in the unit of level.
    intercept, slope : float or None
        Of the linear predictor: Phi(intercept + slope level).
    deviance : float or None
        Twice the log-likelihood lost against one proportion for each level.
    log_likelihood : float or None
        With the binomial coefficients.
    reason : Wording or None
    """

    threshold: float | None
    threshold_se: float | None
    sigma: float | None
    intercept: float | None
    slope: float | None
    deviance: float | None
    log_likelihood: float | None
    reason: Wording | None


class _Curve(NamedTuple):
    """Grouped answers on standardised levels."""

    level: FloatArray
    positive: FloatArray
    trials: FloatArray
    guess: float
    lapse: float

    def shares(self, line: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Probability of a positive, of a negative answer, and the former's slope."""
        z = np.clip(line[0] + line[1] * self.level, -FARTHEST, FARTHEST)
        free = 1.0 - self.guess - self.lapse
        density = np.exp(-0.5 * z**2) / math.sqrt(2 * math.pi)
        return self.guess + free * ndtr(z), self.lapse + free * ndtr(-z), free * density

    def log_likelihood(self, line: FloatArray) -> float:
        """Without the binomial coefficients."""
        yes, no, _ = self.shares(line)
        negative = self.trials - self.positive
        return float((xlogy(self.positive, yes) + xlogy(negative, no)).sum())

    def score(self, line: FloatArray) -> FloatArray:
        """Gradient of the log-likelihood."""
        yes, no, slope = self.shares(line)
        pull = slope * (self.positive / yes - (self.trials - self.positive) / no)
        gradient: FloatArray = self._design.T @ pull
        return gradient

    def information(self, line: FloatArray) -> FloatArray:
        """Expected information."""
        yes, no, slope = self.shares(line)
        weight = self.trials * slope**2 / (yes * no)
        return self._weighted(weight)

    def curvature(self, line: FloatArray) -> FloatArray:
        """Minus the second derivative of the log-likelihood: observed information."""
        yes, no, slope = self.shares(line)
        negative = self.trials - self.positive
        z = line[0] + line[1] * self.level
        bend = z * slope * (self.positive / yes - negative / no)
        return self._weighted(bend + slope**2 * (self.positive / yes**2 + negative / no**2))

    def _weighted(self, weight: FloatArray) -> FloatArray:
        square: FloatArray = (self._design.T * weight) @ self._design
        return square

    @property
    def _design(self) -> FloatArray:
        return np.column_stack([np.ones(self.level.size), self.level])


def probit_threshold(
    level: npt.ArrayLike,
    positive: npt.ArrayLike,
    trials: npt.ArrayLike,
    *,
    guess: float = 0.0,
    lapse: float = 0.0,
) -> ProbitFit:
    """Fit P(positive) = guess + (1 - guess - lapse) Phi(intercept + slope level).

    Parameters
    ----------
    level : array_like, shape (levels,)
        For instance the severity of a specimen; levels may repeat.
    positive, trials : array_like of int, shape (levels,)
        Answers of the kind counted (rejections, say), and all answers.
    guess, lapse : float, optional
        Known rates of positive answers at the lowest and of negative ones at the
        highest level; their sum is below 1.

    Returns
    -------
    ProbitFit
        All None with a reason when there are fewer than two levels, all answers are
        alike, the answers split cleanly at one level (no finite slope), or they do not
        change with level.

    Raises
    ------
    ValueError
        For NaN, fractions, more positives than trials, different lengths, or rates
        that leave nothing between them.

    Notes
    -----
    Newton's method with halved steps; McCullagh and Nelder (1989, Generalized Linear
    Models, chapters 2 and 4; from memory). With a guess or lapse rate the likelihood
    may have several tops; the highest of three climbs counts.

    Examples
    --------
    >>> found = probit_threshold([0.8, 0.9, 1.0, 1.1, 1.2], [1, 3, 5, 8, 9], [10] * 5)
    >>> round(found.threshold, 3), round(found.sigma, 3)
    (0.989, 0.153)
    """
    x = vector("level", level)
    hits, shown = right_of_answered(positive, trials, ("positive", "trials"))
    vector("positive", hits, x.size)
    low, high = probability("guess", guess), probability("lapse", lapse)
    if low + high >= 1.0:
        raise ValueError("guess and lapse add up to 1 or more; lower one of them.")
    used = shown > 0
    x, hits, shown = x[used], hits[used], shown[used]
    reason = _why_no_curve(x, hits, shown, guess=low)
    if reason is not None:
        return _nothing(reason)
    centre, scale = float(x.mean()), float(x.std())
    curve = _Curve((x - centre) / scale, hits, shown, low, high)
    line = _highest(curve)
    if line is None:
        return _nothing(Wording(gettext_noop("No curve of finite spread fits the answers best.")))
    if abs(line[1]) * float(np.ptp(curve.level)) < 1e-6:
        return _nothing(Wording(gettext_noop("The answers do not change with the level.")))
    return _describe(curve, line, centre, scale)


def _describe(curve: _Curve, line: FloatArray, centre: float, scale: float) -> ProbitFit:
    slope = float(line[1]) / scale
    information = curve.information(line)
    gradient = np.array([-1.0 / line[1], line[0] / line[1] ** 2]) * scale
    variance = float(gradient @ np.linalg.solve(information, gradient))
    reached = curve.log_likelihood(line)
    negative = curve.trials - curve.positive
    saturated = float(
        (
            xlogy(curve.positive, curve.positive / curve.trials)
            + xlogy(negative, negative / curve.trials)
        ).sum()
    )
    ways = gammaln(curve.trials + 1) - gammaln(curve.positive + 1) - gammaln(negative + 1)
    return ProbitFit(
        threshold=centre - float(line[0] / line[1]) * scale,
        threshold_se=math.sqrt(variance),
        sigma=1.0 / abs(slope),
        intercept=float(line[0]) - slope * centre,
        slope=slope,
        deviance=2.0 * (saturated - reached),
        log_likelihood=reached + float(ways.sum()),
        reason=None,
    )


def _nothing(reason: Wording) -> ProbitFit:
    return ProbitFit(None, None, None, None, None, None, None, reason)


def _why_no_curve(
    x: FloatArray, positive: FloatArray, trials: FloatArray, *, guess: float
) -> Wording | None:
    if x.size == 0 or float(np.ptp(x)) == 0.0:
        return Wording(gettext_noop("Answers at two or more different levels are needed."))
    if not positive.any() or not (trials - positive).any():
        return Wording(gettext_noop("All answers are alike: the threshold is out of reach."))
    yes, no = x[positive > 0], x[positive < trials]
    clean = float(no.max()) <= float(yes.min()) or float(yes.max()) <= float(no.min())
    if clean and guess == 0.0:
        return Wording(gettext_noop("The answers split too cleanly: no finite spread."))
    return None


def _first_line(curve: _Curve) -> FloatArray:
    """Straight line through rough normal deviates, as a start."""
    share = (curve.positive + 0.5) / (curve.trials + 1.0)
    inner = (share - curve.guess) / (1.0 - curve.guess - curve.lapse)
    deviate = 4.0 * (np.clip(inner, 0.02, 0.98) - 0.5)
    slope = float((curve.trials * curve.level) @ deviate) / float(curve.trials @ curve.level**2)
    return np.array([float(curve.trials @ deviate) / float(curve.trials.sum()), slope])


def _highest(curve: _Curve) -> FloatArray | None:
    """Climb from several slopes; None when the highest point is no finite curve.

    Without guesses and lapses the likelihood has a single top. With them it may have
    several, and a steep curve may be higher than a shallow one.
    """
    first = _first_line(curve)
    steeper = [1.0] if curve.guess + curve.lapse == 0.0 else [1.0, 3.0, 10.0]
    tops = [_climb(curve, first * [1.0, factor]) for factor in steeper]
    height, line, finite = max(tops, key=lambda top: top[0])
    return line if finite and math.isfinite(height) else None


def _climb(curve: _Curve, line: FloatArray) -> tuple[float, FloatArray, bool]:
    """Newton's method with halved steps: height and place reached, and whether a top."""
    height = curve.log_likelihood(line)
    answers = float(curve.trials.sum())
    for _ in range(MOST_ROUNDS):
        information = curve.information(line)
        if _runs_away(information, answers):
            return height, line, False
        observed = curve.curvature(line)
        concave = observed[0, 0] > 0 and float(np.linalg.det(observed)) > 0
        step = np.linalg.solve(observed if concave else information, curve.score(line))
        if concave and float(np.abs(step).max()) < 1e-9 * (1.0 + float(np.abs(line).max())):
            return height, line + step, abs(float(line[1])) < STEEPEST
        # Round-off may lower the height by a little once the top is reached.
        enough = height - 1e-12 * (1.0 + abs(height))
        size = 1.0
        while curve.log_likelihood(line + size * step) < enough and size > 1e-10:
            size /= 2.0
        line = line + size * step
        height = curve.log_likelihood(line)
    return height, line, False


def _runs_away(information: FloatArray, answers: float) -> bool:
    total = float(np.trace(information))
    apart = float(np.linalg.det(information))
    return total < LEAST_INFORMATION * answers or apart < LEAST_APART * total**2
