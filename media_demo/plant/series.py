"""Ladders, contrasts and look-alikes for practice: what to draw, and the sets made of what came out.

Every member of a ladder or contrast is the same part in the same pose, bench and light; only the
mark's size differs. Each is measured after it is rendered, like any specimen of the bank.
"""

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.series import LOOK_ALIKES
from media_demo.plant.bank import BAD, CLEAN, NEAR, TEACHING, Planned, seed_of
from media_demo.plant.pictures import draw_bank
from media_demo.plant.places import Place, places
from media_demo.plant.read import documents
from training.people.models import Person
from training.specimens.models import Pool, Region, SetMember, Specimen, SpecimenSet
from training.specimens.services.series import make_set

Kind = SpecimenSet.Kind
# Shares of the limit: fine about it, so that a line can be set closely, and both ends plain.
RUNGS = (0.35, 0.6, 0.85, 1.12, 1.4, 1.75, 2.4)
PAIRS = ((0.75, 1.3), (0.85, 1.18))
LOOK_ALIKE_RATIO = 1.7
FIRST_FAMILIES = ("weld-line", "black-specks")
LADDER_FAMILIES = (
    *FIRST_FAMILIES,
    "scuff",
    "flow-line",
    "grease-oil",
    "burn",
    "gloss",
    "drag-mark",
    "splay",
    "jetting",
)
# A low-rate round shows 38 good parts, all of them clean.
MORE_CLEAN = 38


@dataclass(frozen=True)
class PlannedSet:
    """A set before it is drawn: its specimens in order, and what they differ in."""

    number: str
    kind: str
    difference: dict[str, str]
    members: tuple[Planned, ...]


def plan_series() -> Iterator[PlannedSet]:
    """Yield the sets, those of the first families first."""
    for place, family in enumerate(LADDER_FAMILIES, start=1):
        where = [each for each in places().get(family, ()) if each.limit and not each.gauge]
        if not where:
            continue
        yield _ladder(f"L-{place:02d}", family, where[0])
        for pair, ratios in enumerate(PAIRS, start=1):
            yield _contrast(f"C-{place:02d}{pair}", family, where[pair % len(where)], ratios)
    for place, families in enumerate(LOOK_ALIKES, start=1):
        alike = _look_alike(f"A-{place:02d}", families)
        if alike is not None:
            yield alike


def draw_series(
    *,
    day: dt.date,
    now: Callable[[], dt.datetime],
    progress: Callable[[int, int], None],
    first: bool,
) -> int:
    """Draw the sets that are not there yet: of the first families, or of all; return how many.

    What came out on the wrong side of its limit, or elsewhere on the part, is left out of its set;
    a set that is none without it is not made.
    """
    wanted = [each for each in plan_series() if not first or _is_first(each)]
    kept = set(Specimen.objects.filter(synthetic=True).values_list("number", flat=True))
    made = 0
    for each in wanted:
        todo = [member for member in each.members if member.number not in kept]
        if todo:
            draw_bank(todo, day=day, now=now, progress=progress)
        if not SetMember.objects.filter(specimen__number__in=_numbers(each)).exists():
            made += _made(each, day, now())
    if not first:
        clean = [planned for planned in clean_parts() if planned.number not in kept]
        draw_bank(clean, day=day, now=now, progress=progress)
    return made


