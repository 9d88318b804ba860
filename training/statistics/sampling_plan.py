"""Plans with a fixed number of judgements, and the tables that may end them early."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from enum import StrEnum

from scipy.special import betaincc

from training.statistics.checks import probability, rising, whole_number

# Beyond this a plan asks for more specimens than any bank holds.
MOST_SPECIMENS = 10_000


class Decision(StrEnum):
    """What a plan says after some judgements."""

    ACCEPT = "accept"
    REJECT = "reject"
    CONTINUE = "continue"


@dataclass(frozen=True)
class FixedPlan:
    """Judge n specimens, pass with at most c errors; alpha and beta are exact risks.

    ``alpha`` is the probability that somebody at the good rate fails, ``beta`` that
    somebody at the bad rate passes.
    """

    n: int
    c: int
    alpha: float
    beta: float


@dataclass(frozen=True)
class DecisionTable:
    """Acceptance and rejection numbers after each judgement of one side.

    Attributes
    ----------
    accept : tuple of int
        ``accept[n]``: pass after n judgements with this many errors or fewer;
        -1 where passing is not yet possible. Index 0 stands for no judgement.
    reject : tuple of int
        ``reject[n]``: fail after n judgements with this many errors or more.
    alpha, beta : float or None
        Exact risks at the rates the table was designed for.
    expected_ok, expected_bad : float or None
        Exact mean number of judgements at those rates.
    """

    accept: tuple[int, ...]
    reject: tuple[int, ...]
    alpha: float | None = None
    beta: float | None = None
    expected_ok: float | None = None
    expected_bad: float | None = None

    def __post_init__(self) -> None:
        if len(self.accept) != len(self.reject) or len(self.accept) < 2:
            raise ValueError(
                f"accept holds {len(self.accept)} numbers and reject {len(self.reject)}; "
                "give both one number for no judgement and one after each."
            )
        if any(a >= r for a, r in zip(self.accept, self.reject, strict=True)):
            raise ValueError("An acceptance number reaches its rejection number; keep it below.")
        if self.accept[-1] + 1 != self.reject[-1]:
            raise ValueError(
                "The table ends undecided; make the last rejection number one more "
                "than the last acceptance number."
            )

    @property
    def cap(self) -> int:
        """Most judgements the table can ask for."""
        return len(self.accept) - 1

    @property
    def c(self) -> int:
        """Most errors with which the last judgement still passes."""
        return self.accept[-1]

    def decide(self, errors: int, n: int) -> Decision:
        """Return what to do after n judgements with so many errors.

        Parameters
        ----------
        errors : int
            Errors so far, 0 <= errors <= n.
        n : int
            Judgements so far, 0 <= n <= cap.

        Raises
        ------
        ValueError
            When n exceeds the cap or errors exceed n.

        Notes
        -----
        The first decision stands: keep it when judging goes on with fillers.

        Examples
        --------
        >>> curtail(65, 3).decide(4, 20)
        <Decision.REJECT: 'reject'>
        """
        n = whole_number("n", n, 0, self.cap, remedy=f"the table ends at {self.cap} judgements")
        errors = whole_number("errors", errors, 0, n, remedy="count the errors among the n")
        if errors <= self.accept[n]:
            return Decision.ACCEPT
        return Decision.REJECT if errors >= self.reject[n] else Decision.CONTINUE


def acceptance_probability(n: int, c: int, p: float) -> float:
    """Return the exact probability of at most c errors in n judgements.

    Parameters
    ----------
    n : int
        Judgements, at least 1.
    c : int
        Errors allowed, at least 0; with c >= n everybody passes.
    p : float
        True error rate in [0, 1].

    Returns
    -------
    float
        Binomial probability of passing.

    Raises
    ------
    ValueError
        For counts that are not whole, n < 1, c < 0 or p outside [0, 1].

    Notes
    -----
    The binomial sum as a regularised incomplete beta function (NIST/SEMATECH
    e-Handbook of Statistical Methods, section 6.2.3, and DLMF 8.17.5).

    Examples
    --------
    >>> round(acceptance_probability(20, 1, 0.18), 10)
    0.1018322793
    """
    n = whole_number("n", n, 1)
    c = whole_number("c", c, 0)
    return _binomial_cdf(c, n, probability("p", p))


def design_plan(p_ok: float, p_bad: float, alpha: float, beta: float) -> FixedPlan:
    """Return the fixed plan with the smallest c, then the smallest n, that keeps both risks.

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
    FixedPlan
        n, c and the exact risks at p_ok and p_bad.

    Raises
    ------
    ValueError
        For rates out of order or out of range, and when more than 10 000 specimens
        would be needed.

    Notes
    -----
    For each c the least n with P(pass | p_bad) <= beta is found by bisection; the
    first c whose n also keeps P(fail | p_ok) <= alpha is taken (W. C. Guenther,
    "Use of the binomial, hypergeometric and Poisson tables to obtain sampling plans",
    Journal of Quality Technology 1 (1969), 105-109, from memory).

    Examples
    --------
    >>> plan = design_plan(0.02, 0.10, 0.05, 0.10)
    >>> plan.n, plan.c, round(plan.alpha, 3), round(plan.beta, 3)
    (65, 3, 0.041, 0.1)
    """
    p_ok, p_bad, alpha, beta = checked_risks(p_ok, p_bad, alpha, beta)
    n = c = 0
    while True:
        n = _least_n(c, max(n, c + 1), p_bad, beta)
        if 1 - _binomial_cdf(c, n, p_ok) <= alpha:
            return FixedPlan(n, c, 1 - _binomial_cdf(c, n, p_ok), _binomial_cdf(c, n, p_bad))
        c += 1


def curtail(n: int, c: int) -> DecisionTable:
    """Return the table that ends a fixed plan as soon as its outcome is certain.

    Parameters
    ----------
    n : int
        Judgements of the plan, at least 1.
    c : int
        Errors allowed, 0 <= c < n.

    Returns
    -------
    DecisionTable
        Fails at error c + 1, passes once the judgements left cannot bring that many.

    Raises
    ------
    ValueError
        For counts that are not whole, n < 1 or c outside 0..n-1.

    Notes
    -----
    Curtailment never changes the decision, only when it is known.

    Examples
    --------
    >>> table = curtail(65, 3)
    >>> table.accept[61], table.accept[62], table.accept[65], table.reject[4]
    (-1, 0, 3, 4)
    """
    n = whole_number("n", n, 1)
    c = whole_number("c", c, 0, n - 1, remedy="allow fewer errors than there are judgements")
    accept = tuple(max(c - (n - k), -1) for k in range(n + 1))
    return DecisionTable(accept=accept, reject=(c + 1,) * (n + 1))


def most_errors_allowed(n: int, p_bad: float, beta: float) -> int | None:
    """Return the most errors in n judgements that still stop somebody at p_bad.

    Parameters
    ----------
    n : int
        Judgements, at least 1.
    p_bad : float
        Error rate to be stopped, in (0, 1).
    beta : float
        Largest probability of passing at that rate, in (0, 1).

    Returns
    -------
    int or None
        Largest c with P(at most c errors | p_bad) <= beta; None when not even
        c = 0 keeps it.

    Raises
    ------
    ValueError
        For arguments out of range.

    Examples
    --------
    >>> most_errors_allowed(40, 0.20, 0.10), most_errors_allowed(8, 0.20, 0.10)
    (4, None)
    """
    n = whole_number("n", n, 1)
    p_bad = probability("p_bad", p_bad, open_ends=True)
    beta = probability("beta", beta, open_ends=True)
    kept = bisect_right(range(n), beta, key=lambda c: _binomial_cdf(c, n, p_bad))
    return kept - 1 if kept else None


def rate_on_fresh(p: float, seen_share: float) -> float:
    """Return the error rate over a draw of which a share is remembered.

    Parameters
    ----------
    p : float
        Error rate on specimens not met before, in [0, 1].
    seen_share : float
        Share of the draw the person met before, in [0, 1); taken as answered right.

    Returns
    -------
    float
        p (1 - seen_share): design against it to keep beta for fresh specimens.

    Raises
    ------
    ValueError
        When p or seen_share is out of range.

    Examples
    --------
    >>> design_plan(0.02, rate_on_fresh(0.10, 0.1), 0.05, 0.10).n
    87
    """
    p = probability("p", p)
    share = probability("seen_share", seen_share)
    if share == 1:
        raise ValueError("seen_share is 1: nothing of the draw is fresh; draw other specimens.")
    return p * (1 - share)


def repeated_risk(risk: float, tries: int) -> float:
    """Return the probability that at least one of several independent tries succeeds.

    Parameters
    ----------
    risk : float
        Probability of one try, in [0, 1], such as beta.
    tries : int
        Number of tries, at least 1.

    Raises
    ------
    ValueError
        When risk is out of range or tries below 1.

    Examples
    --------
    >>> round(repeated_risk(0.098, 2), 3)
    0.186
    """
    risk = probability("risk", risk)
    return 1 - (1 - risk) ** whole_number("tries", tries, 1)


def checked_risks(
    p_ok: float, p_bad: float, alpha: float, beta: float
) -> tuple[float, float, float, float]:
    """Return the four design figures as floats, or say which is wrong.

    Raises
    ------
    ValueError
        When one is outside (0, 1), p_ok is not below p_bad, or alpha + beta >= 1.
    """
    p_ok = probability("p_ok", p_ok, open_ends=True, remedy="give a rate such as 0.02 for 2 %")
    p_bad = probability("p_bad", p_bad, open_ends=True, remedy="give a rate such as 0.10 for 10 %")
    rising("p_ok", p_ok, "p_bad", p_bad)
    return p_ok, p_bad, *checked_pair(alpha, beta)


def checked_pair(alpha: float, beta: float) -> tuple[float, float]:
    """Return both risks as floats, or say which is wrong.

    Raises
    ------
    ValueError
        When one is outside (0, 1) or alpha + beta >= 1.
    """
    alpha = probability("alpha", alpha, open_ends=True, remedy="give a risk such as 0.05 for 5 %")
    beta = probability("beta", beta, open_ends=True, remedy="give a risk such as 0.10 for 10 %")
    if alpha + beta >= 1:
        raise ValueError(
            f"alpha is {alpha:g} and beta {beta:g}; together they must stay below 1: lower one."
        )
    return alpha, beta


def _least_n(c: int, low: int, p_bad: float, beta: float) -> int:
    """Return the least n >= low with P(pass | p_bad) <= beta, at the given c."""
    if _binomial_cdf(c, MOST_SPECIMENS, p_bad) > beta:
        raise ValueError(
            f"p_ok and p_bad lie too close: the plan needs more than {MOST_SPECIMENS} "
            "specimens; widen the gap or raise alpha or beta."
        )
    sizes = range(low, MOST_SPECIMENS + 1)
    return sizes[bisect_left(sizes, True, key=lambda n: _binomial_cdf(c, n, p_bad) <= beta)]


def _binomial_cdf(c: int, n: int, p: float) -> float:
    return 1.0 if c >= n else float(betaincc(c + 1, n - c, p))
