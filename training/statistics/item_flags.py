"""Which specimens to look at again: suspect key, too close to call, perhaps known."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt
from scipy import special

from training.statistics.checks import same_length
from training.statistics.counts import right_of_answered
from training.statistics.wording import Wording, gettext_noop

# Own study (simulated banks of 120 items with 4 wrong keys, 6 at the limit, 6 leaked):
# from 15 answers on the rule finds 95 % or more of wrong keys and calls no sound item
# one; drift finds 39 % of leaked items at 60 answers and 85 % at 150.
KEY_FROM, DRIFT_FROM = 15, 60
COIN, CLOSE, SURE = 0.5, 0.65, 0.9
DRIFT_LIMIT = 2.6
# Point-biserials flag an eighth to a quarter of sound items; shown late, never a rule.
POINT_BISERIAL_FROM = 150


class Flag(StrEnum):
    """What is wrong with an item, most urgent first."""

    CHECK_KEY = "check the key"
    TOO_CLOSE = "too close to call"
    PERHAPS_KNOWN = "perhaps known"


class Action(StrEnum):
    """What follows from a flag; nothing is ever re-keyed by itself."""

    WITHDRAW = "withdraw from exams until the panel has looked again"
    TRAINING_ONLY = "training only"
    RETIRE = "retire"


ACTION = {
    Flag.CHECK_KEY: Action.WITHDRAW,
    Flag.TOO_CLOSE: Action.TRAINING_ONLY,
    Flag.PERHAPS_KNOWN: Action.RETIRE,
}


@dataclass(frozen=True)
class ItemFlag:
    """What the answers say of one item's fitness for exams.

    Attributes
    ----------
    flag : Flag or None
        The most urgent one; None when nothing stands out or data are too few.
    action : Action or None
    p_wrong_key : float or None
        Probability that fewer than half of the answers agree with the key in the
        long run; None below 15 answers.
    p_too_close : float or None
        Probability that fewer than 65 % do; None below 15 answers.
    drift_z : float or None
        How many standard errors easier the item has become; None below 60 answers in
        either window.
    reason : Wording
        The flag in a sentence, or what is missing.
    """

    flag: Flag | None
    action: Action | None
    p_wrong_key: float | None
    p_too_close: float | None
    drift_z: float | None
    reason: Wording


def flag_items(
    right: npt.ArrayLike,
    answered: npt.ArrayLike,
    earlier_right: npt.ArrayLike | None = None,
    earlier_answered: npt.ArrayLike | None = None,
    *,
    panel_agreeing: npt.ArrayLike | None = None,
    panel_size: npt.ArrayLike | None = None,
) -> tuple[ItemFlag, ...]:
    """Flag items whose answers or panel verdicts cast doubt on them.

    Parameters
    ----------
    right, answered : array_like of int, shape (items,)
        Answers that agree with the key, and all answers, in the present window.
    earlier_right, earlier_answered : array_like of int, shape (items,), optional
        The same in the window of calibration; without them no drift is sought.
    panel_agreeing, panel_size : array_like of int, shape (items,), optional
        Panel members whose verdict agrees with the key, and all members; an item with
        at most half of the panel behind its key is too close to call at any number
        of answers. A panel of 0 is left aside.

    Returns
    -------
    tuple of ItemFlag, one per item

    Raises
    ------
    ValueError
        For negative numbers, fractions, NaN, more right than answered, different
        lengths, or one of a pair of arguments without the other.

    Notes
    -----
    Rules and figures are those of this project's own simulation study:
    check the key when P(p < 0.5) > 0.9 under Beta(x + 1, n - x + 1); too close to call
    when P(p < 0.65) > 0.9; perhaps known when the difference of log odds (half an
    answer added to each count) exceeds 2.6 standard errors upwards with at least 60
    answers in both windows.

    Examples
    --------
    >>> [item.flag.value if item.flag else None for item in flag_items([5, 10, 19], [20, 20, 20])]
    ['check the key', 'too close to call', None]
    """
    x, n = right_of_answered(right, answered)
    drift = _drift(x, n, earlier_right, earlier_answered)
    split = _panel_split(x.size, panel_agreeing, panel_size)
    below_half = special.betainc(x + 1, n - x + 1, COIN)
    below_close = special.betainc(x + 1, n - x + 1, CLOSE)
    return tuple(
        _judge(
            int(n[i]),
            float(below_half[i]) if n[i] >= KEY_FROM else None,
            float(below_close[i]) if n[i] >= KEY_FROM else None,
            drift[i],
            split_panel=split[i],
        )
        for i in range(x.size)
    )


def show_point_biserial(answered: int) -> bool:
    """Whether an item has the answers its point-biserial needs to be worth showing."""
    return answered >= POINT_BISERIAL_FROM


def _drift(
    x: npt.NDArray[np.float64],
    n: npt.NDArray[np.float64],
    earlier_right: npt.ArrayLike | None,
    earlier_answered: npt.ArrayLike | None,
) -> list[float | None]:
    if earlier_right is None and earlier_answered is None:
        return [None] * x.size
    if earlier_right is None or earlier_answered is None:
        raise ValueError(
            "earlier_right and earlier_answered belong together; give both or neither."
        )
    x0, n0 = right_of_answered(
        earlier_right, earlier_answered, ("earlier_right", "earlier_answered")
    )
    same_length(("right", "earlier_right"), (x.size, x0.size))
    enough = (n >= DRIFT_FROM) & (n0 >= DRIFT_FROM)
    rise = np.log((x + 0.5) / (n - x + 0.5)) - np.log((x0 + 0.5) / (n0 - x0 + 0.5))
    variance = sum(1.0 / (part + 0.5) for part in (x, n - x, x0, n0 - x0))
    z = rise / np.sqrt(variance)
    return [float(value) if ok else None for value, ok in zip(z, enough, strict=True)]


def _panel_split(
    items: int, agreeing: npt.ArrayLike | None, size: npt.ArrayLike | None
) -> list[bool]:
    if agreeing is None and size is None:
        return [False] * items
    if agreeing is None or size is None:
        raise ValueError("panel_agreeing and panel_size belong together; give both or neither.")
    agree, members = right_of_answered(agreeing, size, ("panel_agreeing", "panel_size"))
    same_length(("right", "panel_agreeing"), (items, agree.size))
    return [bool(m > 0 and 2 * a <= m) for a, m in zip(agree, members, strict=True)]


def _judge(
    answered: int,
    p_wrong_key: float | None,
    p_too_close: float | None,
    drift_z: float | None,
    *,
    split_panel: bool,
) -> ItemFlag:
    flag, reason = _flag_and_reason(
        answered, p_wrong_key, p_too_close, drift_z, split_panel=split_panel
    )
    action = ACTION[flag] if flag is not None else None
    return ItemFlag(flag, action, p_wrong_key, p_too_close, drift_z, reason)


def _flag_and_reason(
    answered: int,
    p_wrong_key: float | None,
    p_too_close: float | None,
    drift_z: float | None,
    *,
    split_panel: bool,
) -> tuple[Flag | None, Wording]:
    if p_wrong_key is not None and p_wrong_key > SURE:
        return Flag.CHECK_KEY, Wording(
            gettext_noop(
                "Most answers contradict the key: fewer than half agree with it with a "
                "probability of %(probability)d %%."
            ),
            probability=_percent(p_wrong_key),
        )
    if p_too_close is not None and p_too_close > SURE:
        return Flag.TOO_CLOSE, Wording(
            gettext_noop(
                "Fewer than 65 %% of answers agree with the key with a probability of "
                "%(probability)d %%."
            ),
            probability=_percent(p_too_close),
        )
    if split_panel:
        return Flag.TOO_CLOSE, Wording(
            gettext_noop("At most half of the panel stands behind the key.")
        )
    if drift_z is not None and drift_z > DRIFT_LIMIT:
        return Flag.PERHAPS_KNOWN, Wording(
            gettext_noop(
                "Answered right more often than at calibration, by %(z).1f standard errors."
            ),
            z=drift_z,
        )
    if answered < KEY_FROM:
        return None, Wording(
            gettext_noop("%(answered)d of %(needed)d answers needed to check the key."),
            answered=answered,
            needed=KEY_FROM,
        )
    return None, Wording(gettext_noop("Nothing stands out."))


def _percent(probability: float) -> int:
    """Round down, so that 99.7 % is not shown as certainty."""
    return math.floor(100 * probability)
