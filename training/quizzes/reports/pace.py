"""How long a person looks, and how their answers changed from sitting to sitting; pure."""

import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from training.quizzes.reports.eyes import PlantEyes
from training.quizzes.reports.meetings import Meeting, Round, rounds_of
from training.quizzes.reports.tallies import Rate, rate_of

# Between these multiples of the limit a part is called near it (common practice, no source).
NEAR_FROM, NEAR_TO = 0.8, 1.25
LEAST_TIMED: Final = 4


class Closeness(StrEnum):
    """Kinds of part by what they are and how near their limit they lie."""

    GOOD_CLEAR = "good_clear"
    GOOD_NEAR = "good_near"
    BAD_NEAR = "bad_near"
    BAD_CLEAR = "bad_clear"


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds one kind of part is looked at: median, and the middle half of them."""

    kind: Closeness
    judged: int
    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Paces:
    """The kinds that were judged often enough, and the median of everything."""

    rows: tuple[Pace, ...]
    median: float | None
    judged: int


def closeness(each: Meeting) -> Closeness:
    near = each.ratio is not None and NEAR_FROM <= each.ratio < NEAR_TO
    if each.bad:
        return Closeness.BAD_NEAR if near else Closeness.BAD_CLEAR
    return Closeness.GOOD_NEAR if near else Closeness.GOOD_CLEAR


def paces_of(found: Iterable[Meeting]) -> Paces:
    """Return how long each kind of part was looked at in exams."""
    rows = list(found)
    by_kind = {
        kind: sorted(each.seconds for each in rows if closeness(each) is kind) for kind in Closeness
    }
    return Paces(
        rows=tuple(
            _pace(kind, seconds) for kind, seconds in by_kind.items() if len(seconds) >= LEAST_TIMED
        ),
        median=statistics.median(each.seconds for each in rows) if rows else None,
        judged=len(rows),
    )


def _pace(kind: Closeness, seconds: Sequence[float]) -> Pace:
    low, median, high = statistics.quantiles(seconds, n=4, method="inclusive")
    return Pace(kind, len(seconds), median, low, high)


@dataclass(frozen=True, slots=True)
class Step:
    """One sitting on the way: right answers on parts met for the first time.

    `average` is the share that an average eye would get right on the same parts.
    """

    round: Round
    wrong: Rate
    missed: Rate
    false_rejects: Rate
    average: float | None
    median_s: float


def steps_of(found: Sequence[Meeting], eyes: PlantEyes) -> list[Step]:
    """Return a person's sittings in order, those with parts met for the first time."""
    firsts = [each for each in found if each.first and each.round.reason != "abandoned"]
    return [
        _step(each, [meeting for meeting in firsts if meeting.round.pk == each.pk], eyes)
        for each in rounds_of(firsts)
    ]


def _step(round_: Round, here: Sequence[Meeting], eyes: PlantEyes) -> Step:
    whole = round_.sized
    return Step(
        round=round_,
        wrong=rate_of(here, whole=whole),
        missed=rate_of((each for each in here if each.bad), whole=whole),
        false_rejects=rate_of((each for each in here if not each.bad), whole=whole),
        average=eyes.average_right({each.specimen for each in here}) if round_.exam else None,
        median_s=statistics.median(each.seconds for each in here),
    )
