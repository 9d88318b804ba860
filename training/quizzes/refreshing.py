"""Which families and specimens a refresher is made of: near one's own limit, and where one is weak.

A refresher trains; it is never evidence, because it is picked to be hard for one person.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from training.quizzes.drawing import Candidate, Draw, Pick, chance
from training.quizzes.scoring import Part

# Common practice, no source: as long as a plain round, three families at most in it.
LENGTH: Final = 12
MOST_FAMILIES: Final = 3
# Own limit is off when it lies this far from the job's; the claim rule of the operator's report.
OFF: Final = math.log(1 / 0.9)
LONG_AGO_DAYS: Final = 90


class Why(StrEnum):
    """Why a family is in a refresher, the strongest reason first."""

    MISSED = "missed"
    TOO_LOOSE = "too_loose"
    TOO_STRICT = "too_strict"
    FALSE_REJECTS = "false_rejects"
    NEVER = "never"
    LONG_AGO = "long_ago"
    OWN_LIMIT = "own_limit"


@dataclass(frozen=True, slots=True)
class FamilyState:
    """What is known of one person and one family.

    `missed` of `bad` and `refused` of `good` are of the last rounds and exams; `ratio` is the own
    limit ÷ the job's, None where there are too few judgements; `sure` says the limit is known from
    enough of them to state it. `days` are those since the last round with the family, None if never.
    """

    family: str
    missed: int = 0
    bad: int = 0
    refused: int = 0
    good: int = 0
    ratio: float | None = None
    sure: bool = False
    days: int | None = None


@dataclass(frozen=True, slots=True)
class Chosen:
    """A family of the refresher, why, and the severity ÷ limit its specimens should be near."""

    state: FamilyState
    why: Why
    target: float

    def as_json(self) -> dict[str, Any]:
        """Return what the sitting's fact keeps, in text and whole numbers."""
        state = self.state
        return {
            "family": state.family,
            "why": str(self.why),
            "missed": state.missed,
            "bad": state.bad,
            "refused": state.refused,
            "good": state.good,
            "ratio": "" if state.ratio is None else f"{state.ratio:.3f}",
        }


def reason_of(state: FamilyState) -> tuple[Why, float] | None:
    """Return why a family should be refreshed and how much, or None where nothing says so."""
    off = math.log(state.ratio) if state.ratio else 0.0
    known_off = abs(off) >= OFF and state.sure
    reasons = (
        (bool(state.missed), Why.MISSED, 10 + state.missed / max(1, state.bad)),
        (known_off and off > 0, Why.TOO_LOOSE, 5 + abs(off)),
        (known_off and off < 0, Why.TOO_STRICT, 5 + abs(off)),
        (bool(state.refused), Why.FALSE_REJECTS, 4 + state.refused / max(1, state.good)),
        (state.days is None, Why.NEVER, 3.0),
        ((state.days or 0) >= LONG_AGO_DAYS, Why.LONG_AGO, 2 + (state.days or 0) / 10_000),
        (state.ratio is not None, Why.OWN_LIMIT, 1 + abs(off)),
    )
    return next(((why, need) for holds, why, need in reasons if holds), None)


def choose_families(states: Iterable[FamilyState], most: int = MOST_FAMILIES) -> list[Chosen]:
    """Return the families that need it most, the neediest first; ties by name."""
    found = []
    for state in states:
        reason = reason_of(state)
        if reason is not None:
            found.append((-reason[1], state.family, Chosen(state, reason[0], state.ratio or 1.0)))
    return [chosen for _need, _name, chosen in sorted(found, key=lambda each: each[:2])[:most]]


def draw_refresher(
    candidates: Sequence[Candidate],
    chosen: Sequence[Chosen],
    *,
    missed_before: Iterable[str] = (),
    n: int = LENGTH,
    seed: str,
) -> Draw:
    """Draw specimens near the own limits, about half of them bad, those missed before first.

    Raises
    ------
    ValueError
        When the pool holds no bad specimen of any of these families.
    """
    before = set(missed_before)
    picks: list[Pick] = []
    for place, each in enumerate(chosen):
        share = n // len(chosen) + (place < n % len(chosen))
        picks += _near(candidates, each, share, before, seed)
    if not any(pick.part is Part.BAD for pick in picks):
        raise ValueError("The teaching pool holds no bad specimen of these families.")
    mixed = chance(seed, "order")
    return Draw(tuple(sorted(picks, key=lambda pick: mixed(pick.candidate))))


def _near(
    candidates: Sequence[Candidate], chosen: Chosen, n: int, before: set[str], seed: str
) -> list[Pick]:
    order = sorted(
        (each for each in candidates if each.family == chosen.state.family),
        key=chance(seed, "refresher"),
    )
    order.sort(key=lambda each: (each.key not in before, _distance(each, chosen.target)))
    bad = [each for each in order if each.bad]
    good = [each for each in order if not each.bad]
    half = min(len(bad), max(math.ceil(n / 2), n - len(good)))
    picked = bad[:half] + good[: n - half]
    return [Pick(each, Part.BAD if each.bad else Part.GOOD) for each in picked]


def _distance(candidate: Candidate, target: float) -> float:
    """Return how far a specimen lies from the own limit, as a logarithm; far where unmeasured."""
    return abs(math.log(candidate.ratio / target)) if candidate.ratio else 9.0
