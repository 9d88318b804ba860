"""Whether more is missed under some condition, such as an hour, than the specimens explain."""

from collections.abc import Sequence
from dataclasses import dataclass

from scipy import stats

from training.statistics.checks import probability, whole_number
from training.statistics.proportions import Interval, clopper_pearson
from training.statistics.wording import Wording, gettext_noop

# Bad specimens judged under a condition before its rate is shown; common practice, no source.
SHOW_FROM = 20
# Chance that any of the conditions compared is named although all are alike.
FALSE_ALARM = 0.05


@dataclass(frozen=True)
class Condition:
    """What was missed under one condition, beside what its specimens let expect.

    Attributes
    ----------
    missed, shown : int
        Bad specimens missed and judged.
    interval : Interval or None
        Exact two-sided 95 % interval of the miss rate; None below 20 judged.
    expected : float
        Misses that everybody's answers on the same specimens let expect.
    p_value : float or None
        Chance of this many misses or more at the expected rate; None below 20 judged.
    more : bool
        Whether that chance is below 5 % even after comparing all conditions.
    reason : Wording or None
        Why no rate is shown.
    """

    missed: int
    shown: int
    interval: Interval | None
    expected: float
    p_value: float | None
    more: bool
    reason: Wording | None


def compare_conditions(
    missed: Sequence[int], shown: Sequence[int], expected: Sequence[float]
) -> tuple[Condition, ...]:
    """Compare what was missed under each condition with what its specimens let expect.

    Parameters
    ----------
    missed, shown : sequence of int
        Bad specimens missed and judged under each condition.
    expected : sequence of float
        Sum of the miss rates of the specimens judged, each taken over everybody.

    Returns
    -------
    tuple of Condition, in the order given

    Raises
    ------
    ValueError
        For different lengths, more missed than shown, or an expectation outside 0 to shown.

    Notes
    -----
    Binomial tail at the mean rate. The specimens differ in difficulty, so the true number
    varies less than a binomial one (Hoeffding 1956, Annals of Mathematical Statistics 27;
    from memory): the chance given is too large rather than too small. It is compared with
    5 % divided by the number of conditions shown (Bonferroni).

    Examples
    --------
    >>> tired = compare_conditions([4, 31], [100, 100], [10.0, 10.0])
    >>> [each.more for each in tired]
    [False, True]
    """
    if not len(missed) == len(shown) == len(expected):
        raise ValueError("missed, shown and expected differ in length; give one of each.")
    compared = sum(n >= SHOW_FROM for n in shown)
    return tuple(
        _condition(x, n, e, compared) for x, n, e in zip(missed, shown, expected, strict=True)
    )


def _condition(missed: int, shown: int, expected: float, compared: int) -> Condition:
    n = whole_number("shown", shown, 0)
    x = whole_number("missed", missed, 0, n)
    rate = probability("expected / shown", expected / n) if n else 0.0
    if n < SHOW_FROM:
        reason = Wording(
            gettext_noop("Not enough judged (%(shown)d of %(needed)d)."), shown=n, needed=SHOW_FROM
        )
        return Condition(x, n, None, float(expected), None, False, reason)
    tail = float(stats.binom.sf(x - 1, n, rate))
    return Condition(
        missed=x,
        shown=n,
        interval=clopper_pearson(x, n),
        expected=float(expected),
        p_value=tail,
        more=tail < FALSE_ALARM / compared,
        reason=None,
    )
