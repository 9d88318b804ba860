"""Agreement beyond chance: Cohen's and Fleiss's kappa, Gwet's AC1, Krippendorff's alpha."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

from training.statistics.checks import FloatArray, IntArray, count_table, probability
from training.statistics.wording import Wording, gettext_noop

ONE_CLASS = gettext_noop("All ratings fall in one class: agreement beyond chance is undefined.")
NO_PAIRS = gettext_noop("No item was rated twice: there is no agreement to measure.")


class KappaReading(StrEnum):
    """Words for a kappa, after the attribute study's rule of thumb."""

    GOOD = "good to excellent"
    FAIR = "fair"
    POOR = "poor"


@dataclass(frozen=True)
class CohenKappa:
    """Agreement of two raters; None with a reason where undefined.

    Attributes
    ----------
    kappa : float or None
        At most 1; 0 is what chance gives.
    se_nonnull : float or None
        Standard error at the kappa found; for the interval.
    se_null : float or None
        Standard error if there were no agreement; for the test of kappa = 0 only.
    low, high : float or None
        Normal interval from `se_nonnull`, cut at -1 and 1.
    z : float or None
        kappa / se_null.
    observed, expected : float or None
        Share of equal ratings, and the share chance would give.
    ratings : int
        Pairs of ratings.
    reason : Wording or None
    """

    kappa: float | None
    se_nonnull: float | None
    se_null: float | None
    low: float | None
    high: float | None
    z: float | None
    observed: float | None
    expected: float | None
    ratings: int
    reason: Wording | None


@dataclass(frozen=True)
class FleissKappa:
    """Agreement of several raters; None with a reason where undefined.

    Attributes
    ----------
    kappa : float or None
    se_null : float or None
        Standard error if there were no agreement.
    z : float or None
        kappa / se_null.
    category_kappa : tuple of float or None
        One for each class; None for a class never or always chosen.
    category_se_null : float or None
        The same for every class.
    observed, expected : float or None
    items, raters : int
    reason : Wording or None
    """

    kappa: float | None
    se_null: float | None
    z: float | None
    category_kappa: tuple[float | None, ...]
    category_se_null: float | None
    observed: float | None
    expected: float | None
    items: int
    raters: int
    reason: Wording | None


@dataclass(frozen=True)
class Coefficient:
    """A coefficient of agreement; ``value`` None with a reason where undefined."""

    value: float | None
    observed: float | None
    expected: float | None
    items: int
    reason: Wording | None


def cohen_kappa(table: npt.ArrayLike, confidence: float = 0.95) -> CohenKappa:
    """Measure how far two raters agree beyond chance.

    Parameters
    ----------
    table : array_like of int, shape (classes, classes)
        Counts; rows are the first rater's classes, columns the second's.
    confidence : float, optional
        In (0, 1).

    Returns
    -------
    CohenKappa
        None when the table is empty or both raters used one and the same class only.

    Raises
    ------
    ValueError
        When the table is not square or holds negative numbers, fractions or NaN.

    Notes
    -----
    Cohen (1960, Educational and Psychological Measurement 20); both standard errors
    by Fleiss, Cohen and Everitt (1969, Psychological Bulletin 72); from memory.
    Programs differ in which of the two they print: name the one you quote.

    Examples
    --------
    >>> found = cohen_kappa([[44, 6], [3, 97]])
    >>> round(found.kappa, 4), round(found.se_nonnull, 4), round(found.se_null, 4)
    (0.8629, 0.0442, 0.0816)
    """
    counts = count_table("table", table)
    if counts.ndim != 2 or counts.shape[0] != counts.shape[1]:
        raise ValueError(f"table has shape {counts.shape}; give as many rows as columns.")
    normal = float(ndtri(0.5 + probability("confidence", confidence, open_ends=True) / 2))
    total = int(counts.sum())
    if total == 0:
        return _no_kappa(total, Wording(NO_PAIRS))
    share = counts / total
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    observed, expected = float(np.trace(share)), float(rows @ columns)
    if _one_class(counts.sum(axis=0) + counts.sum(axis=1)):
        return _no_kappa(total, Wording(ONE_CLASS))
    kappa = (observed - expected) / (1.0 - expected)
    nonnull, null = _kappa_errors(share, kappa, expected, total)
    return CohenKappa(
        kappa=kappa,
        se_nonnull=nonnull,
        se_null=null,
        low=max(-1.0, kappa - normal * nonnull),
        high=min(1.0, kappa + normal * nonnull),
        z=kappa / null if null > 0 else None,
        observed=observed,
        expected=expected,
        ratings=total,
        reason=None,
    )


