"""Outlines as they are drawn over a picture: frames that stand clear of what they show."""

from collections.abc import Sequence
from typing import Final

Polygon = Sequence[Sequence[float]]
Box = tuple[float, float, float, float]

# A frame keeps this far from its defect, so that its stroke does not cover a thin line.
CLEARANCE: Final = 8.0
# Bits much smaller than the defect belong to it, but would only be clutter when framed.
LEAST_SHARE: Final = 0.05


def bounds(polygons: Sequence[Polygon]) -> Box | None:
    """Return the box around all outlines in picture pixels; None where there is none."""
    boxes = [_box(polygon) for polygon in polygons if polygon]
    if not boxes:
        return None
    return (
        min(box[0] for box in boxes),
        min(box[1] for box in boxes),
        max(box[2] for box in boxes),
        max(box[3] for box in boxes),
    )


def frames(polygons: Sequence[Polygon]) -> list[Box]:
    """Return a box for each outline that matters, set off from it."""
    boxes = [_box(polygon) for polygon in polygons if polygon]
    largest = max((_size(box) for box in boxes), default=0.0)
    return [
        (x0 - CLEARANCE, y0 - CLEARANCE, x1 + CLEARANCE, y1 + CLEARANCE)
        for x0, y0, x1, y1 in boxes
        if _size((x0, y0, x1, y1)) >= LEAST_SHARE * largest
    ]


def frame_path(polygons: Sequence[Polygon]) -> str:
    """Return the frames as an SVG path; nothing where there is no outline."""
    return " ".join(f"M{x0:g} {y0:g}H{x1:g}V{y1:g}H{x0:g}z" for x0, y0, x1, y1 in frames(polygons))


def _box(polygon: Polygon) -> Box:
    xs, ys = [point[0] for point in polygon], [point[1] for point in polygon]
    return min(xs), min(ys), max(xs), max(ys)


def _size(box: Box) -> float:
    # One pixel more each way, so that a straight line has a size too.
    return (box[2] - box[0] + 1) * (box[3] - box[1] + 1)
