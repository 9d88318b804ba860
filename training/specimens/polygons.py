"""Outlines drawn on a picture: what makes a polygon usable, in picture pixels."""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

Point = tuple[float, float]
MOST_POINTS: Final = 400
MOST_POLYGONS: Final = 60
# Half a pixel: taps nearer to each other than this are one point.
NEAR: Final = 0.5


class PolygonError(ValueError):
    """An outline that cannot be used; `code` says why, `params` where."""

    def __init__(self, code: str, **params: object) -> None:
        super().__init__(f"{code}: {params}")
        self.code = code
        self.params = params


def checked_polygon(
    points: Sequence[Sequence[float]], width: int, height: int
) -> list[list[float]]:
    """Return the polygon with tenths of pixels, without repeated points.

    Parameters
    ----------
    points
        Corners in order, x to the right and y down, in pixels; the last joins the first.
    width, height
        Size of the picture. Corners may lie on its edge, not beyond.

    Raises
    ------
    PolygonError
        With code ``not_points``, ``outside`` (and the point's number), ``too_few``, ``too_many``,
        ``no_area`` or ``crosses_itself`` (and the numbers of the two sides).
    """
    corners = _corners(points)
    for number, (x, y) in enumerate(corners, start=1):
        if not (0 <= x <= width and 0 <= y <= height):
            raise PolygonError("outside", number=number, x=x, y=y, width=width, height=height)
    corners = _without_repeats(corners)
    if len(corners) < 3:
        raise PolygonError("too_few", count=len(corners))
    if len(corners) > MOST_POINTS:
        raise PolygonError("too_many", count=len(corners), most=MOST_POINTS)
    crossing = first_crossing(corners)
    if crossing:
        raise PolygonError("crosses_itself", first=crossing[0] + 1, second=crossing[1] + 1)
    if abs(area(corners)) < NEAR:
        raise PolygonError("no_area")
    return [[x, y] for x, y in corners]


def area(corners: Sequence[Point]) -> float:
    """Return the signed area in square pixels (shoelace formula)."""
    xy = np.asarray(corners, dtype=float)
    following = np.roll(xy, -1, axis=0)
    return float(np.sum(xy[:, 0] * following[:, 1] - following[:, 0] * xy[:, 1]) / 2)


def first_crossing(corners: Sequence[Point]) -> tuple[int, int] | None:
    """Return the first two sides that meet anywhere but in a shared corner, counted from 0."""
    xy = np.asarray(corners, dtype=float)
    count = len(xy)
    start, end = xy, np.roll(xy, -1, axis=0)
    i, j = np.triu_indices(count, k=1)
    meets = _segments_meet(start[i], end[i], start[j], end[j])
    next_to = (j == i + 1) | ((i == 0) & (j == count - 1))
    # Neighbours share a corner; they overlap only where the outline turns straight back on itself.
    back = _turns_back(start, end, i, j, count)
    bad = np.flatnonzero(np.where(next_to, back, meets))
    return (int(i[bad[0]]), int(j[bad[0]])) if bad.size else None


def _corners(points: Sequence[Sequence[float]]) -> list[Point]:
    try:
        corners = [(round(float(x), 1), round(float(y), 1)) for x, y in points]
    except (TypeError, ValueError, OverflowError) as error:
        raise PolygonError("not_points") from error
    if not all(math.isfinite(value) for corner in corners for value in corner):
        raise PolygonError("not_points")
    return corners


def _without_repeats(corners: list[Point]) -> list[Point]:
    kept: list[Point] = []
    for corner in corners:
        if not kept or math.dist(corner, kept[-1]) >= NEAR:
            kept.append(corner)
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) < NEAR:
        kept.pop()
    return kept


Array = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
Mask = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
Indices = np.ndarray[tuple[int, ...], np.dtype[np.intp]]


def _side(a: Array, b: Array, p: Array) -> Array:
    """Twice the signed area of a, b, p: on which side of the line through a and b p lies."""
    across: Array = (b[:, 0] - a[:, 0]) * (p[:, 1] - a[:, 1])
    return across - (b[:, 1] - a[:, 1]) * (p[:, 0] - a[:, 0])


def _within(a: Array, b: Array, p: Array) -> Mask:
    low, high = np.minimum(a, b), np.maximum(a, b)
    within: Mask = np.all((low <= p) & (p <= high), axis=1)
    return within


def _segments_meet(a: Array, b: Array, c: Array, d: Array) -> Mask:
    """Whether segments a-b and c-d share a point, ends and overlaps included."""
    # Corners are tenths of pixels: scaled to whole numbers the signs are exact.
    a, b, c, d = (np.rint(point * 10) for point in (a, b, c, d))
    abc, abd = np.sign(_side(a, b, c)), np.sign(_side(a, b, d))
    cda, cdb = np.sign(_side(c, d, a)), np.sign(_side(c, d, b))
    apart = (abc * abd < 0) & (cda * cdb < 0)
    on_ab = ((abc == 0) & _within(a, b, c)) | ((abd == 0) & _within(a, b, d))
    on_cd = ((cda == 0) & _within(c, d, a)) | ((cdb == 0) & _within(c, d, b))
    meet: Mask = apart | on_ab | on_cd
    return meet


def _turns_back(start: Array, end: Array, i: Indices, j: Indices, count: int) -> Mask:
    """Whether two neighbouring sides run back over each other."""
    # The pair (0, last) is neighboured the other way round: the last side leads into the first.
    first = np.where((i == 0) & (j == count - 1), j, i)
    second = np.where(first == j, i, j)
    along = np.rint((end[first] - start[first]) * 10)
    onward = np.rint((end[second] - start[second]) * 10)
    cross = along[:, 0] * onward[:, 1] - along[:, 1] * onward[:, 0]
    back: Mask = (cross == 0) & (np.sum(along * onward, axis=1) < 0)
    return back
