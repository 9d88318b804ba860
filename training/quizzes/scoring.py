"""What counts as found, missed or refused for nothing, and the counts a sitting ends with.

A reject is a hit only if the tapped place lies in the region plus the plan's tolerance; families
that concern the whole part ask for no place. The right answer at the wrong place is a miss. A wrong
family never changes the miss count. "Keep running" on a critical specimen is a miss.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import product
from typing import Any, Final, Self

Point = tuple[float, float]
Polygon = Sequence[Sequence[float]]

KEEP_RUNNING: Final = "keep_running"


class Part(StrEnum):
    """Block of the plan that a specimen was drawn for."""

    BAD = "bad"
    GOOD = "good"
    CRITICAL = "critical"


class Outcome(StrEnum):
    """What one answer comes to."""

    HIT = "hit"
    MISSED = "missed"
    WRONG_PLACE = "wrong_place"
    KEPT_RUNNING = "kept_running"
    ACCEPTED = "accepted"
    FALSE_REJECT = "false_reject"


MISSES: Final = frozenset({Outcome.MISSED, Outcome.WRONG_PLACE, Outcome.KEPT_RUNNING})


def _outcomes() -> dict[tuple[bool, bool, bool, bool], Outcome]:
    """Return every outcome by: is bad, was rejected, kept running a critical one, in its place."""
    found = {}
    for kept_running, placed in product((False, True), repeat=2):
        found[False, False, kept_running, placed] = Outcome.ACCEPTED
        found[False, True, kept_running, placed] = Outcome.FALSE_REJECT
        found[True, False, kept_running, placed] = Outcome.MISSED
        found[True, True, True, placed] = Outcome.KEPT_RUNNING
        found[True, True, False, placed] = Outcome.HIT if placed else Outcome.WRONG_PLACE
    return found


OUTCOMES: Final = _outcomes()
ERRORS: Final = MISSES | {Outcome.FALSE_REJECT}


@dataclass(frozen=True, slots=True)
class Target:
    """Where a defect lies on one view: outlines in picture pixels, and how far off still counts."""

    polygons: tuple[Polygon, ...]
    tolerance_px: float


# Measured where nothing is outlined, so that a tap on a good part takes the same steps: no picture
# reaches this far.
NOWHERE: Final = Target((((-1e9, -1e9), (-1e9, -1e9 + 1), (-1e9 + 1, -1e9)),), 0.0)


@dataclass(frozen=True, slots=True)
class Truth:
    """What a presented specimen is.

    `targets` holds a target for each view that shows the defect, by the view's identifier. Without
    targets no place is asked: the family concerns the whole part, or the part is a physical one.
    """

    family: str
    part: Part
    reject: bool
    critical: bool = False
    targets: Mapping[str, Target] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Place:
    """A tapped place, in pixels of the view's picture."""

    view: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Answer:
    """One judgement as it was given."""

    reject: bool
    place: Place | None = None
    family: str = ""
    action: str = ""


def tolerance_px(tolerance_mm: float, px_per_mm: float | None, least_px: float) -> float:
    """Return how far from a region a tap still counts, in picture pixels.

    The plan's tolerance in millimetres by the picture's scale, but never less than `least_px`: a
    gloved finger is wide. Without a scale the least counts.
    """
    return max(least_px, tolerance_mm * px_per_mm if px_per_mm else 0.0)


def distance_to(polygon: Polygon, point: Point) -> float:
    """Return the distance in pixels from a point to a polygon: 0 inside and on its edge.

    A polygon of two points is a line, one of a single point a dot.

    Raises
    ------
    ValueError
        For a polygon without points.
    """
    corners = [(float(x), float(y)) for x, y in polygon]
    if not corners:
        raise ValueError("A polygon has no points: outline the region again.")
    edges = list(zip(corners, corners[1:] + corners[:1], strict=True))
    # Both are always worked out: nothing is quicker for a tap in the right place.
    nearest = min(_to_segment(a, b, point) for a, b in edges)
    return 0.0 if _inside(edges, point) else nearest


def _inside(edges: list[tuple[Point, Point]], point: Point) -> bool:
    """Count the edges that a ray to the right crosses: odd means inside."""
    px, py = point
    inside = False
    for (ax, ay), (bx, by) in edges:
        inside ^= (ay > py) != (by > py) and px < ax + (bx - ax) * (py - ay) / (by - ay)
    return inside