def _kappa_errors(
    share: FloatArray, kappa: float, expected: float, total: int
) -> tuple[float, float]:
    """Standard errors at the kappa found, and without agreement."""
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    diagonal, missed = np.diag(share), 1.0 - kappa
    agreeing = float((diagonal * (1.0 - (rows + columns) * missed) ** 2).sum())
    across = share * (columns[:, None] + rows[None, :]) ** 2
    apart = missed**2 * float(across.sum() - np.trace(across))
    nonnull = agreeing + apart - (kappa - expected * missed) ** 2
    null = expected + expected**2 - float((rows * columns * (rows + columns)).sum())
    scale = total * (1.0 - expected) ** 2
    # Both are sums of squares; round-off can leave a trace below 0.
    return math.sqrt(max(nonnull, 0.0) / scale), math.sqrt(max(null, 0.0) / scale)


def _no_kappa(total: int, reason: Wording) -> CohenKappa:
    return CohenKappa(None, None, None, None, None, None, None, None, total, reason)


def kappa_reading(kappa: float) -> KappaReading:
    """Put a kappa into words: above 0.75 good to excellent, below 0.40 poor.

    Rule of the attribute study (AIAG, Measurement Systems Analysis, 4th ed. 2010,
    chapter III-C; from memory).
    """
    if kappa > 0.75:
        return KappaReading.GOOD
    return KappaReading.POOR if kappa < 0.40 else KappaReading.FAIR


def fleiss_kappa(counts: npt.ArrayLike) -> FleissKappa:
    """Measure how far several raters agree beyond chance.

    Parameters
    ----------
    counts : array_like of int, shape (items, classes)
        How many raters put the item into each class; the same number of raters, at
        least 2, for every item.

    Returns
    -------
    FleissKappa
        None when there are no items or all ratings fall in one class.

    Raises
    ------
    ValueError
        For rows of different sums (use `krippendorff_alpha`), fewer than 2 raters,
        negative numbers, fractions or NaN.

    Notes
    -----
    Fleiss (1971, Psychological Bulletin 76); standard errors by Fleiss, Nee and Landis
    (1979, Psychological Bulletin 86), which replace those of 1971; from memory.

    Examples
    --------
    >>> round(fleiss_kappa([[4, 0], [3, 1], [0, 4], [1, 3]]).kappa, 4)
    0.5
    """
    table = count_table("counts", counts)
    sums = table.sum(axis=1)
    if table.size == 0:
        return FleissKappa(None, None, None, (), None, None, None, 0, 0, Wording(NO_PAIRS))
    if (sums != sums[0]).any():
        row = int((sums != sums[0]).argmax())
        raise ValueError(
            f"counts, row {row + 1}, has {sums[row]} ratings and row 1 has {sums[0]}; "
            "give every item the same number of raters, or use krippendorff_alpha."
        )
    items, raters = table.shape[0], int(sums[0])
    if raters < 2:
        raise ValueError(f"counts has {raters} rating(s) an item; give at least 2.")
    if _one_class(table.sum(axis=0)):
        none = (None,) * table.shape[1]
        return FleissKappa(
            None, None, None, none, None, None, None, items, raters, Wording(ONE_CLASS)
        )
    share = table.sum(axis=0) / table.sum()
    pairs = items * raters * (raters - 1)
    observed = float((table * (table - 1)).sum()) / pairs
    expected = float(share @ share)
    spread = share * (1.0 - share)
    skew = float((spread * (1.0 - 2.0 * share)).sum())
    total = float(spread.sum())
    kappa = (observed - expected) / (1.0 - expected)
    se = math.sqrt(2.0 / pairs * max(total**2 - skew, 0.0)) / total
    apart = (table * (raters - table)).sum(axis=0)
    return FleissKappa(
        kappa=kappa,
        se_null=se,
        z=kappa / se if se > 0 else None,
        category_kappa=tuple(
            1.0 - float(a) / (pairs * float(s)) if s > 0 else None
            for a, s in zip(apart, spread, strict=True)
        ),
        category_se_null=math.sqrt(2.0 / pairs),
        observed=observed,
        expected=expected,
        items=items,
        raters=raters,
        reason=None,
    )


