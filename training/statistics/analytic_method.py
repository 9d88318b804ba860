"""Bias and repeatability of an accept/reject gauge, by the analytic method."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri, stdtrit

from training.statistics.checks import FloatArray, real_number, vector, whole_number
from training.statistics.counts import right_of_answered
from training.statistics.wording import Wording, gettext_noop

# Constants of the method hold for 20 trials of each part (AIAG, Measurement Systems
# Analysis, 4th ed. 2010, chapter III-C; from memory).
TRIALS = 20
LEAST_PARTS, LEAST_INTERIOR = 8, 6
REPEATABILITY_FACTOR, T_FACTOR = 1.08, 31.3
# 99 % of a normal distribution: z(.995) - z(.005).
SPAN = float(ndtri(0.995) - ndtri(0.005))


@dataclass(frozen=True)
class AnalyticMethod:
    """What the gauge performance curve says; all None with a reason when it says nothing.

    Attributes
    ----------
    bias : float or None
        Limit less the value accepted half the time, in the unit of the reference.
    repeatability : float or None
        Span of 99 % of the curve / 1.08.
    span : float or None
        The same before the division.
    t : float or None
        31.3 |bias| / repeatability, 19 degrees of freedom.
    critical_t : float
        Beyond it (two-sided 5 %) the bias is more than chance: 2.093.
    biased : bool or None
    intercept, slope : float or None
        Of the straight line through the normal deviates of acceptance.
    half_accepted_at : float or None
        Reference value accepted half the time.
    parts : int
        Parts the line was drawn through.
    reason : Wording or None
    """

    bias: float | None
    repeatability: float | None
    span: float | None
    t: float | None
    critical_t: float
    biased: bool | None
    intercept: float | None
    slope: float | None
    half_accepted_at: float | None
    parts: int
    reason: Wording | None


def analytic_method(
    reference: npt.ArrayLike, accepted: npt.ArrayLike, trials: int, limit: float
) -> AnalyticMethod:
    """Estimate bias and repeatability of an accept/reject gauge or of an eye.

    Parameters
    ----------
    reference : array_like, shape (parts,)
        Measured value of each part, around one limit.
    accepted : array_like of int, shape (parts,)
        How often each part was accepted.
    trials : int
        How often each part was judged; the method's constants hold for 20.
    limit : float
        The limit itself, in the unit of the reference.

    Returns
    -------
    AnalyticMethod
        Without numbers when trials differ from 20, fewer than 8 parts (6 of them
        judged both ways) are left, or acceptance does not change with the value.

    Raises
    ------
    ValueError
        For NaN, negative counts, more acceptances than trials, or different lengths.

    Notes
    -----
    A share a/m of acceptances becomes (a + .5)/m below one half, (a - .5)/m above, .5
    at it; of the parts never accepted only the one nearest the limit stays, likewise
    of those always accepted. A least-squares line through the normal deviates gives
    half_accepted_at = -intercept/slope, span = z(.995) - z(.005) over |slope|. AIAG,
    Measurement Systems Analysis, 4th ed. 2010, III-C (from memory); the manual reads
    its example off probability paper and prints .0073 where least squares gives .0079.

    Examples
    --------
    >>> values = [-16, -15, -14, -13, -12, -11, -10.5, -10, -8]
    >>> found = analytic_method(values, [0, 1, 3, 5, 8, 16, 18, 20, 20], 20, -10)
    >>> round(found.bias, 3), round(found.repeatability, 3), found.biased
    (2.427, 7.918, True)
    """
    x = vector("reference", reference)
    whole_number("trials", trials, 1)
    count, _ = right_of_answered(accepted, np.full(x.size, trials), ("accepted", "trials"))
    vector("accepted", count, x.size)
    target = real_number("limit", limit)
    keep = _parts_on_the_curve(x, count, trials)
    x, count = x[keep], count[keep]
    reason = _why_not(x, count, trials)
    if reason is not None:
        return _nothing(int(x.size), reason)
    deviate = ndtri(_shifted_share(count, trials))
    centred = x - x.mean()
    slope = float(centred @ deviate / (centred @ centred))
    if abs(slope) * float(np.ptp(x)) < 1e-9:
        return _nothing(
            int(x.size), Wording(gettext_noop("Acceptance does not change with the value."))
        )
    intercept = float(deviate.mean() - slope * x.mean())
    half = -intercept / slope
    span = SPAN / abs(slope)
    t = T_FACTOR * abs(target - half) / (span / REPEATABILITY_FACTOR)
    critical = _critical_t()
    return AnalyticMethod(
        bias=target - half,
        repeatability=span / REPEATABILITY_FACTOR,
        span=span,
        t=t,
        critical_t=critical,
        biased=t > critical,
        intercept=intercept,
        slope=slope,
        half_accepted_at=half,
        parts=int(x.size),
        reason=None,
    )


def _nothing(parts: int, reason: Wording) -> AnalyticMethod:
    return AnalyticMethod(
        None, None, None, None, _critical_t(), None, None, None, None, parts, reason
    )


def _critical_t() -> float:
    return float(stdtrit(TRIALS - 1, 0.975))


def _parts_on_the_curve(x: FloatArray, count: FloatArray, trials: int) -> npt.NDArray[np.intp]:
    """Keep every part judged both ways and the nearest one of those judged one way only."""
    interior = np.flatnonzero((count > 0) & (count < trials))
    if interior.size == 0:
        return interior
    middle = float(x[interior].mean())
    nearest = [
        same[np.abs(x[same] - middle).argmin()]
        for same in (np.flatnonzero(count == 0), np.flatnonzero(count == trials))
        if same.size
    ]
    kept: npt.NDArray[np.intp] = np.sort(np.concatenate([interior, np.array(nearest, np.intp)]))
    return kept


def _shifted_share(count: FloatArray, trials: int) -> FloatArray:
    share = count / trials
    shift = np.where(share < 0.5, 0.5, np.where(share > 0.5, -0.5, 0.0))
    shifted: FloatArray = (count + shift) / trials
    return shifted


def _why_not(x: FloatArray, count: FloatArray, trials: int) -> Wording | None:
    if trials != TRIALS:
        return Wording(
            gettext_noop("The method's constants hold for 20 trials of each part, not %(trials)d."),
            trials=trials,
        )
    interior = int(((count > 0) & (count < trials)).sum())
    if x.size < LEAST_PARTS or interior < LEAST_INTERIOR:
        return Wording(
            gettext_noop(
                "%(parts)d usable parts, %(interior)d of them judged both ways; the method "
                "needs %(need_parts)d and %(need_interior)d."
            ),
            parts=int(x.size),
            interior=interior,
            need_parts=LEAST_PARTS,
            need_interior=LEAST_INTERIOR,
        )
    if math.isclose(float(np.ptp(x)), 0.0):
        return Wording(gettext_noop("All parts have the same value."))
    return None
