"""Signal detection: telling bad parts from good ones, apart from leaning to one answer."""

import math
from dataclasses import dataclass

from scipy.special import ndtri

from training.statistics.checks import one_of, whole_number
from training.statistics.wording import Wording, gettext_noop

LOG_LINEAR, NONE = "log-linear", "none"


@dataclass(frozen=True)
class Detection:
    """Sensitivity and leaning; parts that cannot be told are None with a reason.

    Attributes
    ----------
    d_prime : float or None
        Distance between good and bad parts in the judge's eye, in standard deviations;
        0 is guessing.
    criterion : float or None
        Leaning: above 0 towards accepting, below 0 towards rejecting.
    beta : float or None
        Likelihood ratio at the criterion.
    a_prime : float or None
        Non-parametric sensitivity, from 0 to 1; 0.5 is guessing.
    hit_rate, false_alarm_rate : float or None
        Rates used, after correction.
    reason : Wording or None
    """

    d_prime: float | None
    criterion: float | None
    beta: float | None
    a_prime: float | None
    hit_rate: float | None
    false_alarm_rate: float | None
    reason: Wording | None


def detection(
    hits: int, signals: int, false_alarms: int, noises: int, correction: str = LOG_LINEAR
) -> Detection:
    """Separate how well a person tells bad from good from how readily they reject.

    Parameters
    ----------
    hits, signals : int
        Bad parts rejected, of all bad parts shown.
    false_alarms, noises : int
        Good parts rejected, of all good parts shown.
    correction : {'log-linear', 'none'}, optional
        'log-linear' adds half an answer to each count and one to each total, always
        and not only at rates of 0 and 1.

    Returns
    -------
    Detection
        All None when no bad or no good part was shown; with ``correction='none'``
        d_prime, criterion and beta are None at a rate of 0 or 1.

    Raises
    ------
    ValueError
        For negative numbers, fractions, more hits than signals or false alarms than
        noises, or an unknown correction.

    Notes
    -----
    d' = z(H) - z(F), c = -(z(H) + z(F))/2, beta = exp(d' c),
    A' = .5 + sign(H - F) ((H - F)^2 + |H - F|) / (4 max(H, F) - 4 H F): Stanislaw and
    Todorov (1999, Behavior Research Methods, Instruments, & Computers 31, 137-149;
    from memory). Log-linear correction: Hautus (1995, same journal 27; from memory).

    Examples
    --------
    >>> found = detection(20, 25, 10, 25, correction="none")
    >>> round(found.d_prime, 3), round(found.criterion, 3), round(found.a_prime, 3)
    (1.095, -0.294, 0.792)
    """
    whole_number("signals", signals)
    whole_number("noises", noises)
    whole_number("hits", hits, 0, signals, "give hits no larger than signals")
    whole_number("false_alarms", false_alarms, 0, noises, "give false_alarms no larger than noises")
    one_of("correction", correction, (LOG_LINEAR, NONE))
    if signals == 0 or noises == 0:
        return Detection(None, None, None, None, None, None, _nothing_shown(signals))
    add, total = (0.5, 1.0) if correction == LOG_LINEAR else (0.0, 0.0)
    hit = (hits + add) / (signals + total)
    false_alarm = (false_alarms + add) / (noises + total)
    a_prime = _a_prime(hit, false_alarm)
    if {hit, false_alarm} & {0.0, 1.0}:
        reason = Wording(
            gettext_noop("A rate of 0 or 1 leaves d' infinite; use the log-linear correction.")
        )
        return Detection(None, None, None, a_prime, hit, false_alarm, reason)
    z_hit, z_false = float(ndtri(hit)), float(ndtri(false_alarm))
    d_prime, criterion = z_hit - z_false, -(z_hit + z_false) / 2.0
    return Detection(
        d_prime=d_prime,
        criterion=criterion,
        beta=math.exp(d_prime * criterion),
        a_prime=a_prime,
        hit_rate=hit,
        false_alarm_rate=false_alarm,
        reason=None,
    )


def _a_prime(hit: float, false_alarm: float) -> float:
    gap = hit - false_alarm
    if gap == 0.0:
        # Guessing; at rates of 0 or 1 the formula itself is 0/0.
        return 0.5
    larger = max(hit, false_alarm)
    area = (gap**2 + abs(gap)) / (4.0 * larger - 4.0 * hit * false_alarm)
    return 0.5 + math.copysign(area, gap)


def _nothing_shown(signals: int) -> Wording:
    if signals == 0:
        return Wording(gettext_noop("No bad part was shown."))
    return Wording(gettext_noop("No good part was shown."))
