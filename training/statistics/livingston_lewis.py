"""Livingston and Lewis's estimate of how well and how alike a score classifies people."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import bdtr

from training.statistics.beta_law import BetaLaw
from training.statistics.checks import FloatArray, probability, real_number, vector
from training.statistics.wording import Wording, gettext_noop

ALL_ALIKE = Wording(gettext_noop("All scores are alike; nothing tells the persons apart."))


@dataclass(frozen=True)
class Classification:
    """Shares of persons by true and shown class, and how alike two sittings classify.

    Attributes
    ----------
    true_fail, false_pass : float
        Persons below the cut in truth who fail, who pass.
    true_pass, false_fail : float
        Persons at or above the cut in truth who pass, who fail.
    accuracy : float
        true_fail + true_pass.
    consistency : float
        Share classified alike by two sittings.
    chance : float
        The same when sittings had nothing in common.
    kappa : float or None
        (consistency - chance) / (1 - chance); None when chance is 1.
    """

    true_fail: float
    false_pass: float
    true_pass: float
    false_fail: float
    accuracy: float
    consistency: float
    chance: float
    kappa: float | None


@dataclass(frozen=True)
class LivingstonLewis:
    """Effective length, law of true scores and the classification that follows.

    ``law`` lies on the share of the score range; ``reason`` says why the rest is None.
    """

    effective_length: float | None
    law: BetaLaw | None
    classification: Classification | None
    reason: Wording | None


def livingston_lewis(
    scores: npt.ArrayLike,
    cut: float,
    reliability: float,
    *,
    lowest: float = 0.0,
    highest: float,
    parameters: int = 4,
) -> LivingstonLewis:
    """Return accuracy and consistency of passing at a cut score.

    Parameters
    ----------
    scores : array_like, shape (persons,)
        Observed scores, at least two, within lowest to highest; a high one passes.
    cut : float
        Score that passes, above lowest and at most highest.
    reliability : float
        Of the scores, in (0, 1): KR-20 for one fixed form, KR-21 for random draws.
    lowest, highest : float
        Ends of the score range.
    parameters : {4, 2}, optional
        Of the law of true scores: 4 as published; 2 keeps to the whole range, steadier
        where nearly everybody is near one end, as with error rates of a few per cent.

    Returns
    -------
    LivingstonLewis
        With a reason and None instead when all scores are alike.

    Raises
    ------
    ValueError
        For scores out of range, fewer than two, a cut or a reliability out of range.

    Notes
    -----
    Effective length [(m - lowest)(highest - m) - r v] / [v (1 - r)] with the sample
    variance v, then a beta law of true scores from the first four moments (Hanson);
    where no such law exists within the range, from the first two over all of it. The length is rounded for the binomial errors.

    References
    ----------
    .. [1] S. A. Livingston and C. Lewis, "Estimating the consistency and accuracy of
       classifications based on test scores", Journal of Educational Measurement 32
       (1995), 179-197.
    .. [2] B. A. Hanson, "Method of moments estimates for the four-parameter beta
       compound binomial model", ACT Research Report 91-5 (1991).

    Examples
    --------
    >>> scores = [31, 35, 36, 38, 38, 39, 39, 40, 40, 40]
    >>> result = livingston_lewis(scores, 36, 0.6, highest=40)
    >>> 0.5 < result.classification.consistency < result.classification.accuracy < 1
    True
    """
    clean = vector("scores", scores)
    if clean.size < 2:
        raise ValueError(f"scores holds {clean.size} value(s); give at least two persons.")
    lowest = real_number("lowest", lowest)
    highest = real_number("highest", highest, lowest, open_ends=True)
    if clean.min() < lowest or clean.max() > highest:
        raise ValueError(
            f"scores run from {clean.min():g} to {clean.max():g}, beyond {lowest:g} to "
            f"{highest:g}; state the score range as lowest and highest."
        )
    cut = real_number("cut", cut, lowest, highest)
    if parameters not in (2, 4):
        raise ValueError(f"parameters is {parameters}; give 4 or 2.")
    reliability = probability("reliability", reliability, open_ends=True)
    mean, variance = float(clean.mean()), float(clean.var(ddof=1))
    if variance == 0:
        return LivingstonLewis(None, None, None, ALL_ALIKE)
    spread = (mean - lowest) * (highest - mean)
    length = max(1.0, (spread - reliability * variance) / (variance * (1 - reliability)))
    law = _true_scores((clean - lowest) / (highest - lowest) * length, length, parameters)
    share = (cut - lowest) / (highest - lowest)
    return LivingstonLewis(length, law, classify(law, round(length), share), None)


def classify(law: BetaLaw, length: int, cut: float) -> Classification:
    """Return how binomial scores of a given length classify persons at a cut.

    Parameters
    ----------
    law : BetaLaw
        True shares of right answers among persons.
    length : int
        Answers of one sitting, at least 1.
    cut : float
        Share right from which on a person should and does pass, in [0, 1].

    Returns
    -------
    Classification

    Examples
    --------
    >>> result = classify(BetaLaw(5, 3, 0.25, 0.75), 50, 0.5)
    >>> round(result.accuracy, 6), round(result.consistency, 6)
    (0.836981, 0.774991)
    """
    # Slack for a cut such as 62 / 65, whose product with 65 rounds to above 62.
    most_that_fail = math.ceil(cut * length - 1e-9) - 1

    def chances(rates: FloatArray) -> FloatArray:
        fails = (
            np.asarray(bdtr(most_that_fail, length, rates)) if most_that_fail >= 0 else 0 * rates
        )
        return np.stack([fails, 1 - fails, fails**2 + (1 - fails) ** 2])

    below, above = law.parts(chances, cut)
    true_fail, false_pass, alike_below = (float(x) for x in below)
    false_fail, true_pass, alike_above = (float(x) for x in above)
    consistency = alike_below + alike_above
    failing = true_fail + false_fail
    chance = failing**2 + (1 - failing) ** 2
    return Classification(
        true_fail=true_fail,
        false_pass=false_pass,
        true_pass=true_pass,
        false_fail=false_fail,
        accuracy=true_fail + true_pass,
        consistency=consistency,
        chance=chance,
        kappa=kappa_above_chance(consistency, chance),
    )


def kappa_above_chance(consistency: float, chance: float) -> float | None:
    """Return agreement beyond chance; None when chance alone agrees always."""
    return None if 1 - chance < 1e-12 else (consistency - chance) / (1 - chance)


def _true_scores(scores: FloatArray, length: float, parameters: int) -> BetaLaw:
    """Fit the law of true shares to scores on 0..length."""
    moments = []
    product = np.ones_like(scores)
    divisor = 1.0
    for k in range(4):
        product = product * (scores - k)
        divisor *= length - k
        moments.append(float(product.mean()) / divisor if divisor > 0 else math.nan)
    law = _four_moments(*moments) if parameters == 4 else None
    if law is None or not 0 <= law.low < law.high <= 1:
        return _two_moments(moments[0], moments[1], scores, length)
    return law


def _four_moments(m1: float, m2: float, m3: float, m4: float) -> BetaLaw | None:
    variance = m2 - m1**2
    if not variance > 0:
        return None
    skew = (m3 - 3 * m1 * m2 + 2 * m1**3) / variance**1.5
    kurtosis = (m4 - 4 * m1 * m3 + 6 * m1**2 * m2 - 3 * m1**4) / variance**2
    denominator = 6 + 3 * skew**2 - 2 * kurtosis
    if not denominator > 0:
        return None
    size = 6 * (kurtosis - skew**2 - 1) / denominator
    inner = (size + 2) * (size + 3) * kurtosis - 3 * (size - 6) * (size + 1)
    square = 1 - 24 * (size + 1) / inner
    if not (size > 0 and 0 <= square < 1):
        return None
    larger, smaller = size / 2 * (1 + math.sqrt(square)), size / 2 * (1 - math.sqrt(square))
    alpha, beta = (larger, smaller) if skew < 0 else (smaller, larger)
    step = math.sqrt(variance * (size + 1) / (alpha * beta))
    return BetaLaw(alpha, beta, m1 - alpha * step, m1 + beta * step)


def _two_moments(m1: float, m2: float, scores: FloatArray, length: float) -> BetaLaw:
    mean = float(scores.mean()) / length
    variance = m2 - m1**2
    # Less variance than binomial error leaves all but no spread of true scores.
    ratio = variance / (mean * (1 - mean)) if variance > 0 else 1e-6
    size = 1 / min(max(ratio, 1e-6), 0.999) - 1
    return BetaLaw(mean * size, (1 - mean) * size)
