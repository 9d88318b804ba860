"""What a defect leaves behind in the fields, measured after it is made."""

import math
from dataclasses import dataclass

from media_demo.pictures.arrays import F32, Array, BoolArray
from media_demo.pictures.fields import Block, Fields


@dataclass(frozen=True)
class Mark:
    """One made defect: its measured severity and its mask on the ground grid.

    A ``whole`` mark changes the entire part: its region is the part.
    """

    severity: float
    block: Block
    mask: BoolArray
    u: float
    v: float
    height: float
    whole: bool = False


def cell_area(fields: Fields) -> float:
    """Square millimetres of the bench plane per fine pixel (keystone left aside)."""
    view = fields.view
    return 1.0 / view.fine_per_mm**2 / math.cos(view.tilt)


def extent(fields: Fields, block: Block, mask: BoolArray, angle_deg: float | None = None) -> float:
    """Length of a mask in mm: along a direction, or its longest over all directions."""
    if not mask.any():
        return 0.0
    u, v = fields.u[block][mask], fields.v[block][mask]
    angles = [angle_deg] if angle_deg is not None else list(range(0, 180, 15))
    spans = []
    for degrees in angles:
        a = math.radians(degrees)
        along = u * F32(math.cos(a)) + v * F32(math.sin(a))
        spans.append(float(along.max() - along.min()))
    return max(spans) + 1.0 / fields.view.fine_per_mm


def mean_size(fields: Fields, block: Block, weight: Array) -> float:
    """(length + width) / 2 of a blot in mm, from its area and its second moments."""
    total = float(weight.sum())
    if total <= 0:
        return 0.0
    u, v = fields.u[block], fields.v[block]
    mu, mv = float((u * weight).sum()) / total, float((v * weight).sum()) / total
    du, dv = u - F32(mu), v - F32(mv)
    cuu = float((du * du * weight).sum()) / total
    cvv = float((dv * dv * weight).sum()) / total
    cuv = float((du * dv * weight).sum()) / total
    root = math.sqrt(max((cuu - cvv) ** 2 / 4 + cuv * cuv, 0.0))
    middle = (cuu + cvv) / 2
    ratio = math.sqrt((middle + root) / max(middle - root, 1e-9))
    across = math.sqrt(4 / math.pi * total * cell_area(fields))
    return across * (math.sqrt(ratio) + 1 / math.sqrt(ratio)) / 2
