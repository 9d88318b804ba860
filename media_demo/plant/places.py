"""Where each defect family can be pictured on the invented plant's parts, and by which limit.

A limit that is judged by eye or by counting is pictured as it is. Where a gauge decides, the
gauge stands in the picture. What only a finger finds is left to real parts.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from media_demo.pictures.families import FAMILIES, Family
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.plant_parts import PlantPart, part_for_product
from media_demo.pictures.resins import RESINS
from media_demo.pictures.scenes.gauges import reaches
from media_demo.pictures.scenes.registry import GAUGED, SCENES
from media_demo.plant.read import documents

BY_PICTURE = ("eye", "count")
# Shown beside the master for teaching; a light booth decides, never a screen.
TAUGHT_ONLY = "colour-shift"
PER_200_MM = "mm_per_200mm"
# Lines of a family that say something else than what its gauge reads.
OTHER_FEATURES = ("gouge", "ring")

Line = dict[str, Any]


@dataclass(frozen=True)
class Place:
    """A job and zone where a family can arise, and the limit a picture can be judged by.

    ``limit`` is in ``unit``; None where nothing is accepted or where pieces are counted. With
    ``gauge`` the reading in the picture decides; one millimetre of it is ``per_mm`` of the unit.
    """

    job: str
    zone: str
    part: str
    resin: str
    hand: str | None
    limit: float | None = None
    unit: str = ""
    gauge: bool = False
    per_mm: float = 1.0


@cache
def places() -> dict[str, tuple[Place, ...]]:
    """Return for each family the jobs and zones that need it and that can be drawn."""
    general = {item["slug"]: item["limits"] for item in documents("families")}
    found: dict[str, list[Place]] = {slug: [] for slug in general}
    for job in documents("jobs"):
        made = part_for_product(job["product"], job["colour"]["en"], job["hand"])
        for family in job["needs"]:
            lines = [line for line in job["limits"] if line["family"] == family]
            lines = lines or general[family]
            for zone in sorted({line["zone"] for line in lines}):
                here = [line for line in lines if line["zone"] == zone]
                found[family] += _places(job["no"], made, family, zone, here)
    return {family: tuple(kept) for family, kept in found.items()}


def _places(
    job: str, made: PlantPart, family: str, zone: str, lines: list[Line]
) -> Iterator[Place]:
    """Yield the ways a family is pictured in a zone: by eye, in a scene, or with its gauge."""
    bare = Place(job, zone, made.part, made.resin, made.hand)
    if family == TAUGHT_ONLY:
        yield from _beside_its_master(bare, lines)
        return
    if family in SCENES:
        if _scene_shows(family, made) and any(_by_counting(line) for line in lines):
            yield bare
    elif _can_show(FAMILIES[family], made, zone):
        unit = FAMILIES[family].unit
        limit = _limit(lines, unit)
        if limit is not None or any(_says_none(line) for line in lines):
            yield replace(bare, limit=limit, unit=unit)
    if family in GAUGED and reaches(made.part, family, zone):
        yield from _with_its_gauge(bare, lines)


def _beside_its_master(bare: Place, lines: list[Line]) -> Iterator[Place]:
    limits = [float(line["value"]) for line in lines if line.get("compare_to") == "master"]
    if limits and not RESINS[bare.resin].clarity:
        yield replace(bare, limit=min(limits), unit="dE")


def _with_its_gauge(bare: Place, lines: list[Line]) -> Iterator[Place]:
    for line in lines:
        limit = _gauged(line)
        if limit is not None:
            unit = line["unit"]
            per_mm = _per_mm(unit, bare.part)
            yield replace(bare, limit=limit, unit=unit, gauge=True, per_mm=per_mm)
            return


def _scene_shows(family: str, made: PlantPart) -> bool:
    if family == "mixed-hands":
        return made.hand is not None
    return family != "insert" or reaches(made.part, family, "F")


def _by_counting(line: Line) -> bool:
    """Whether a line is answered by counting pieces: none, or just so many."""
    return line["judged_by"] in BY_PICTURE and (
        line["measure"] == "none" or line.get("unit") == "pieces"
    )


def _can_show(drawn: Family, made: PlantPart, zone: str) -> bool:
    """Whether the part has a place for the family in a zone, and a resin it can be seen on."""
    if made.resin in drawn.hidden_on:
        return False
    if zone == "*":
        return True
    if drawn.zones is not None and zone not in drawn.zones:
        return False
    return "whole" in drawn.sites or bool(KINDS[made.part].sides_for(drawn.sites, (zone,)))


def _limit(lines: list[Line], unit: str) -> float | None:
    values = [
        float(line["value"])
        for line in lines
        if line["measure"] in ("at_most", "count_at_most")
        and line.get("unit") == unit
        and line["judged_by"] in BY_PICTURE
    ]
    return min(values, default=None)


def _says_none(line: Line) -> bool:
    return line["measure"] in ("none", "not_visible_at") and line["judged_by"] in BY_PICTURE


def _gauged(line: Line) -> float | None:
    """Return the limit of a line that a gauge's reading answers, the same both ways from zero."""
    feature = line.get("feature", {}).get("en", "")
    if line["judged_by"] != "gauge" or any(word in feature for word in OTHER_FEATURES):
        return None
    if line.get("unit") not in ("mm", PER_200_MM):
        return None
    if line["measure"] == "at_most":
        return float(line["value"])
    if line["measure"] == "between" and line["value"] == -line["value2"]:
        return float(line["value2"])
    return None


def _per_mm(unit: str, part: str) -> float:
    """How much of a limit's unit one millimetre on the part is."""
    if unit != PER_200_MM:
        return 1.0
    box = next(iter(KINDS[part].sides.values())).bounds
    return 200.0 / max(box.u1 - box.u0, box.v1 - box.v0)
