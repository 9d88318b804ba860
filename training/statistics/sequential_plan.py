"""Plans that end as soon as the answers given are evidence enough, with exact risks."""

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from scipy.stats import binom

from training.statistics.checks import FloatArray, IntArray, probability
from training.statistics.optimal_stopping import (
    Hypotheses,
    batch_characteristic,
    best_tables,
)
from training.statistics.sampling_plan import (
    DecisionTable,
    FixedPlan,
    checked_risks,
    curtail,
    design_plan,
)

# The cap may exceed the fixed plan's number by half.
CAP_FACTOR = 1.5
LONGEST_SITTING = 20_000
NEGLIGIBLE = 1e-12
# A fixed plan beyond this is refused: no sitting lasts that long.
MOST_FOR_SEQUENTIAL = 1_000
CAPS_TRIED = 10
CAPS_REFINED = 5
REFINEMENTS = 4
# Logarithms of price / n searched first, and bounds of the work in one batch.
PRICE_SPAN = (-1.0, 4.0)
GRID_MOST = 24
GRID_CELLS = 5_000_000


class OperatingPoint(NamedTuple):
    """Probability of passing and mean number of judgements at one true error rate."""

    p_accept: float
    expected_n: float


class SittingLength(NamedTuple):
    """Mean judgements of a sitting on two sides: scored ones and fillers."""

    scored: float
    fillers: float

    @property
    def total(self) -> float:
        """All judgements, scored or not."""
        return self.scored + self.fillers


class _Candidate(NamedTuple):
    table: DecisionTable
    mean: float
    centre: tuple[float, float]


@lru_cache(maxsize=256)
def design_sequential(p_ok: float, p_bad: float, alpha: float, beta: float) -> DecisionTable:
    """Return the table with the least mean number of judgements that keeps both risks exactly.

    Parameters
    ----------
    p_ok : float
        Error rate of somebody who should pass, in (0, 1).
    p_bad : float
        Error rate of somebody who should fail, above p_ok and below 1.
    alpha : float
        Largest probability of failing at p_ok, in (0, 1).
    beta : float
        Largest probability of passing at p_bad, in (0, 1).

    Returns
    -------
    DecisionTable
        With exact alpha, beta and expected judgements at both rates; its cap is at
        most 1.5 times the fixed plan's number.

    Raises
    ------
    ValueError
        For rates or risks out of order or out of range, and when the fixed plan needs
        more than 1 000 specimens.

    Notes
    -----
    The least mean of the expected numbers at p_ok and p_bad is searched over the cap
    and the prices of the two wrong decisions, which take the place of nominal risks;
    for each triple the best table follows by backward induction
    (`optimal_stopping.best_tables`), its last acceptance number c included, and its
    risks are computed by adding up every path. Wald's test is of this kind when
    nothing caps it; with a cap these tables are shorter at the same risks.
    The curtailed fixed plan is the fallback, so a table always exists. Cached.

    Examples
    --------
    >>> table = design_sequential(0.05, 0.20, 0.05, 0.10)
    >>> table.alpha <= 0.05 and table.beta <= 0.10 and table.cap <= 57
    True
    """
    p_ok, p_bad, alpha, beta = checked_risks(p_ok, p_bad, alpha, beta)
    fixed = design_plan(p_ok, p_bad, alpha, beta)
    if fixed.n > MOST_FOR_SEQUENTIAL:
        raise ValueError(
            f"The fixed plan needs {fixed.n} specimens, more than {MOST_FOR_SEQUENTIAL}; "
            "widen the gap between p_ok and p_bad or raise alpha or beta."
        )
    search = _Search(Hypotheses(p_ok, p_bad), alpha, beta, fixed)
    return search.run()


def operating_characteristic(table: DecisionTable, p: float) -> OperatingPoint:
    """Return the exact chance of passing and mean number of judgements at a true rate.

    Parameters
    ----------
    table : DecisionTable
        A sequential or curtailed table.
    p : float
        True error rate in [0, 1].

    Returns
    -------
    OperatingPoint
        ``(p_accept, expected_n)``.

    Raises
    ------
    ValueError
        When p is out of range.

    Notes
    -----
    Adds up every path by dynamic programming; no approximation. Evaluate it over
    rates for the operating characteristic curve.

    Examples
    --------
    >>> from training.statistics.sampling_plan import curtail
    >>> point = operating_characteristic(curtail(65, 3), 0.02)
    >>> round(point.p_accept, 3), round(point.expected_n, 1)
    (0.959, 62.6)
    """
    accepted, rejected = stopping_probabilities(table, p)
    n = np.arange(table.cap + 1)
    passing = min(1.0, math.fsum(accepted))
    return OperatingPoint(passing, math.fsum(n * (accepted + rejected)))


