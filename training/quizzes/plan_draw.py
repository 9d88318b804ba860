"""Drawing the specimens of a plan whose numbers are known, within what it allows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from training.quizzes.drawing import Candidate, Draw, clear_of, draw_sitting
from training.quizzes.lacking import NotExaminableError, Wanted, demand
from training.quizzes.plan_rules import Rules
from training.quizzes.scoring import Part
from training.statistics.group_plan import critical_block

LEAST_CRITICAL: Final = 3


@dataclass(frozen=True)
class Numbers:
    """Numbers of a plan before its specimens are drawn; see `WorkedPlan`."""

    bad: dict[str, int]
    allowed: dict[str, int]
    good: int
    refused: int
    alpha: float
    beta: float


def draw_plan(
    rules: Rules,
    candidates: Sequence[Candidate],
    numbers: Numbers,
    marked: list[str],
    seed: str,
) -> Draw:
    """Draw by chance; where too many are then drawn by program, photographed ones go first."""
    draw = _draw_once(rules, candidates, numbers, marked, seed, photographed_first=False)
    if _too_synthetic(rules, draw) > 0:
        draw = _draw_once(rules, candidates, numbers, marked, seed, photographed_first=True)
        demand(_photographed_wanted(rules, draw))
    return draw


def _too_synthetic(rules: Rules, draw: Draw) -> int:
    """Return how many more specimens than the plant allows are drawn by program."""
    return draw.synthetic - rules.most_synthetic * len(draw.picks) // 100


def _photographed_wanted(rules: Rules, draw: Draw) -> list[Wanted]:
    """Return photographed specimens wanted of those that most are drawn by program of."""
    lacking = _too_synthetic(rules, draw)
    held: dict[tuple[str, Part], int] = {}
    for pick in draw.picks:
        if pick.candidate.synthetic:
            family = "" if pick.part is Part.GOOD else pick.candidate.family
            held[family, pick.part] = held.get((family, pick.part), 0) + 1
    wanted = []
    for (family, part), n in sorted(held.items(), key=lambda row: -row[1]):
        if lacking > 0:
            wanted.append(Wanted(family, part, min(n, lacking), photographed=True))
            lacking -= n
    return wanted


def _draw_once(
    rules: Rules,
    candidates: Sequence[Candidate],
    numbers: Numbers,
    marked: list[str],
    seed: str,
    *,
    photographed_first: bool,
) -> Draw:
    shares: dict[str, int] = {}
    if marked:
        drawn = draw_sitting(
            candidates,
            bad=numbers.bad,
            good=0,
            critical={},
            seed=seed,
            bad_strata=rules.bad_strata,
            photographed_first=photographed_first,
        )
        taken = {pick.candidate for pick in drawn.picks}
        left = {
            name: sum(each not in taken for each in clear_of(candidates, name)) for name in marked
        }
        shares = critical_shares(rules, left)
    return draw_sitting(
        candidates,
        bad=numbers.bad,
        good=numbers.good,
        critical=shares,
        seed=seed,
        bad_strata=rules.bad_strata,
        good_strata=rules.good_strata,
        photographed_first=photographed_first,
    )


def critical_shares(rules: Rules, left: Mapping[str, int]) -> dict[str, int]:
    """Share the critical block among families that have so many clear specimens left.

    As evenly as possible and at least three each; what one family cannot give another gives.

    Raises
    ------
    NotExaminableError
        When a family has fewer than three, or all together fewer than the block.
    """
    demand(
        Wanted(name, Part.CRITICAL, LEAST_CRITICAL - n)
        for name, n in left.items()
        if n < LEAST_CRITICAL
    )
    block = critical_block(rules.critical_p_bad, rules.critical_beta, list(left))
    shares = {name: min(n, left[name]) for name, n in block.by_family.items()}
    short = block.n - sum(shares.values())
    for name, share in list(shares.items()):
        more = min(short, left[name] - share)
        shares[name] = share + more
        short -= more
    if short:
        fewest = min(left, key=lambda name: left[name])
        raise NotExaminableError([Wanted(fewest, Part.CRITICAL, short)])
    return shares
