"""Drawing specimens for a sitting: the same seed and bank give the same draw, on every machine.

The order of chance is the order of SHA-256 over seed, purpose and specimen, so a draw can be made
again by anybody who has the seed and the list, without a particular random generator.
"""

import hashlib
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from training.quizzes.blueprint import BAD, CLEAR, GOOD, Strata, quotas, strata_for_bad
from training.quizzes.scoring import Part

FRESH_DAYS: Final = 180
OWN_JOBS_SHARE: Final = 0.60


@dataclass(frozen=True, slots=True)
class Candidate:
    """A specimen of the pool as one person would meet it.

    `ratio` is severity ÷ limit, None where nothing is measured. `clear` is present or absent, or at
    least 1.5 times the limit. `seen_days_ago` counts from the last time the person was shown it,
    None when never; `in_last_sitting` says it was in their last sitting of its family. `synthetic`
    says that its pictures were drawn by program.
    """

    key: str
    family: str
    bad: bool
    ratio: float | None = None
    clear: bool = False
    own_job: bool = False
    seen_days_ago: int | None = None
    in_last_sitting: bool = False
    synthetic: bool = False

    @property
    def fresh(self) -> bool:
        """Not in the person's last sitting of the family and not within 180 days."""
        if self.seen_days_ago is None:
            return True
        return self.seen_days_ago >= FRESH_DAYS and not self.in_last_sitting

    @property
    def clean(self) -> bool:
        """Good, and nowhere near a limit: good for every family."""
        return not self.bad and GOOD[-1].holds(self.ratio)


@dataclass(frozen=True, slots=True)
class Pick:
    """A specimen drawn, and the block of the plan it was drawn for."""

    candidate: Candidate
    part: Part


@dataclass(frozen=True, slots=True)
class StratumDrawn:
    """How far one stratum of the blueprint was filled."""

    family: str
    code: str
    wanted: int
    drawn: int


@dataclass(frozen=True)
class Draw:
    """Specimens in the order they are shown, and what the draw found."""

    picks: tuple[Pick, ...]
    strata: tuple[StratumDrawn, ...] = field(default=())

    @property
    def seen(self) -> int:
        """Specimens of the draw that the person has met before."""
        return sum(not pick.candidate.fresh for pick in self.picks)

    @property
    def seen_share(self) -> float:
        """Share met before: of the whole draw or of its bad specimens, whichever is larger.

        The plan speaks of the whole draw; the risk of passing somebody who misses hangs on the bad
        ones alone, and fresh good specimens must not hide that those were met before.
        """
        bad = [pick for pick in self.picks if pick.part is not Part.GOOD]
        return max(_share(self.picks), _share(bad))

    @property
    def own_jobs(self) -> int:
        return sum(pick.candidate.own_job for pick in self.picks)

    @property
    def synthetic(self) -> int:
        return sum(pick.candidate.synthetic for pick in self.picks)

    def as_json(self) -> dict[str, Any]:
        """Return what the draw found in whole numbers, for the sitting's fact."""
        return {
            "drawn": len(self.picks),
            "seen": self.seen,
            "own_jobs": self.own_jobs,
            "synthetic": self.synthetic,
            "unfilled": [
                {"family": each.family, "stratum": each.code, "wanted": each.wanted - each.drawn}
                for each in self.strata
                if each.drawn < each.wanted
            ],
        }


def _share(picks: Sequence[Pick]) -> float:
    return sum(not pick.candidate.fresh for pick in picks) / len(picks) if picks else 0.0


def chance(seed: str, purpose: str) -> Callable[[Candidate], bytes]:
    """Return a sort key that puts candidates into the random order of this seed and purpose."""

    def place(candidate: Candidate) -> bytes:
        return hashlib.sha256(f"{seed}|{purpose}|{candidate.key}".encode()).digest()

    return place