def stopping_probabilities(table: DecisionTable, p: float) -> tuple[FloatArray, FloatArray]:
    """Return the exact chances of passing and of failing at each judgement.

    Parameters
    ----------
    table : DecisionTable
        A sequential or curtailed table.
    p : float
        True error rate in [0, 1].

    Returns
    -------
    accepted, rejected : ndarray, shape (cap + 1,)
        Element n is the chance that the decision falls exactly at judgement n.

    Raises
    ------
    ValueError
        When p is out of range.
    """
    p = probability("p", p)
    errors = np.arange(max(table.reject) + 1)
    chance = np.zeros(errors.size)
    chance[0] = 1.0
    accepted, rejected = np.zeros(table.cap + 1), np.zeros(table.cap + 1)
    for n in range(1, table.cap + 1):
        lost = chance[-1] * p
        moved = chance * (1 - p)
        moved[1:] += chance[:-1] * p
        passes, fails = errors <= table.accept[n], errors >= table.reject[n]
        accepted[n] = moved[passes].sum()
        rejected[n] = moved[fails].sum() + lost
        chance = np.where(passes | fails, 0.0, moved)
    return accepted, rejected


def judgements_quantile(table: DecisionTable, p: float, q: float) -> int:
    """Return the number of judgements that a share q of sittings does not exceed.

    Parameters
    ----------
    table : DecisionTable
        A sequential or curtailed table.
    p : float
        True error rate in [0, 1].
    q : float
        Share of sittings, in (0, 1]; 0.95 tells how long to plan for.

    Returns
    -------
    int
        Smallest n with P(decided by n) >= q.

    Raises
    ------
    ValueError
        When p or q is out of range.

    Examples
    --------
    >>> from training.statistics.sampling_plan import curtail
    >>> judgements_quantile(curtail(65, 3), 0.0, 0.95)
    62
    """
    q = probability("q", q)
    if q == 0:
        raise ValueError("q is 0; give a share of sittings above 0, such as 0.95.")
    accepted, rejected = stopping_probabilities(table, p)
    decided = np.cumsum(accepted + rejected)
    # Rounding must not push a share of 1 past the last judgement.
    return int(np.argmax(decided >= q - 1e-12))


def expected_sitting(
    misses: DecisionTable,
    p_miss: float,
    false_rejects: DecisionTable,
    p_false_reject: float,
    *,
    stop_when_failed: bool = True,
) -> SittingLength:
    """Return the mean length of a sitting in which both sides run on with fillers.

    Parameters
    ----------
    misses, false_rejects : DecisionTable
        Plans of the bad and of the good specimens.
    p_miss, p_false_reject : float
        True error rates on either side, in [0, 1].
    stop_when_failed : bool, optional
        Whether the sitting ends as soon as one side fails; otherwise when both sides
        are decided.

    Returns
    -------
    SittingLength
        Scored judgements and fillers.

    Raises
    ------
    ValueError
        When a rate is out of range.

    Notes
    -----
    Each specimen is bad or good with equal chance. A side that is decided goes on
    unscored until the sitting ends: showing only the other kind would tell an
    attentive person the answer. Exact up to 1e-9 judgements.

    Examples
    --------
    >>> table = design_sequential(0.02, 0.10, 0.05, 0.10)
    >>> length = expected_sitting(table, 0.01, table, 0.01)
    >>> length.scored < length.total < 2 * table.cap
    True
    """
    bad_side, good_side = _decided_by(misses, p_miss), _decided_by(false_rejects, p_false_reject)
    if not stop_when_failed:
        # A failed side then waits for the other just as a passed one does.
        bad_side, good_side = (
            (passed + failed, np.zeros(passed.size)) for passed, failed in (bad_side, good_side)
        )
    scored = total = 0.0
    for shown in range(LONGEST_SITTING):
        bad = np.arange(shown + 1)
        mixed = np.asarray(binom.pmf(bad, shown, 0.5))
        passed, failed = _after(bad_side, bad)
        passed_good, failed_good = _after(good_side, shown - bad)
        holds, holds_good = 1 - failed, 1 - failed_good
        going = float(mixed @ (holds * holds_good - passed * passed_good))
        if going < NEGLIGIBLE:
            break
        total += going
        pending = (holds - passed) * holds_good + (holds_good - passed_good) * holds
        scored += float(mixed @ pending) / 2
    return SittingLength(scored, total - scored)