def gwet_ac1(counts: npt.ArrayLike) -> Coefficient:
    """Measure agreement by a coefficient that does not sink when one class is rare.

    Parameters
    ----------
    counts : array_like of int, shape (items, classes)
        How many raters put the item into each class; numbers of raters may differ.
        Classes are the columns, also those never used: at least 2.

    Returns
    -------
    Coefficient
        None when no item was rated twice.

    Raises
    ------
    ValueError
        For fewer than 2 columns, negative numbers, fractions or NaN.

    Notes
    -----
    Gwet (2008, British Journal of Mathematical and Statistical Psychology 61; from
    memory). With 10 % bad parts the same raters that reach kappa 0.66 on an even mix
    show kappa 0.45 and AC1 0.76: print both.

    Examples
    --------
    >>> round(gwet_ac1([[4, 0], [3, 1], [0, 4], [1, 3]]).value, 4)
    0.5
    """
    table = count_table("counts", counts)
    if table.shape[1] < 2:
        raise ValueError("counts has fewer than 2 columns; give every class its column.")
    raters = table.sum(axis=1)
    paired = table[raters >= 2]
    if paired.size == 0:
        return Coefficient(None, None, None, 0, Wording(NO_PAIRS))
    observed = _pair_agreement(paired)
    rated = table[raters >= 1]
    share = (rated / rated.sum(axis=1, keepdims=True)).mean(axis=0)
    expected = float((share * (1.0 - share)).sum()) / (table.shape[1] - 1)
    value = (observed - expected) / (1.0 - expected)
    return Coefficient(value, observed, expected, int(paired.shape[0]), None)


def krippendorff_alpha(counts: npt.ArrayLike) -> Coefficient:
    """Measure agreement when not everybody rated everything; classes without order.

    Parameters
    ----------
    counts : array_like of int, shape (items, classes)
        How many raters put the item into each class; items rated once are left aside.

    Returns
    -------
    Coefficient
        None when no item was rated twice or all ratings fall in one class.

    Raises
    ------
    ValueError
        For negative numbers, fractions or NaN.

    Notes
    -----
    alpha = 1 - observed / expected disagreement; Krippendorff (2004, Content Analysis,
    2nd ed., chapter 11; from memory).

    Examples
    --------
    >>> round(krippendorff_alpha([[4, 0], [3, 1], [0, 3], [1, 1]]).value, 4)
    0.4
    """
    table = count_table("counts", counts)
    paired = table[table.sum(axis=1) >= 2]
    if paired.size == 0:
        return Coefficient(None, None, None, 0, Wording(NO_PAIRS))
    items = int(paired.shape[0])
    totals = paired.sum(axis=0)
    if _one_class(totals):
        return Coefficient(None, None, None, items, Wording(ONE_CLASS))
    ratings = int(totals.sum())
    raters = paired.sum(axis=1)
    observed = float(((paired * (paired - 1)).sum(axis=1) / (raters - 1)).sum()) / ratings
    expected = float((totals * (totals - 1)).sum()) / (ratings * (ratings - 1))
    return Coefficient((observed - expected) / (1.0 - expected), observed, expected, items, None)


def _pair_agreement(paired: IntArray) -> float:
    """Mean over items of the share of agreeing pairs of raters."""
    raters = paired.sum(axis=1)
    return float(((paired * (paired - 1)).sum(axis=1) / (raters * (raters - 1))).mean())


def _one_class(totals: IntArray) -> bool:
    return int((totals > 0).sum()) < 2
