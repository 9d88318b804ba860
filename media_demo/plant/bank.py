"""Plans the invented plant's specimen bank: which part, family, limit, severity and pool, by seed.

The plan is the same every time it is made. Each specimen is measured after it is rendered; the plan
only says what to ask the renderer for and on which side of the job's limit it is meant to lie.

25 families are examined on pictures, each with 24 bad parts and 12 good ones near the limit (clean
ones where nothing is accepted); with 100 clean parts and 250 for teaching that makes 1,250. Families
that somebody is examined on at critical level get 16 clearly bad parts more.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.scenes.gauges import scale_of
from media_demo.pictures.scenes.ladders import LADDERS
from media_demo.pictures.scenes.registry import SCENES
from media_demo.plant.places import TAUGHT_ONLY, Place, places
from media_demo.plant.read import rows

VERSION = 1
# Shares of severity ÷ limit: the blueprint of the exam plans, in whole parts of twenty.
BAD_RATIOS = ((1.07, 1.25, 5), (1.3, 2.0, 9), (2.1, 3.5, 6))
GOOD_RATIOS = ((0.5, 0.78, 5), (0.8, 0.93, 3))
CLEAR_RATIOS = ((1.6, 3.5, 1),)
# Beside its master a difference of three units and more can be seen (media_demo.pictures.scenes).
COLOUR_STEPS = (3.2, 3.8, 4.5, 5.5, 7.0)
BAD, NEAR, CLEAN = "bad", "near", "clean"
EXAM, TEACHING = "exam", "teaching"
DEEP = "black-specks"
EXAM_BAD, NEAR_GOOD, CLEAN_PARTS, CLEAN_DEEP = 24, 12, 100, 12
# The critical block wants 29 clear specimens over a person's critical families, at times only one.
CRITICAL_MORE = 16
TEACHING_BAD, TEACHING_PARTS, TEACHING_DEEP = 6, 250, 12
FIRST_OF_EACH = 4
SWEEP_FRAMES = 9


@dataclass(frozen=True)
class Planned:
    """One specimen of the bank before it is rendered."""

    number: str
    family: str
    job: str
    zone: str
    pool: str
    kind: str
    part: str
    resin: str
    hand: str | None
    seed: int
    ratio: float | None
    limit: float | None
    severity: float | None
    first_hour: bool
    frames: int = 1
    unit: str = ""
    gauge: bool = False
    per_mm: float = 1.0
    turn: int = 0


def plan_bank() -> Iterator[Planned]:
    """Yield the whole bank, what the first hour needs first."""
    everything = chain(_exam(), _more_for_critical(), _clean(), _teaching())
    yield from (
        replace(planned, number=f"S-{place:05d}")
        for place, planned in enumerate(sorted(everything, key=_order), start=1)
    )


def _order(planned: Planned) -> tuple[bool, bool, bool, int, int]:
    """Practice comes first; then by seed, so that a number betrays nothing of an exam's part.

    The first four of every family are dealt out one by one: whenever drawing is stopped, every
    family has as many as any other.
    """
    deep = planned.first_hour and planned.family == DEEP
    dealt = 0 if deep or not planned.first_hour else planned.turn
    practice = planned.pool == TEACHING
    return (not planned.first_hour, not deep, not practice, dealt, planned.seed)


def examined_families() -> list[str]:
    return [family for family, where in places().items() if where and family != TAUGHT_ONLY]


def critical_families() -> set[str]:
    named = set()
    for row in rows("sittings_to_simulate"):
        named.update(row["critical_families"].split())
    return named


@cache
def swept_jobs() -> frozenset[str]:
    """The jobs some of whose specimens are shown under nine angles of light."""
    return frozenset(planned.job for planned in plan_bank() if planned.frames > 1)


def _exam() -> Iterator[Planned]:
    for family in examined_families():
        for kind, count in ((BAD, EXAM_BAD), (NEAR, NEAR_GOOD)):
            for turn in range(count):
                yield _specimen(family, EXAM, kind, turn, first=family == DEEP)


def _more_for_critical() -> Iterator[Planned]:
    for family in sorted(critical_families() & set(examined_families())):
        for turn in range(EXAM_BAD, EXAM_BAD + CRITICAL_MORE):
            yield _specimen(family, EXAM, BAD, turn, first=False)


def _clean() -> Iterator[Planned]:
    others = [family for family in examined_families() if family != DEEP]
    for turn in range(CLEAN_DEEP):
        yield _specimen(DEEP, EXAM, CLEAN, turn, first=True)
    for number in range(CLEAN_PARTS - CLEAN_DEEP):
        turn, place = divmod(number, len(others))
        yield _specimen(others[place], EXAM, CLEAN, turn, first=False)


def _teaching() -> Iterator[Planned]:
    """Six bad ones and three or four good ones of every family, six and six of the deep one."""
    others = [family for family in places() if family != DEEP and places()[family]]
    good = TEACHING_PARTS - TEACHING_DEEP - TEACHING_BAD * len(others)
    for turn in range(TEACHING_BAD):
        yield _specimen(DEEP, TEACHING, BAD, turn, first=True)
        yield _specimen(DEEP, TEACHING, NEAR, turn, first=True)
        for family in others:
            # three bad and one good of the first four
            first = turn < FIRST_OF_EACH - 1
            yield _specimen(family, TEACHING, BAD, turn, first=first)
    for number in range(good):
        turn, place = divmod(number, len(others))
        planned = _specimen(others[place], TEACHING, NEAR, turn, first=turn == 0)
        yield replace(planned, turn=FIRST_OF_EACH - 1) if turn == 0 else planned


def _specimen(family: str, pool: str, kind: str, turn: int, *, first: bool) -> Planned:
    seed = seed_of(family, pool, kind, turn)
    where = places()[family]
    place = where[turn % len(where)]
    ratio, severity = _asked(family, place, kind, turn, seed)
    return Planned(
        number="",
        family=family,
        job=place.job,
        zone=place.zone,
        pool=pool,
        kind=kind,
        part=place.part,
        resin=place.resin,
        hand=place.hand,
        seed=seed,
        ratio=ratio,
        limit=place.limit,
        severity=severity,
        first_hour=first,
        frames=1 if first else _frames(place, family, turn + turn // len(where)),
        unit=place.unit,
        gauge=place.gauge,
        per_mm=place.per_mm,
        turn=turn,
    )


def _asked(
    family: str, place: Place, kind: str, turn: int, seed: int
) -> tuple[float | None, float | None]:
    """Return ratio and severity to ask for; both None for a part without a mark."""
    if kind == CLEAN:
        return None, None
    if place.limit is None:
        return None, _shown(family, turn) if kind == BAD else None
    if family == TAUGHT_ONLY and kind == BAD:
        severity = COLOUR_STEPS[turn % len(COLOUR_STEPS)]
        return severity / place.limit, severity
    bad = CLEAR_RATIOS if turn >= EXAM_BAD else BAD_RATIOS
    ratio = ratio_of(bad if kind == BAD else GOOD_RATIOS, turn, seed)
    severity = ratio * place.limit / place.per_mm
    if not place.gauge:
        return ratio, severity
    scale, limit = scale_of(family), place.limit / place.per_mm
    severity = scale.above(limit, severity) if kind == BAD else scale.below(limit, severity)
    return severity / limit, severity


def _shown(family: str, turn: int) -> float:
    """Where nothing is accepted any mark that shows is bad, so it is drawn to show."""
    if family in SCENES:
        steps = LADDERS[family][1:]
    else:
        steps = FAMILIES[family].ladder[len(FAMILIES[family].ladder) // 2 :]
    return float(steps[turn % len(steps)])


def _frames(place: Place, family: str, turn: int) -> int:
    """Most marks that come and go with the light get a sweep, but never in the first hour."""
    swept = family in FAMILIES and FAMILIES[family].sweep and not place.gauge
    return SWEEP_FRAMES if swept and turn % 5 != 4 else 1


def ratio_of(strata: tuple[tuple[float, float, int], ...], number: int, seed: int) -> float:
    turn = number % sum(weight for _low, _high, weight in strata)
    for low, high, weight in strata:
        if turn < weight:
            return low + (high - low) * ((seed >> 8) % 1000) / 999
        turn -= weight
    raise AssertionError("unreachable: the turn lies below the sum of the weights")


def seed_of(*what: object) -> int:
    text = " ".join(str(part) for part in (VERSION, *what))
    return int(hashlib.sha256(text.encode()).hexdigest()[:8], 16) >> 1
