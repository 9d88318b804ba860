"""Outlines of masks as polygons in picture pixels."""

from typing import TypeAlias

import numpy as np
from scipy import ndimage

from media_demo.pictures.arrays import BoolArray
from media_demo.pictures.shapes import Shape

Polygon: TypeAlias = tuple[tuple[float, float], ...]

_AROUND = ((0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1), (-1, 0), (-1, 1))


def outlines(
    mask: BoolArray, *, x0: int = 0, y0: int = 0, most: int = 12, smallest: int = 2
) -> tuple[Polygon, ...]:
    """Outer outlines of the ``most`` largest blobs, largest first, as (x, y) pixels."""
    labels, count = ndimage.label(mask, structure=np.ones((3, 3), int))
    if not count:
        return ()
    sizes = np.bincount(labels.ravel())[1:]
    order = [int(i) for i in np.argsort(-sizes)[:most] if sizes[i] >= smallest]
    boxes = ndimage.find_objects(labels)
    found = []
    for index in order:
        rows, cols = boxes[index]
        blob = labels[rows, cols] == index + 1
        path = _walk(np.pad(blob, 1))
        shifted = [(x + cols.start - 1 + x0, y + rows.start - 1 + y0) for x, y in path]
        found.append(_simplify(shifted))
    return tuple(found)


def _walk(blob: BoolArray) -> list[tuple[int, int]]:
    """Follow the boundary of a blob clockwise (Moore neighbourhood)."""
    y, x = (int(n) for n in np.argwhere(blob)[0])
    start, path, heading = (y, x), [(x, y)], 7
    for _ in range(4 * blob.size):
        for turn in range(8):
            d = (heading + turn) % 8
            dy, dx = _AROUND[d]
            if blob[y + dy, x + dx]:
                y, x, heading = y + dy, x + dx, (d + 6) % 8
                break
        else:
            return path
        if (y, x) == start:
            return path
        path.append((x, y))
    return path


def _simplify(path: list[tuple[int, int]], tolerance: float = 0.7) -> Polygon:
    """Drop points nearer than ``tolerance`` to the line through their neighbours."""
    points = np.array(path, float)
    if len(points) < 4:
        x, y = points[:, 0], points[:, 1]
        box = (x.min() - 0.5, y.min() - 0.5, x.max() + 0.5, y.max() + 0.5)
        return (box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3])
    keep = np.zeros(len(points), bool)
    far = int(np.argmax(np.hypot(*(points - points[0]).T)))
    keep[[0, far, len(points) - 1]] = True
    spans = [(0, far), (far, len(points) - 1)]
    while spans:
        a, b = spans.pop()
        if b - a < 2:
            continue
        line = points[b] - points[a]
        inner = points[a + 1 : b] - points[a]
        away = np.abs(inner[:, 0] * line[1] - inner[:, 1] * line[0])
        away /= max(float(np.hypot(*line)), 1e-9)
        worst = int(np.argmax(away))
        if away[worst] > tolerance:
            keep[a + 1 + worst] = True
            spans += [(a, a + 1 + worst), (a + 1 + worst, b)]
    return tuple((float(x), float(y)) for x, y in points[keep])


def shape_outline(shape: Shape, step_mm: float = 0.5) -> Polygon:
    """The outline of a plane shape as a polygon in its own millimetres."""
    box = shape.bounds.grown(2 * step_mm)
    us = np.arange(box.u0, box.u1, step_mm, dtype=np.float32)
    vs = np.arange(box.v0, box.v1, step_mm, dtype=np.float32)
    u, v = np.meshgrid(us, vs)
    found = outlines(shape.distance(u, v) < 0, most=1)
    return tuple((box.u0 + x * step_mm, box.v0 + y * step_mm) for x, y in found[0])