def clean_parts() -> Iterator[Planned]:
    """Yield clean parts to practise with: what nearly every part at a press looks like."""
    families = [family for family in LADDER_FAMILIES if places().get(family)]
    for number in range(MORE_CLEAN):
        family = families[number % len(families)]
        where = places()[family]
        place = where[number // len(families) % len(where)]
        seed = seed_of("practice", CLEAN, number)
        yield _planned(f"P-{number + 1:03d}", family, place, seed, None)


def _is_first(planned: PlannedSet) -> bool:
    return planned.members[0].family in FIRST_FAMILIES and planned.kind != Kind.LOOK_ALIKE


def _ladder(number: str, family: str, place: Place) -> PlannedSet:
    seed = seed_of(Kind.LADDER, family)
    rungs = [
        _planned(f"{number}-{rung}", family, place, seed, ratio)
        for rung, ratio in enumerate((None, *RUNGS), start=1)
    ]
    return PlannedSet(number, Kind.LADDER, _feature(family), tuple(rungs))


def _contrast(number: str, family: str, place: Place, ratios: tuple[float, float]) -> PlannedSet:
    seed = seed_of(Kind.CONTRAST, family, number)
    pair = [
        _planned(f"{number}-{which}", family, place, seed, ratio)
        for which, ratio in enumerate(ratios, start=1)
    ]
    return PlannedSet(number, Kind.CONTRAST, _feature(family), tuple(pair))


def _look_alike(number: str, families: tuple[str, str]) -> PlannedSet | None:
    """Both families on the same part and zone, where the plant has one that needs both."""
    where = [
        {(each.job, each.zone): each for each in places().get(family, ()) if not each.gauge}
        for family in families
    ]
    shared = [spot for spot in where[0] if spot in where[1]]
    if not shared:
        return None
    seed = seed_of(Kind.LOOK_ALIKE, *families)
    pair = [
        _planned(f"{number}-{which}", family, spots[shared[0]], seed, LOOK_ALIKE_RATIO)
        for which, (family, spots) in enumerate(zip(families, where, strict=True), start=1)
    ]
    return PlannedSet(number, Kind.LOOK_ALIKE, _test_of(families), tuple(pair))


def _planned(number: str, family: str, place: Place, seed: int, ratio: float | None) -> Planned:
    severity = None
    if ratio is not None:
        gross = FAMILIES[family].ladder[-2]
        severity = gross if place.limit is None else ratio * place.limit
    kind = CLEAN if ratio is None else BAD if ratio > 1 else NEAR
    return Planned(
        number=number,
        family=family,
        job=place.job,
        zone=place.zone,
        pool=TEACHING,
        kind=kind,
        part=place.part,
        resin=place.resin,
        hand=place.hand,
        seed=seed,
        ratio=None if place.limit is None else ratio,
        limit=place.limit,
        severity=severity,
        first_hour=False,
        unit=place.unit,
    )


def _documents() -> dict[str, dict[str, Any]]:
    return {item["slug"]: item for item in documents("families")}


def _feature(family: str) -> dict[str, str]:
    """Return what the family's limits measure: "visible length"."""
    unit = FAMILIES[family].unit
    for line in _documents()[family]["limits"]:
        if line.get("unit") == unit and line.get("feature"):
            return {code: line["feature"][code] for code in ("en", "es")}
    return {"en": "size of the mark", "es": "tamaño de la marca"}


def _test_of(families: tuple[str, str]) -> dict[str, str]:
    """Return how both are told, each by its own line to remember."""
    known = _documents()
    return {
        code: " ".join(known[family][key] for family in families)
        for code, key in (("en", "teach"), ("es", "teach_es"))
    }


def _numbers(planned: PlannedSet) -> list[str]:
    return [member.number for member in planned.members]


def _made(planned: PlannedSet, day: dt.date, moment: dt.datetime) -> int:
    numbers = _numbers(planned)
    rows = {
        row.number: row for row in Specimen.objects.filter(number__in=numbers, pool=Pool.TEACHING)
    }
    members = [rows[number] for number in numbers if number in rows]
    if planned.kind != Kind.LOOK_ALIKE:
        members = _in_one_place(members)
    if planned.kind == Kind.LADDER:
        members.sort(key=lambda row: row.severity or 0)
    try:
        make_set(
            kind=planned.kind,
            members=[row.pk for row in members],
            difference=planned.difference,
            day=day,
            moment=moment,
            by=Person.objects.filter(personnel_no="1042").first(),
        )
    except ValidationError:
        return 0
    return 1


def _in_one_place(members: list[Specimen]) -> list[Specimen]:
    """Leave out members whose mark was made elsewhere than the largest one's."""
    boxes = {row.pk: _box(row) for row in members}
    lead = next((boxes[row.pk] for row in reversed(members) if boxes[row.pk]), None)
    return [row for row in members if not boxes[row.pk] or _touch(boxes[row.pk], lead)]


Box = tuple[float, float, float, float]


def _box(row: Specimen) -> Box | None:
    """Return the box around a specimen's outline on its whole view."""
    points = [
        point
        for region in Region.objects.filter(view__specimen=row, view__position=0)
        for polygon in region.polygons
        for point in polygon
    ]
    if not points:
        return None
    xs, ys = [x for x, _y in points], [y for _x, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _touch(a: Box | None, b: Box | None) -> bool:
    if a is None or b is None:
        return True
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]
