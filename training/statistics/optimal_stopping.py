"""Best tables for given prices of the two wrong decisions, and exact risks, many at a time.

Arrays have errors or judgements along the first axis and one column per table.
"""

import math
from dataclasses import dataclass

import numpy as np

from training.statistics.checks import FloatArray, IntArray

# exp(600) is still a number, and far beyond any likelihood ratio that matters.
LARGEST_EXPONENT = 600.0


@dataclass(frozen=True)
class Hypotheses:
    """Error rates of who should pass and who should fail."""

    p_ok: float
    p_bad: float


@dataclass(frozen=True)
class TableBatch:
    """Acceptance and rejection numbers of many tables with one cap.

    Attributes
    ----------
    accept, reject : ndarray of int, shape (cap + 1, tables)
        As in ``DecisionTable``, one column per table.
    """

    accept: IntArray
    reject: IntArray


def best_tables(
    rates: Hypotheses,
    price_fail: FloatArray,
    price_pass: FloatArray,
    cap: int,
    most_errors: int,
) -> TableBatch:
    """Return for each pair of prices the table of least mean cost.

    Parameters
    ----------
    rates : Hypotheses
        The two error rates.
    price_fail : ndarray, shape (tables,)
        Price of failing somebody at p_ok, in judgements.
    price_pass : ndarray, shape (tables,)
        Price of passing somebody at p_bad, in judgements.
    cap : int
        Most judgements.
    most_errors : int
        Errors beyond which every table fails; well above any acceptance number.

    Returns
    -------
    TableBatch
        Tables that minimise half the sum of expected judgements at both rates plus
        price_fail times alpha plus price_pass times beta, among all with this cap.

    Notes
    -----
    Backward induction from the cap: in every state the cheapest of passing, failing
    and going on, with the likelihood ratio of the two rates weighing what concerns
    p_bad (A. Wald, "Sequential Analysis", 1947, and M. H. DeGroot, "Optimal
    Statistical Decisions", 1970, ch. 12, both from memory).
    """
    errors = np.arange(most_errors + 1)
    step_up = math.log(rates.p_bad / rates.p_ok)
    step_down = math.log1p(-rates.p_bad) - math.log1p(-rates.p_ok)
    accept = np.full((cap + 1, price_fail.size), -1)
    reject = np.ones((cap + 1, price_fail.size), dtype=np.int64)
    cost: FloatArray | None = None
    for n in range(cap, 0, -1):
        exponent = errors * step_up + (n - errors) * step_down
        ratio = np.exp(np.minimum(exponent, LARGEST_EXPONENT))[:, np.newaxis]
        passing = price_pass * ratio
        stop = np.minimum(passing, price_fail)
        passes = (passing <= price_fail).sum(axis=0)
        if cost is None:
            cost = stop
            accept[n], reject[n] = passes - 1, passes
            continue
        ahead = np.full_like(stop, np.inf)
        ahead[:-1] = (1 - rates.p_ok) * cost[:-1] + rates.p_ok * cost[1:] + (1 + ratio[:-1]) / 2
        goes_on = ahead < stop
        cost = np.where(goes_on, ahead, stop)
        some = goes_on.any(axis=0)
        first = np.where(some, goes_on.argmax(axis=0), passes)
        last = np.where(some, most_errors - goes_on[::-1].argmax(axis=0), passes - 1)
        accept[n], reject[n] = np.minimum(first, passes) - 1, last + 1
    # More errors than the last number allows can only fail.
    return TableBatch(accept, np.minimum(reject, accept[-1] + 1))


def batch_characteristic(batch: TableBatch, p: float) -> tuple[FloatArray, FloatArray]:
    """Return the exact probability of passing and mean number of judgements of each table.

    Parameters
    ----------
    batch : TableBatch
        The tables.
    p : float
        True error rate in [0, 1].

    Returns
    -------
    tuple of ndarray, each of shape (tables,)
    """
    highest = int(batch.reject.max())
    errors = np.arange(highest + 1)[:, np.newaxis]
    chance = np.zeros((highest + 1, batch.accept.shape[1]))
    chance[0] = 1.0
    passing = np.zeros(batch.accept.shape[1])
    mean = np.zeros(batch.accept.shape[1])
    for accept, reject in zip(batch.accept[1:], batch.reject[1:], strict=True):
        mean += chance.sum(axis=0)
        moved = chance * (1 - p)
        moved[1:] += chance[:-1] * p
        accepted = errors <= accept
        passing += np.where(accepted, moved, 0.0).sum(axis=0)
        chance = np.where(accepted | (errors >= reject), 0.0, moved)
    return passing, mean