def _after(side: tuple[FloatArray, FloatArray], n: IntArray) -> tuple[FloatArray, FloatArray]:
    """Return the chances of having passed and failed after n judgements, beyond the cap too."""
    passed, failed = side
    reached = np.minimum(n, passed.size - 1)
    return passed[reached], failed[reached]


def _decided_by(table: DecisionTable, p: float) -> tuple[FloatArray, FloatArray]:
    """Return the chances of having passed and of having failed by each judgement."""
    accepted, rejected = stopping_probabilities(table, p)
    return np.cumsum(accepted), np.cumsum(rejected)


class _Search:
    """Search of the prices and the cap for one quadruple of rates and risks."""

    def __init__(self, rates: Hypotheses, alpha: float, beta: float, fixed: FixedPlan) -> None:
        self.rates, self.alpha, self.beta, self.fixed = rates, alpha, beta, fixed
        self.largest_cap = int(CAP_FACTOR * fixed.n)
        # Acceptance numbers grow with the cap; a margin above stays out of reach.
        self.most_errors = int(CAP_FACTOR * (fixed.c + 1)) + 6

    def run(self) -> DecisionTable:
        low, high = PRICE_SPAN
        start = math.log(self.fixed.n) + (low + high) / 2
        half = (high - low) / 2
        shortest = min(self.largest_cap, math.ceil(1.2 * self.fixed.n))
        caps = sorted({round(x) for x in np.linspace(shortest, self.largest_cap, CAPS_TRIED)})
        found = [self._best(cap, (start, start), half) for cap in caps]
        candidates = sorted((c for c in found if c is not None), key=lambda c: c.mean)
        best = self._curtailed()
        for candidate in candidates[:CAPS_REFINED]:
            best = min(best, self._refined(candidate, half), key=lambda c: c.mean)
        return best.table

    def _refined(self, candidate: _Candidate, half: float) -> _Candidate:
        for _ in range(REFINEMENTS):
            half /= 4
            closer = self._best(candidate.table.cap, candidate.centre, half)
            if closer is not None and closer.mean < candidate.mean:
                candidate = closer
        return candidate

    def _best(self, cap: int, centre: tuple[float, float], half: float) -> _Candidate | None:
        """Return the best table within both risks on a grid of prices; None without one."""
        cells = cap * self.most_errors
        points = max(6, min(GRID_MOST, math.isqrt(GRID_CELLS // cells)))
        axes = [np.exp(np.linspace(x - half, x + half, points)) for x in centre]
        fail, passing = (grid.ravel() for grid in np.meshgrid(*axes))
        batch = best_tables(self.rates, fail, passing, cap, self.most_errors)
        p_ok, mean_ok = batch_characteristic(batch, self.rates.p_ok)
        p_bad, mean_bad = batch_characteristic(batch, self.rates.p_bad)
        keeps = (1 - p_ok <= self.alpha) & (p_bad <= self.beta)
        if not keeps.any():
            return None
        mean = np.where(keeps, (mean_ok + mean_bad) / 2, np.inf)
        i = int(mean.argmin())
        table = self._priced(tuple(batch.accept[:, i].tolist()), tuple(batch.reject[:, i].tolist()))
        return _Candidate(table, float(mean[i]), (math.log(fail[i]), math.log(passing[i])))

    def _curtailed(self) -> _Candidate:
        plan = curtail(self.fixed.n, self.fixed.c)
        table = self._priced(plan.accept, plan.reject)
        ok, bad = (operating_characteristic(table, p) for p in (self.rates.p_ok, self.rates.p_bad))
        return _Candidate(table, (ok.expected_n + bad.expected_n) / 2, (0.0, 0.0))

    def _priced(self, accept: tuple[int, ...], reject: tuple[int, ...]) -> DecisionTable:
        bare = DecisionTable(accept, reject)
        ok = operating_characteristic(bare, self.rates.p_ok)
        bad = operating_characteristic(bare, self.rates.p_bad)
        return DecisionTable(
            accept, reject, 1 - ok.p_accept, bad.p_accept, ok.expected_n, bad.expected_n
        )