def choose(
    candidates: Iterable[Candidate],
    n: int,
    strata: Strata,
    *,
    seed: str,
    purpose: str,
    photographed_first: bool = False,
) -> tuple[list[Candidate], tuple[StratumDrawn, ...]]:
    """Choose n candidates: fresh ones by blueprint, then other fresh ones, then ones met before.

    In each stratum at least 60 % come from the person's own jobs where there are as many. The number
    carries the plan's risks, so it is always filled; what a stratum lacks is reported, never counted
    as filled by another. With `photographed_first` those drawn by program come after the others of
    their stratum.

    Raises
    ------
    ValueError
        When there are fewer than n candidates.
    """
    order = sorted(candidates, key=chance(seed, purpose))
    if photographed_first:
        order.sort(key=lambda each: each.synthetic)
    if len(order) < n:
        raise ValueError(f"{n} specimens are wanted for {purpose}, the pool holds {len(order)}.")
    chosen: list[Candidate] = []
    drawn: list[StratumDrawn] = []
    for stratum in strata:
        wanted = quotas(n, strata)[stratum.code]
        held = [each for each in order if each.fresh and stratum.holds(each.ratio)]
        taken = own_jobs_first(held, wanted)
        chosen.extend(taken)
        drawn.append(StratumDrawn(purpose, stratum.code, wanted, len(taken)))
    taken_so_far = set(chosen)
    rest = [each for each in order if each not in taken_so_far]
    rest.sort(key=lambda each: not each.fresh)
    chosen.extend(rest[: n - len(chosen)])
    return chosen, tuple(drawn)


def own_jobs_first(order: Sequence[Candidate], n: int) -> list[Candidate]:
    """Take n in order, but at least 60 % from the person's own jobs where there are as many."""
    own = [each for each in order if each.own_job][: math.ceil(OWN_JOBS_SHARE * n)]
    taken = set(own)
    others = [each for each in order if each not in taken]
    return own + others[: n - len(own)]


def draw_sitting(
    candidates: Sequence[Candidate],
    *,
    bad: Mapping[str, int],
    good: int,
    critical: Mapping[str, int],
    seed: str,
    bad_strata: Strata = BAD,
    good_strata: Strata = GOOD,
    photographed_first: bool = False,
) -> Draw:
    """Draw the specimens of a sitting and put all of them into one random order.

    Raises
    ------
    ValueError
        When the pool is too small; ask `training.quizzes.offers` first, which says what is missing.
    """
    first = {"photographed_first": photographed_first}
    picks: list[Pick] = []
    drawn: list[StratumDrawn] = []
    for family, n in bad.items():
        held = [each for each in candidates if each.bad and each.family == family]
        strata = strata_for_bad([each.ratio for each in held], bad_strata)
        chosen, filled = choose(held, n, strata, seed=seed, purpose=family, **first)
        picks.extend(Pick(each, Part.BAD) for each in chosen)
        drawn.extend(filled)
    taken = {pick.candidate for pick in picks}
    for family, n in critical.items():
        held = [each for each in clear_of(candidates, family) if each not in taken]
        chosen, _ = choose(held, n, CLEAR, seed=seed, purpose=f"critical {family}", **first)
        picks.extend(Pick(each, Part.CRITICAL) for each in chosen)
    if good:
        held = good_for(candidates, bad)
        chosen, filled = choose(held, good, good_strata, seed=seed, purpose="good", **first)
        picks.extend(Pick(each, Part.GOOD) for each in chosen)
        drawn.extend(filled)
    mixed = chance(seed, "order")
    picks.sort(key=lambda pick: mixed(pick.candidate))
    return Draw(tuple(picks), tuple(drawn))


def good_for(candidates: Iterable[Candidate], families: Iterable[str]) -> list[Candidate]:
    """Return the good specimens that suit these families: their own, and clean parts of any."""
    named = set(families)
    return [each for each in candidates if not each.bad and (each.family in named or each.clean)]


def clear_of(candidates: Iterable[Candidate], family: str) -> list[Candidate]:
    """Return the clear bad specimens of a family."""
    return [each for each in candidates if each.bad and each.clear and each.family == family]


def draw_practice(
    candidates: Sequence[Candidate], families: Iterable[str], n: int, *, seed: str
) -> Draw:
    """Draw a practice round: about half bad, those not met for longest first.

    Raises
    ------
    ValueError
        When the teaching pool holds no specimen of these families.
    """
    named = set(families)
    order = sorted(
        (each for each in candidates if each.family in named or each.clean),
        key=chance(seed, "practice"),
    )
    order.sort(key=lambda each: (each.seen_days_ago is not None, -(each.seen_days_ago or 0)))
    bad = [each for each in order if each.bad and each.family in named]
    good = [each for each in order if not each.bad]
    if not bad:
        raise ValueError("The teaching pool holds no bad specimen of these families.")
    half = min(len(bad), max(n // 2, n - len(good)))
    chosen = bad[:half] + good[: n - half]
    mixed = chance(seed, "order")
    picks = [Pick(each, Part.BAD if each.bad else Part.GOOD) for each in chosen]
    return Draw(tuple(sorted(picks, key=lambda pick: mixed(pick.candidate))))