def _to_segment(a: Point, b: Point, point: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = dx * dx + dy * dy
    along = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / length if length else 0.0
    t = min(1.0, max(0.0, along))
    return math.hypot(point[0] - a[0] - t * dx, point[1] - a[1] - t * dy)


def in_place(truth: Truth, place: Place | None) -> bool:
    """Return whether the tapped place counts; every outline is measured, wherever the tap was."""
    point = (place.x, place.y) if place is not None else (0.0, 0.0)
    target = truth.targets.get(place.view if place is not None else "", NOWHERE)
    near = [distance_to(outline, point) <= target.tolerance_px for outline in target.polygons]
    return any(near) or not truth.targets


def outcome(truth: Truth, answer: Answer) -> Outcome:
    """Return what an answer comes to; the same steps are taken for every specimen and answer."""
    placed = in_place(truth, answer.place)
    kept_running = truth.critical and answer.action == KEEP_RUNNING
    return OUTCOMES[truth.reject, answer.reject, kept_running, placed]


def is_error(truth: Truth, answer: Answer) -> bool:
    """Return whether an answer is a miss or a false reject."""
    return outcome(truth, answer) in ERRORS


@dataclass(frozen=True, slots=True)
class FamilyCount:
    """Counts of one family's bad specimens that were judged.

    `missed` includes `wrong_place` and `kept_running`; `named_otherwise` are hits under another
    family's name, which change nothing.
    """

    bad: int = 0
    missed: int = 0
    wrong_place: int = 0
    kept_running: int = 0
    named_otherwise: int = 0

    def plus(self, result: Outcome, *, named_otherwise: bool) -> Self:
        return replace(
            self,
            bad=self.bad + 1,
            missed=self.missed + (result in MISSES),
            wrong_place=self.wrong_place + (result is Outcome.WRONG_PLACE),
            kept_running=self.kept_running + (result is Outcome.KEPT_RUNNING),
            named_otherwise=self.named_otherwise + (named_otherwise and result is Outcome.HIT),
        )

    def as_json(self) -> dict[str, int]:
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class Counts:
    """Counts of a sitting: families in plan order, the good specimens, the critical block."""

    families: dict[str, FamilyCount] = field(default_factory=dict)
    good: int = 0
    false_rejects: int = 0
    critical: dict[str, FamilyCount] = field(default_factory=dict)

    @property
    def bad(self) -> int:
        return sum(count.bad for count in self.families.values())

    @property
    def missed(self) -> int:
        return sum(count.missed for count in self.families.values())

    @property
    def critical_bad(self) -> int:
        return sum(count.bad for count in self.critical.values())

    @property
    def critical_missed(self) -> int:
        return sum(count.missed for count in self.critical.values())

    @property
    def judged(self) -> int:
        return self.bad + self.good + self.critical_bad

    def as_json(self) -> dict[str, Any]:
        """Return the counts as whole numbers, for the end of the sitting."""
        return {
            "families": {name: count.as_json() for name, count in self.families.items()},
            "good": self.good,
            "false_rejects": self.false_rejects,
            "critical": {name: count.as_json() for name, count in self.critical.items()},
        }

    @classmethod
    def from_json(cls, value: Mapping[str, Any]) -> Self:
        def read(counts: Mapping[str, Any]) -> dict[str, FamilyCount]:
            return {name: FamilyCount(**count) for name, count in counts.items()}

        return cls(
            families=read(value.get("families", {})),
            good=int(value.get("good", 0)),
            false_rejects=int(value.get("false_rejects", 0)),
            critical=read(value.get("critical", {})),
        )


def count_answers(
    pairs: Iterable[tuple[Truth, Answer]],
    families: Iterable[str] = (),
    critical: Iterable[str] = (),
) -> Counts:
    """Return the counts of judged specimens.

    `families` and `critical` name the families of the plan, so that one without a judgement yet
    stands there with zeros.
    """
    by_family = {name: FamilyCount() for name in families}
    by_critical = {name: FamilyCount() for name in critical}
    by_good: dict[str, FamilyCount] = {}
    blocks = {Part.BAD: by_family, Part.CRITICAL: by_critical, Part.GOOD: by_good}
    false_rejects = 0
    for truth, answer in pairs:
        result = outcome(truth, answer)
        false_rejects += truth.part is Part.GOOD and result is Outcome.FALSE_REJECT
        counts = blocks[truth.part]
        counts[truth.family] = counts.get(truth.family, FamilyCount()).plus(
            result, named_otherwise=bool(answer.family) and answer.family != truth.family
        )
    good = sum(count.bad for count in by_good.values())
    return Counts(by_family, good, false_rejects, by_critical)
