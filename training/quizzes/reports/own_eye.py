"""Where one person draws the line in one family, against the job's limit; pure."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from training.quizzes.reports.eyes import FamilyPrior
from training.quizzes.reports.meetings import Meeting
from training.statistics.detection import Detection, detection
from training.statistics.limit_curve import rejection_curve
from training.statistics.operator_limit import (
    EACH_SIDE,
    SHOW_FROM,
    OperatorLimit,
    fit_limit,
)
from training.statistics.proportions import clopper_pearson

# Where judgements are put together to one point, in multiples of the limit; the curve is drawn up
# to the last.
STEPS: Final = (0.0, 0.5, 0.65, 0.8, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0, 2.5, 3.0)
CURVE_POINTS: Final = 120


@dataclass(frozen=True, slots=True)
class Point:
    """The judgements at about one severity, `x` times the limit, with the interval of the share."""

    x: float
    rejected: int
    judged: int
    low: float
    high: float


@dataclass(frozen=True)
class Curve:
    """Rejection against severity ÷ limit, with the band it may lie in."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A person's own limit in multiples of the job's, as a drawing takes it."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class OwnEye:
    """One person's eye for one family.

    `judgements` counts first meetings, `measured` those whose severity is known, `bad` and `good`
    the two kinds, `found` the bad ones seen and `refused` the good ones rejected. `detection` is
    None while fewer than 12 parts, or fewer than 3 bad or good ones, were met.
    """

    family: str
    judgements: int
    measured: int
    bad: int
    found: int
    good: int
    refused: int
    limit: OperatorLimit
    prior: FamilyPrior
    detection: Detection | None

    @property
    def line(self) -> Line | None:
        found = self.limit
        if found.ratio is None or found.low is None or found.high is None:
            return None
        return Line(found.ratio, found.low, found.high)

    @property
    def calls(self) -> str:
        """What the statement says: "strict", "lenient", "within", "open"; "" without one."""
        strict, lenient = self.limit.p_too_strict or 0.0, self.limit.p_too_lenient or 0.0
        if self.limit.statement is None:
            return ""
        if strict >= 0.95:
            return "strict"
        if lenient >= 0.95:
            return "lenient"
        return "within" if strict + lenient <= 0.05 else "open"


def own_eye(found: Iterable[Meeting], family: str, prior: FamilyPrior) -> OwnEye:
    """Fit one person's limit in one family from first meetings, in exams and in practice."""
    own = [each for each in found if each.first and each.family == family]
    shown, seen = measured(own)
    bad = [each for each in own if each.bad]
    good = [each for each in own if not each.bad]
    return OwnEye(
        family=family,
        judgements=len(own),
        measured=len(shown),
        bad=len(bad),
        found=sum(each.seen for each in bad),
        good=len(good),
        refused=sum(each.reject for each in good),
        limit=fit_limit(shown, seen, prior=prior.prior),
        prior=prior,
        detection=_detection(bad, good),
    )


def measured(own: Iterable[Meeting]) -> tuple[list[float], list[bool]]:
    """Return log severity ÷ limit and whether it was seen, where the severity is known."""
    pairs = [(each.log_ratio, each.seen) for each in own if each.log_ratio is not None]
    return [ratio for ratio, _ in pairs], [seen for _, seen in pairs]


def curve_of(found: Iterable[Meeting], family: str, prior: FamilyPrior) -> Curve:
    """Return the curve of one person in one family."""
    shown, seen = measured(each for each in found if each.first and each.family == family)
    x = np.linspace(STEPS[-1] / CURVE_POINTS, STEPS[-1], CURVE_POINTS)
    drawn = rejection_curve(shown, seen, np.log(x), prior=prior.prior)
    return Curve(
        tuple(x.tolist()),
        tuple(drawn.share.tolist()),
        tuple(drawn.low.tolist()),
        tuple(drawn.high.tolist()),
    )


def points_of(found: Iterable[Meeting], family: str) -> list[Point]:
    """Put the judgements of about the same severity together, each with its 95 % interval."""
    own = [
        each for each in found if each.first and each.family == family and each.ratio is not None
    ]
    return [
        point
        for low, high in pairwise(STEPS)
        if (point := _point([each for each in own if low < (each.ratio or 0) <= high]))
    ]


def _point(here: Sequence[Meeting]) -> Point | None:
    if not here:
        return None
    seen = sum(each.seen for each in here)
    interval = clopper_pearson(seen, len(here))
    middle = math.exp(sum(each.log_ratio or 0.0 for each in here) / len(here))
    return Point(round(middle, 3), seen, len(here), interval.low, interval.high)


def beyond_of(found: Iterable[Meeting], family: str) -> tuple[int, int]:
    """Return how many parts beyond the drawn severities were rejected, of how many."""
    far = [
        each.seen
        for each in found
        if each.first and each.family == family and (each.ratio or 0) > STEPS[-1]
    ]
    return sum(far), len(far)


def _detection(bad: Sequence[Meeting], good: Sequence[Meeting]) -> Detection | None:
    if len(bad) + len(good) < SHOW_FROM or min(len(bad), len(good)) < EACH_SIDE:
        return None
    return detection(
        sum(each.seen for each in bad), len(bad), sum(each.reject for each in good), len(good)
    )
