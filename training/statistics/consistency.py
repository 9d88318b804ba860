"""Would a second sitting decide alike, and does the plan decide right: from what operators did."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq
from scipy.special import betaincc

from training.statistics.beta_law import BetaLaw, fit_error_rates
from training.statistics.checks import FloatArray, IntArray, probability, vector, whole_number
from training.statistics.group_plan import GroupPlan, group_risks
from training.statistics.livingston_lewis import (
    Classification,
    LivingstonLewis,
    kappa_above_chance,
    livingston_lewis,
)
from training.statistics.sampling_plan import DecisionTable
from training.statistics.sequential_plan import operating_characteristic
from training.statistics.wording import Wording, gettext_noop

__all__ = [
    "Classification",
    "DecisionConsistency",
    "GroupConsistency",
    "LivingstonLewis",
    "decision_consistency",
    "group_consistency",
    "joint_consistency",
    "livingston_lewis",
    "sequential_consistency",
]

LEAST_OPERATORS = 30
TOO_FEW = gettext_noop("%(found)d operators sat this plan; at least %(needed)d are needed.")
# The cut lies between the rates that pass with these chances, at their geometric mean.
CLEAR_PASS, CLEAR_FAIL = 0.95, 0.10

Curve = Callable[[float], float]


@dataclass(frozen=True)
class SideMoments:
    """What one side contributes: means over the operators of its chance to pass."""

    passing: float
    passing_squared: float
    able: float
    able_passing: float


@dataclass(frozen=True)
class DecisionConsistency:
    """Accuracy and consistency of a plan among the operators who sat it.

    Attributes
    ----------
    accuracy : float or None
        Share decided right: passed with a rate up to the cut, or failed above it.
    consistency : float or None
        Share for whom a second sitting would decide the same.
    chance, kappa : float or None
        Consistency of unrelated sittings, and agreement beyond it; kappa is None
        too when everybody passes or everybody fails.
    passing, able : float or None
        Share expected to pass, and share with a rate up to the cut.
    cut : float or None
        Error rate that separates able from not; None for several sides together.
    law : BetaLaw or None
        Error rates among the operators; None for several sides together.
    operators : int
        Operators the figures rest on.
    reason : Wording or None
        Why the figures are None.
    sides : tuple of SideMoments
        Parts for `joint_consistency`.
    """

    accuracy: float | None
    consistency: float | None
    chance: float | None
    kappa: float | None
    passing: float | None
    able: float | None
    cut: float | None
    law: BetaLaw | None
    operators: int
    reason: Wording | None
    sides: tuple[SideMoments, ...] = ()


@dataclass(frozen=True)
class GroupConsistency:
    """Consistency of a group plan: of the group, of one family, of all families at once."""

    group: DecisionConsistency
    one_family: DecisionConsistency
    all_families: DecisionConsistency


def decision_consistency(
    errors: npt.ArrayLike, n: int, c: int, *, cut: float | None = None
) -> DecisionConsistency:
    """Return accuracy and consistency of a fixed plan.

    Parameters
    ----------
    errors : array_like of int, shape (operators,)
        Errors of each operator's sitting, 0 to n.
    n : int
        Judgements of the plan, at least 1.
    c : int
        Errors allowed, 0 to n - 1.
    cut : float, optional
        Error rate up to which somebody should pass, in (0, 1); the square root of
        p_ok p_bad. Without it the rates passing with 95 % and 10 % take their place.

    Returns
    -------
    DecisionConsistency
        With a reason instead of figures below 30 operators.

    Raises
    ------
    ValueError
        For counts that are not whole or out of range, or cut out of range.

    Notes
    -----
    A beta law of error rates q is fitted (`beta_law.fit_error_rates`). With A(q) the
    chance to pass, accuracy is the mean of A(q) up to the cut and 1 - A(q) beyond,
    consistency the mean of A(q)^2 + (1 - A(q))^2. For specimens drawn at random;
    for one fixed form it is conservative by about .03. Equals Livingston and Lewis's
    estimate with KR-21 (J. Educ. Meas. 32 (1995), 179).

    Examples
    --------
    >>> result = decision_consistency([0, 1, 2, 3, 6] * 8, 65, 3)
    >>> 0.5 < result.consistency < result.accuracy < 1
    True
    """
    n = whole_number("n", n, 1)
    c = whole_number("c", c, 0, n - 1, remedy="allow fewer errors than there are judgements")
    wrong = _counts("errors", errors, n)
    return _one_side(wrong, np.full(wrong.size, n), _fixed_curve(n, c), cut)


def sequential_consistency(
    errors: npt.ArrayLike,
    judged: npt.ArrayLike,
    table: DecisionTable,
    *,
    cut: float | None = None,
) -> DecisionConsistency:
    """Return accuracy and consistency of a sequential plan.

    Parameters
    ----------
    errors, judged : array_like of int, shape (operators,)
        Errors and judgements at which each operator's side was decided.
    table : DecisionTable
        The plan.
    cut : float, optional
        As in `decision_consistency`.

    Returns
    -------
    DecisionConsistency
        As `decision_consistency`, A(q) being the table's exact characteristic.

    Raises
    ------
    ValueError
        For counts out of range or of different length.
    """
    shown = _counts("judged", judged, table.cap, low=1)
    wrong = _counts("errors", errors, table.cap, length=shown.size)
    if (wrong > shown).any():
        raise ValueError("errors exceeds judged for an operator; count errors among the judged.")
    return _one_side(wrong, shown, lambda p: operating_characteristic(table, p).p_accept, cut)


def group_consistency(
    misses: npt.ArrayLike,
    false_rejects: npt.ArrayLike,
    plan: GroupPlan,
    *,
    cut: float | None = None,
    false_reject_cut: float | None = None,
) -> GroupConsistency:
    """Return accuracy and consistency of a group plan.

    Parameters
    ----------
    misses, false_rejects : array_like of int, shape (operators,)
        Of each operator's sitting, over the whole group.
    plan : GroupPlan
        The plan.
    cut, false_reject_cut : float, optional
        As in `decision_consistency`, for misses and for false rejects.

    Returns
    -------
    GroupConsistency

    Raises
    ------
    ValueError
        For counts out of range or of different length.

    Notes
    -----
    An operator is taken to miss every family of the group at one rate: they look
    alike. Misses and false rejects are independent. Who is blind to one family only
    is caught by its floor, not described by these figures.
    """
    wrong = _counts("misses", misses, plan.bad)
    strict = _counts("false_rejects", false_rejects, plan.good, length=wrong.size)
    shown, good = np.full(wrong.size, plan.bad), np.full(wrong.size, plan.good)
    group_curve = _fixed_curve(plan.bad, plan.misses_allowed)
    cut = _middle(group_curve) if cut is None else cut
    other = _one_side(
        strict, good, _fixed_curve(plan.good, plan.false_rejects_allowed), false_reject_cut
    )
    first = plan.families[0]
    curves: tuple[Curve, ...] = (
        group_curve,
        lambda p: group_risks(plan, p).by_family[first],
        lambda p: group_risks(plan, p).all_families,
    )
    sides = (_one_side(wrong, shown, curve, cut) for curve in curves)
    return GroupConsistency(*(joint_consistency(side, other) for side in sides))


def joint_consistency(*results: DecisionConsistency) -> DecisionConsistency:
    """Return accuracy and consistency of an examination that must be passed on every side.

    Parameters
    ----------
    *results : DecisionConsistency
        One for each side, such as misses and false rejects.

    Returns
    -------
    DecisionConsistency
        With the first reason found when a side has no figures.

    Raises
    ------
    ValueError
        Without any side.

    Notes
    -----
    Error rates of different sides are taken as independent among operators.
    """
    if not results:
        raise ValueError("No side was given; give one result for each side.")
    operators = min(result.operators for result in results)
    for result in results:
        if result.reason is not None:
            return _without_figures(operators, result.reason)
    return _figures(tuple(side for r in results for side in r.sides), operators)


def _one_side(
    errors: IntArray, shown: IntArray, curve: Curve, cut: float | None
) -> DecisionConsistency:
    if errors.size < LEAST_OPERATORS:
        return _without_figures(
            errors.size, Wording(TOO_FEW, found=int(errors.size), needed=LEAST_OPERATORS)
        )
    cut = _middle(curve) if cut is None else probability("cut", cut, open_ends=True)
    law = fit_error_rates(errors, shown)

    def moments(rates: FloatArray) -> FloatArray:
        passes = np.array([curve(float(rate)) for rate in rates])
        return np.stack([passes, passes**2])

    up_to, beyond = law.parts(moments, cut)
    side = SideMoments(
        passing=float(up_to[0] + beyond[0]),
        passing_squared=float(up_to[1] + beyond[1]),
        able=law.share_up_to(cut),
        able_passing=float(up_to[0]),
    )
    return _figures((side,), errors.size, cut, law)


def _figures(
    sides: tuple[SideMoments, ...],
    operators: int,
    cut: float | None = None,
    law: BetaLaw | None = None,
) -> DecisionConsistency:
    passing, squared, able, both = (
        float(np.prod([getattr(side, name) for side in sides]))
        for name in ("passing", "passing_squared", "able", "able_passing")
    )
    consistency = 1 - 2 * passing + 2 * squared
    chance = passing**2 + (1 - passing) ** 2
    return DecisionConsistency(
        accuracy=1 - able - passing + 2 * both,
        consistency=consistency,
        chance=chance,
        kappa=kappa_above_chance(consistency, chance),
        passing=passing,
        able=able,
        cut=cut,
        law=law,
        operators=operators,
        reason=None,
        sides=sides,
    )


def _without_figures(operators: int, reason: Wording) -> DecisionConsistency:
    return DecisionConsistency(None, None, None, None, None, None, None, None, operators, reason)


def _fixed_curve(n: int, c: int) -> Curve:
    return lambda p: float(betaincc(c + 1, n - c, p))


def _middle(curve: Curve) -> float:
    """Return the geometric mean of the rates that clearly pass and clearly fail."""
    ends = [brentq(lambda p, g=goal: curve(p) - g, 0.0, 1.0) for goal in (CLEAR_PASS, CLEAR_FAIL)]
    return float(np.sqrt(ends[0] * ends[1]))


def _counts(
    name: str, values: npt.ArrayLike, high: int, low: int = 0, length: int | None = None
) -> IntArray:
    clean = vector(name, values, length)
    if (clean != np.floor(clean)).any() or (clean < low).any() or (clean > high).any():
        raise ValueError(
            f"{name} must hold whole numbers from {low} to {high}; correct the others."
        )
    return clean.astype(np.int64)
