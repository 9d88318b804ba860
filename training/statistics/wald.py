"""Wald's sequential probability ratio test: its two lines, and the table cut off at a cap."""

import math
from dataclasses import dataclass

from training.statistics.checks import whole_number
from training.statistics.sampling_plan import DecisionTable, checked_risks


@dataclass(frozen=True)
class WaldLines:
    """Pass at ``slope * n - h_accept`` errors or fewer, fail at ``slope * n + h_reject``.

    Attributes
    ----------
    slope : float
        Errors per judgement between p_ok and p_bad.
    h_accept, h_reject : float
        Distances of the two lines from the origin, in errors.
    """

    slope: float
    h_accept: float
    h_reject: float


def wald_lines(p_ok: float, p_bad: float, alpha: float, beta: float) -> WaldLines:
    """Return the lines of the test with these nominal risks.

    Parameters
    ----------
    p_ok, p_bad : float
        Error rates to be separated, 0 < p_ok < p_bad < 1.
    alpha, beta : float
        Nominal risks in (0, 1), together below 1; the exact ones are smaller without
        a cap and may be larger with one.

    Returns
    -------
    WaldLines

    Raises
    ------
    ValueError
        For rates or risks out of order or out of range.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, section 6.2.6.
    .. [2] A. Wald, "Sequential Analysis", 1947, chapter 5.

    Examples
    --------
    >>> lines = wald_lines(0.01, 0.10, 0.05, 0.10)
    >>> round(lines.slope, 4), round(lines.h_accept, 4), round(lines.h_reject, 4)
    (0.0397, 0.9389, 1.2054)
    """
    p_ok, p_bad, alpha, beta = checked_risks(p_ok, p_bad, alpha, beta)
    per_right = math.log1p(-p_bad) - math.log1p(-p_ok)
    scale = math.log(p_bad / p_ok) - per_right
    return WaldLines(
        slope=-per_right / scale,
        h_accept=math.log((1 - alpha) / beta) / scale,
        h_reject=math.log((1 - beta) / alpha) / scale,
    )


def wald_table(lines: WaldLines, cap: int, c: int) -> DecisionTable:
    """Return the table of the lines, cut off after cap judgements with c errors allowed.

    Parameters
    ----------
    lines : WaldLines
        From `wald_lines`.
    cap : int
        Most judgements, at least 1.
    c : int
        Most errors that pass at the cap, 0 to cap - 1; fewer where the upper line
        fails them already.

    Returns
    -------
    DecisionTable
        Ended early as well once its outcome at the cap is certain.

    Raises
    ------
    ValueError
        When cap or c is out of range.

    Notes
    -----
    Cutting off changes the risks: check them with `operating_characteristic`.

    Examples
    --------
    The rule of the handbook's example at its 24th judgement: pass with 0, fail with 3.

    >>> table = wald_table(wald_lines(0.01, 0.10, 0.05, 0.10), 156, 3)
    >>> table.accept[24], table.reject[24]
    (0, 3)
    """
    cap = whole_number("cap", cap, 1)
    c = whole_number("c", c, 0, cap - 1, remedy="allow fewer errors than there are judgements")
    accept, reject = [-1], [1]
    for n in range(1, cap + 1):
        # A hair of slack keeps a line that meets a whole number on its side.
        low = math.floor(lines.slope * n - lines.h_accept + 1e-12)
        high = math.ceil(lines.slope * n + lines.h_reject - 1e-12)
        reject.append(min(high, c + 1))
        accept.append(max(-1, min(max(low, c - (cap - n)), reject[n] - 1)))
    return DecisionTable(tuple(accept), tuple(reject))
