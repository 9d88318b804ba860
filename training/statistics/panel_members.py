"""How each member of a reference panel judges beside the others: lenient, strict, or alike."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy import stats

from training.statistics.operator_limit import OperatorLimit, fit_limit
from training.statistics.panel import Verdict, settle
from training.statistics.proportions import Interval, clopper_pearson
from training.statistics.sampling_plan import Decision

# Settled specimens of a side before a member's rate on it is shown.
SHOW_FROM = 8
FALSE_ALARM = 0.05


class Leaning(StrEnum):
    """Which way a member leaves the others, if any."""

    LENIENT = "lenient"
    STRICT = "strict"
    ALIKE = "alike"


@dataclass(frozen=True)
class Look:
    """One verdict of one member; `ratio` is severity / limit, None where it is not measured."""

    specimen: str
    verdict: Verdict
    ratio: float | None = None


@dataclass(frozen=True)
class Side:
    """Looks at specimens that the others settled one way, and how many of them said otherwise.

    Attributes
    ----------
    against, looks : int
    others_against, others_looks : int
        The same of all other members at the same specimens.
    interval : Interval or None
        Exact two-sided 95 % interval of the member's rate; None below 8 looks.
    p_value : float or None
        Fisher's exact test, one-sided: chance of so many against if all members were alike.
    """

    against: int
    looks: int
    others_against: int
    others_looks: int
    interval: Interval | None
    p_value: float | None


@dataclass(frozen=True)
class Member:
    """What one member's looks say.

    Attributes
    ----------
    name : str
    accepted_bad, rejected_good : Side
        Against what the others settled as bad, and as good.
    same, pairs : int
        Pairs of first and second look at one specimen that agree, and all pairs.
    limit : OperatorLimit or None
        Where the member draws the line, from looks at measured specimens.
    leaning : Leaning
        Named only below 5 % chance after comparing all members on both sides.
    """

    name: str
    accepted_bad: Side
    rejected_good: Side
    same: int
    pairs: int
    limit: OperatorLimit | None
    leaning: Leaning


def compare_members(looks: Sequence[Look]) -> tuple[Member, ...]:
    """Compare each member's looks with what the other members settled without it.

    Parameters
    ----------
    looks : sequence of Look
        Every look of a panel, in any order.

    Returns
    -------
    tuple of Member, by name

    Raises
    ------
    ValueError
        For a decision other than accept or reject, or a member without a name.

    Notes
    -----
    A specimen counts for a member only where the others' looks settle it by the rules of
    `panel.settle`: a member is never compared with an answer that rests on the own look.
    With fewer than four members the others seldom settle anything.

    Examples
    --------
    >>> looks = [Look(str(n), Verdict(who, "accept" if who == "Dee" else "reject"))
    ...          for n in range(12) for who in ("Ana", "Bo", "Cy", "Dee", "Eve", "Flo")]
    >>> [(member.name, member.leaning.value) for member in compare_members(looks)][3]
    ('Dee', 'lenient')
    """
    by_specimen: dict[str, list[Look]] = defaultdict(list)
    for look in looks:
        by_specimen[look.specimen].append(look)
    names = sorted({look.verdict.expert for look in looks})
    compared = 2 * len(names)
    return tuple(_member(name, by_specimen, compared) for name in names)


def _member(name: str, by_specimen: dict[str, list[Look]], compared: int) -> Member:
    sides = {
        Decision.REJECT: _side(name, by_specimen, Decision.REJECT),
        Decision.ACCEPT: _side(name, by_specimen, Decision.ACCEPT),
    }
    own = [look for looks in by_specimen.values() for look in looks if look.verdict.expert == name]
    same, pairs = _pairs(own)
    level = FALSE_ALARM / compared
    bad, good = sides[Decision.REJECT], sides[Decision.ACCEPT]
    leaning = Leaning.ALIKE
    if bad.p_value is not None and bad.p_value < level:
        leaning = Leaning.LENIENT
    elif good.p_value is not None and good.p_value < level:
        leaning = Leaning.STRICT
    return Member(name, bad, good, same, pairs, _limit(own), leaning)


def _side(name: str, by_specimen: dict[str, list[Look]], side: Decision) -> Side:
    against = looks = others_against = others_looks = 0
    for seen in by_specimen.values():
        own = [look.verdict for look in seen if look.verdict.expert == name]
        others = [look.verdict for look in seen if look.verdict.expert != name]
        found = settle(others)
        if not own or not found.settled or found.decision is not side:
            continue
        against += sum(verdict.decision != side for verdict in own)
        looks += len(own)
        others_against += found.dissent
        others_looks += found.verdicts
    if looks < SHOW_FROM:
        return Side(against, looks, others_against, others_looks, None, None)
    chance = more_often(against, looks, others_against, others_looks)
    interval = clopper_pearson(against, looks)
    return Side(against, looks, others_against, others_looks, interval, chance)


def more_often(against: int, looks: int, others_against: int, others_looks: int) -> float:
    """Return the chance of so many against, or more, if the member were like the others.

    Fisher's exact test, one-sided (R. A. Fisher 1935, The Design of Experiments, ch. 2; from
    memory).

    Examples
    --------
    The lady who tasted tea: 3 of 4 cups told right where 1 of the other 4 was called so.

    >>> round(more_often(3, 4, 1, 4), 4)
    0.2429
    """
    table = np.array([[against, looks - against], [others_against, others_looks - others_against]])
    return float(stats.fisher_exact(table, alternative="greater").pvalue)


def _pairs(own: Sequence[Look]) -> tuple[int, int]:
    by_specimen: dict[str, list[str]] = defaultdict(list)
    for look in own:
        by_specimen[look.specimen].append(look.verdict.decision)
    pairs = [(said[0], said[1]) for said in by_specimen.values() if len(said) >= 2]
    return sum(first == second for first, second in pairs), len(pairs)


def _limit(own: Sequence[Look]) -> OperatorLimit | None:
    measured = [
        (math.log(look.ratio), look.verdict.decision == Decision.REJECT)
        for look in own
        if look.ratio
    ]
    if not measured:
        return None
    return fit_limit([shown for shown, _ in measured], [float(said) for _, said in measured])
