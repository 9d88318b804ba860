"""Changing the resolution of maps: enlarging, shrinking, pooling."""

from collections.abc import Iterator

import numpy as np

from media_demo.pictures.arrays import F32, Array

# rows worked on at a time, so that they stay in the cache
STRIP = 32


def strips(rows: int) -> Iterator[slice]:
    """The rows of a picture, some at a time."""
    for start in range(0, rows, STRIP):
        yield slice(start, min(start + STRIP, rows))


def pooled(height: Array, step: int, *, peak: bool) -> Array:
    """Values on a coarse grid: the highest (for shadows) or the mean of each cell."""
    rows, cols = height.shape[0] // step, height.shape[1] // step
    cells = height[: rows * step, : cols * step].reshape(rows, step, cols, step)
    join = np.maximum if peak else np.add
    out = cells[:, 0].copy()
    for i in range(1, step):
        join(out, cells[:, i], out=out)
    found: Array = out[:, :, 0].copy()
    for i in range(1, step):
        join(found, out[:, :, i], out=found)
    if not peak:
        found *= F32(1 / step**2)
    return found


def enlarged(values: Array, factor: int) -> Array:
    """Draw a map out by a whole factor, linearly between the middles of its cells."""
    rows, cols = values.shape
    wide = np.empty((rows, cols * factor), F32)
    _between(values.T, wide.T, factor)
    out = np.empty((rows * factor, cols * factor), F32)
    _between(wide, out, factor)
    return out


def _between(values: Array, out: Array, factor: int) -> None:
    """Fill the rows of ``out`` between those of ``values``."""
    around = np.concatenate((values[:1], values, values[-1:]))
    rise = around[1:] - around[:-1]
    for k in range(factor):
        share = (k + 0.5) / factor - 0.5
        low = 0 if share < 0 else 1
        place = out[k::factor]
        np.multiply(rise[low : low + len(values)], F32(share + 1 - low), out=place)
        place += around[low : low + len(values)]


def shrink(plate: Array, share: float) -> Array:
    """Average fine pixels into picture pixels (1, 1.5 or 2 fine pixels each way)."""
    if share == 1:
        return plate
    if share == 1.5:
        rows = np.empty((plate.shape[0] // 3 * 2, plate.shape[1]), F32)
        _three_to_two(plate, rows)
        out = np.empty((rows.shape[0], rows.shape[1] // 3 * 2), F32)
        _three_to_two(rows.T, out.T)
        return out
    return pooled(plate, int(share), peak=False)


def _three_to_two(plate: Array, out: Array) -> None:
    half = plate[1::3] * F32(1 / 3)
    np.multiply(plate[0::3], F32(2 / 3), out=out[0::2])
    np.multiply(plate[2::3], F32(2 / 3), out=out[1::2])
    out[0::2] += half
    out[1::2] += half
