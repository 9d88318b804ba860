"""How many of a plant's reference specimens each person would get right, whatever they were shown."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.special import expit

from training.statistics.checks import FloatArray
from training.statistics.item_difficulty import BAND_FROM, NUMBER_FROM
from training.statistics.rasch import RaschFit, expected_score
from training.statistics.wording import Wording, gettext_noop

# Normal quantile of a central 95 %.
WIDE = 1.959963984540054
OUT_OF = 100
LEAST_SPECIMENS = NUMBER_FROM


@dataclass(frozen=True)
class ReferenceScore:
    """Reference specimens one person would get right, of 100; None with a reason.

    Attributes
    ----------
    right, low, high : float or None
        0 to 100; low and high are the ends of the central 95 %.
    judgements : int
        Answers it rests on.
    reason : Wording or None
    """

    right: float | None
    low: float | None
    high: float | None
    judgements: int
    reason: Wording | None


def reference_scores(
    fit: RaschFit, answered: npt.ArrayLike, reference: npt.ArrayLike
) -> tuple[ReferenceScore, ...]:
    """Foretell each person's score on the same specimens, adjusted for what they were shown.

    Parameters
    ----------
    fit : RaschFit
    answered : array_like of int, shape (persons,)
        Answers of each person in the fit.
    reference : array_like of bool, shape (items,)
        Which specimens are the plant's reference. Those with fewer than 8 answers are
        left out.

    Returns
    -------
    tuple of ReferenceScore
        Without numbers where the fit did not settle or is not on one scale, where fewer
        than 20 reference specimens have 8 answers, or where the person gave fewer than 20.

    Raises
    ------
    ValueError
        For lengths that differ from those of the fit.

    Notes
    -----
    The right answers are averaged over what is not known of the person's ability; the
    ends of the interval are the scores at the ability 1.96 standard errors either side.
    What is not known of the difficulties is not in the interval: averaged over the
    reference it is small beside the ability's.
    """
    counts = _row("answered", answered, fit.ability.size)
    chosen = _row("reference", reference, fit.difficulty.size).astype(bool)
    items = np.flatnonzero(chosen & (fit.answered >= BAND_FROM))
    reason = _why_none(fit, items.size)
    if reason is not None:
        return tuple(ReferenceScore(None, None, None, int(n), reason) for n in counts)
    right = expected_score(fit, items) * OUT_OF / items.size
    low, high = (
        expected_score(
            replace(
                fit,
                ability=fit.ability + side * WIDE * fit.ability_se,
                ability_se=np.zeros_like(fit.ability_se),
            ),
            items,
        )
        * OUT_OF
        / items.size
        for side in (-1, 1)
    )
    return tuple(
        ReferenceScore(float(r), float(a), float(b), int(n), None)
        if n >= LEAST_SPECIMENS
        else ReferenceScore(None, None, None, int(n), _too_few_answers(int(n)))
        for r, a, b, n in zip(right, low, high, counts, strict=True)
    )


def average_share(difficulty: npt.ArrayLike) -> float:
    """Return the share of specimens right for somebody of the plant's average ability.

    The average over persons marks the origin of the scale, so the ability is 0.

    Raises
    ------
    ValueError
        For no specimens.

    Examples
    --------
    >>> average_share([0.0, 0.0])
    0.5
    """
    hard = np.asarray(difficulty, dtype=np.float64)
    if hard.size == 0:
        raise ValueError("difficulty is empty; give at least one specimen.")
    return float(expit(-hard).mean())


def _row(name: str, values: npt.ArrayLike, length: int) -> FloatArray:
    row = np.asarray(values, dtype=np.float64)
    if row.shape != (length,):
        raise ValueError(f"{name} has shape {row.shape}; give {length} values, as the fit has.")
    return row


def _why_none(fit: RaschFit, specimens: int) -> Wording | None:
    if not fit.converged:
        return fit.reason
    if not fit.linked:
        return fit.link_reason
    if specimens < LEAST_SPECIMENS:
        return Wording(
            gettext_noop(
                "Only %(specimens)d of %(needed)d reference specimens have been judged by "
                "%(people)d people."
            ),
            specimens=specimens,
            needed=LEAST_SPECIMENS,
            people=BAND_FROM,
        )
    return None


def _too_few_answers(count: int) -> Wording:
    return Wording(
        gettext_noop("%(judgements)d of %(needed)d exam judgements needed."),
        judgements=count,
        needed=LEAST_SPECIMENS,
    )
