"""Plans the invented plant's specimen bank: which part, family, limit, severity and pool, by seed.

The plan is the same every time it is made. Each specimen is measured after it is rendered; the plan
only says what to ask the renderer for and on which side of the job's limit it is meant to lie.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from media_demo.pictures.families import FAMILIES, Family
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.plant_parts import part_for_product
from media_demo.plant.read import documents, rows

VERSION = 1
# Shares of severity ÷ limit: the blueprint of the exam plans, in whole parts of twenty.
BAD_RATIOS = ((1.07, 1.25, 5), (1.3, 2.0, 9), (2.1, 3.5, 6))
GOOD_RATIOS = ((0.5, 0.78, 5), (0.8, 0.93, 3))
BAD, NEAR, CLEAN = "bad", "near", "clean"
EXAM, TEACHING = "exam", "teaching"
DEEP = "black-specks"
# The critical block wants 29 clear specimens over a person's critical families, at times only one.
CRITICAL_BAD, ORDINARY_BAD, NEAR_GOOD = 40, 24, 12
SWEEP_FRAMES = 9
TEACHING_BAD, TEACHING_GOOD, CLEAN_PARTS = 6, 4, 100


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


@dataclass(frozen=True)
class Place:
    """A job and zone where a family can arise, and the limit a picture can be judged by."""

    job: str
    zone: str
    part: str
    resin: str
    hand: str | None
    limit: float | None


@cache
def places() -> dict[str, tuple[Place, ...]]:
    """Return for each family the jobs and zones that need it and that can be drawn."""
    general = {item["slug"]: item["limits"] for item in documents("families")}
    found: dict[str, list[Place]] = {slug: [] for slug in general}
    for job in documents("jobs"):
        for family in job["needs"]:
            own = [line for line in job["limits"] if line["family"] == family]
            for zone in sorted({line["zone"] for line in own or general[family]}):
                place = _place(
                    job, family, zone, [x for x in own or general[family] if x["zone"] == zone]
                )
                if place is not None:
                    found[family].append(place)
    return {family: tuple(kept) for family, kept in found.items()}


def _place(
    job: dict[str, Any], family: str, zone: str, lines: list[dict[str, Any]]
) -> Place | None:
    part = part_for_product(job["product"], job["colour"]["en"], job["hand"])
    drawn = FAMILIES.get(family)
    limit = None
    if drawn is not None:
        if zone != "*" and not _has_room(drawn, part.part, zone):
            return None
        limit = _limit(lines, drawn.unit)
        if limit is None and not any(_says_none(line) for line in lines):
            return None
    return Place(job["no"], zone, part.part, part.resin, part.hand, limit)


def _has_room(drawn: Family, part: str, zone: str) -> bool:
    if drawn.zones is not None and zone not in drawn.zones:
        return False
    return "whole" in drawn.sites or bool(KINDS[part].sides_for(drawn.sites, (zone,)))


def _limit(lines: list[dict[str, Any]], unit: str) -> float | None:
    values = [
        float(line["value"])
        for line in lines
        if line["measure"] in ("at_most", "count_at_most")
        and line.get("unit") == unit
        and line["judged_by"] in ("eye", "count")
    ]
    return min(values, default=None)


def _says_none(line: dict[str, Any]) -> bool:
    return line["measure"] in ("none", "not_visible_at") and line["judged_by"] in ("eye", "count")


def plan_bank() -> Iterator[Planned]:
    """Yield the whole bank, what the first hour needs first."""
    everything = [*_family_specimens(), *_clean_specimens()]
    numbered = [
        replace(planned, number=f"S-{place:05d}")
        for place, planned in enumerate(sorted(everything, key=_order), start=1)
    ]
    yield from numbered


def _order(planned: Planned) -> tuple[bool, bool, bool, int]:
    # Practice comes first; within a pool the order is by seed, so that a number betrays nothing.
    deep = planned.first_hour and planned.family == DEEP
    return (not planned.first_hour, not deep, planned.pool != TEACHING, planned.seed)


def _family_specimens() -> Iterator[Planned]:
    critical = critical_families()
    for family, where in places().items():
        if not where:
            continue
        bad = CRITICAL_BAD if family in critical else ORDINARY_BAD
        good = 30 if family == DEEP else NEAR_GOOD
        for number in range(bad):
            yield _specimen(family, where, EXAM, BAD, number, first=family == DEEP and number < 24)
        for number in range(good):
            yield _specimen(family, where, EXAM, NEAR, number, first=family == DEEP and number < 24)
        for number in range(TEACHING_BAD):
            first = family == DEEP or (family in FIRST_FAMILIES and number < 3)
            yield _specimen(family, where, TEACHING, BAD, number, first=first)
        for number in range(max(TEACHING_GOOD, 6 if family == DEEP else 0)):
            first = family == DEEP or (family in FIRST_FAMILIES and number < 1)
            yield _specimen(family, where, TEACHING, NEAR, number, first=first)


FIRST_FAMILIES = ("short-shot", "flash", "weld-line", "sink", "burn", "scuff", "gloss")


def _clean_specimens() -> Iterator[Planned]:
    families = [family for family, where in places().items() if where]
    for number in range(CLEAN_PARTS):
        family = families[number % len(families)]
        yield _specimen(family, places()[family], EXAM, CLEAN, number, first=False)


def critical_families() -> set[str]:
    named = set()
    for row in rows("sittings_to_simulate"):
        named.update(row["critical_families"].split())
    return named


def _specimen(
    family: str, where: tuple[Place, ...], pool: str, kind: str, number: int, *, first: bool
) -> Planned:
    seed = seed_of(family, pool, kind, number)
    place = where[number % len(where)]
    ratio = severity = None
    drawn = FAMILIES.get(family)
    if kind != CLEAN and place.limit is not None:
        ratio = ratio_of(BAD_RATIOS if kind == BAD else GOOD_RATIOS, number, seed)
        severity = ratio * place.limit
    elif kind == BAD and drawn is not None:
        # Nothing is accepted here: any mark that shows is bad, so it is drawn to show.
        steps = drawn.ladder[len(drawn.ladder) // 2 :]
        severity = float(steps[number % len(steps)])
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
        frames=_frames(drawn, number, first=first),
    )


def _frames(drawn: Family | None, number: int, *, first: bool) -> int:
    """Most marks that come and go with the light get a sweep, but never in the first hour."""
    return SWEEP_FRAMES if drawn and drawn.sweep and not first and number % 4 != 3 else 1


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
