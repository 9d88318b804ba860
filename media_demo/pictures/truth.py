"""What a picture truly shows: the region of a mark and how well it can be seen.

A picture is compared with its clean twin: the same part, pose, light and sensor noise
without the mark. The difference passes a few filters, each made for one form of signal:
a spot, two sizes of patch, and lines in eight directions. Behind every filter each pixel
is held against the texture that surrounds it in the twin, behind the same filter
(contrast-to-noise / 2.5), and against the smallest step an eye notices (levels); the
smaller counts. Pixels are pooled with exponent 8: more than the highest pixel alone, less
than the 3 to 4 of probability summation (Robson and Graham, Vision Research 21, 1981; cited
from memory), which overrated broad soft marks here. The best filter is the visibility
index. 1 means "just visible" to one viewer who knew where to look. The rule was fitted by
eye on the renderer's own pictures and is NOT validated by people.
"""

import math
from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy import ndimage

from media_demo.pictures.arrays import F32, Array, BoolArray
from media_demo.pictures.blemishes import Blemish
from media_demo.pictures.regions import Polygon

RENDERER_VERSION = "1.1"
DIFFERENCE_LEVELS = 2.0
JUST_VISIBLE_CNR = 2.5
POOLING = 8
LARGE = 160_000
LINE_TAPS = 4
# how far texture hides a mark, in pixels; standard deviation ÷ mean size of normal noise
NEIGHBOURHOOD, NORMAL_MEAN = 49, 1.2533
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722], F32)


@dataclass(frozen=True)
class Look:
    """A mark in one picture (or sweep): its outlines in pixels and its visibility."""

    regions: tuple[Polygon, ...]
    px_per_mm: float
    visibility: float
    best_frame: int

    @property
    def visible(self) -> bool:
        return self.visibility >= 1.0


@dataclass(frozen=True)
class Truth:
    """The ground truth of a rendered specimen.

    ``severity`` is measured on the made mark, in ``unit``; ``family`` is None for a clean
    part. ``whole`` and ``close_up`` say where the mark lies in each picture. A mark that
    is visible in neither must never be used to examine. ``allowed`` lists the blemishes a
    good part may show; ``shown`` names what a scene shows beside the part (the reading of
    a gauge, the fields of a label), each with its value.
    """

    family: str | None
    severity: float
    unit: str
    requested: float
    zone: str | None
    site: str | None
    whole: Look
    close_up: Look | None
    seed: int
    allowed: tuple[Blemish, ...] = ()
    shown: tuple[tuple[str, str], ...] = ()
    synthetic: bool = True
    renderer: str = RENDERER_VERSION

    @property
    def visibility(self) -> float:
        """The better of the two pictures."""
        return max(self.whole.visibility, self.close_up.visibility if self.close_up else 0.0)

    @property
    def visible(self) -> bool:
        return self.visibility >= 1.0


def luminance(picture: Image.Image) -> Array:
    return np.asarray(picture, F32) @ _LUMINANCE


def changed(picture: Array, twin: Array) -> BoolArray:
    """Pixels that visibly differ after a blur of one pixel, small gaps closed."""
    raw = np.abs(ndimage.gaussian_filter(picture - twin, 1.0)) > DIFFERENCE_LEVELS
    closed: BoolArray = ndimage.binary_closing(raw, np.ones((3, 3), bool), iterations=2)
    return closed | raw


def visibility(picture: Array, twin: Array, inside: BoolArray) -> float:
    """Visibility index of a mark inside a mask; see the module."""
    if not inside.any():
        return 0.0
    rows, cols = np.flatnonzero(inside.any(1)), np.flatnonzero(inside.any(0))
    margin = 24
    box = (
        slice(max(rows[0] - margin, 0), rows[-1] + margin + 1),
        slice(max(cols[0] - margin, 0), cols[-1] + margin + 1),
    )
    diff, clean, mask = (picture - twin)[box], twin[box], inside[box]
    step = 2 if mask.size > LARGE else 1
    if step == 2:
        diff, clean = (ndimage.uniform_filter(a, 2)[::2, ::2] for a in (diff, clean))
        mask = mask[::2, ::2]
    near = ndimage.binary_dilation(mask, iterations=4 // step)
    clean = clean - ndimage.gaussian_filter(clean, 12.0 / step)
    made, hidden = _Blurred(diff, step), _Blurred(clean, step)
    return max(_response(made, hidden, near, f) for f in FILTERS)


@dataclass(frozen=True)
class Filter:
    """A matched form: blur in pixels, smallest step in levels, direction of a line.

    ``cell`` is the area in pixels over which two responses are one and the same.
    """

    blur: float
    levels: float
    cell: float
    direction: float | None = None


FILTERS = (
    Filter(1.0, 5.0, 12),
    Filter(2.5, 5.0, 80),
    Filter(6.0, 7.0, 450),
    *(Filter(1.0, 3.0, 56, 22.5 * i) for i in range(8)),
)


class _Blurred:
    """A picture (of every ``step``-th pixel) behind filters; each blur is worked out once."""

    def __init__(self, picture: Array, step: int) -> None:
        self.picture, self.step = picture, step
        self.smooth: dict[float, Array] = {}

    def behind(self, f: Filter) -> Array:
        if f.blur not in self.smooth:
            self.smooth[f.blur] = ndimage.gaussian_filter(self.picture, f.blur / self.step)
        smooth = self.smooth[f.blur]
        return smooth if f.direction is None else _along(smooth, f.direction, self.step)


def _response(made: _Blurred, hidden: _Blurred, near: BoolArray, f: Filter) -> float:
    step = made.step
    texture = np.abs(hidden.behind(f))
    # what surrounds each pixel hides it; an edge of the part hides what lies beside it, not more
    size = max(NEIGHBOURHOOD // step, 3)
    noise = F32(NORMAL_MEAN) * ndimage.uniform_filter(texture, size)[near] + F32(0.35)
    unit = np.maximum(F32(JUST_VISIBLE_CNR) * noise, F32(f.levels))
    signal = made.behind(f)[near] / unit
    total = float((signal**POOLING).sum(dtype=np.float64))
    return float((total * step * step / f.cell) ** (1 / POOLING))


def _along(smooth: Array, direction_deg: float, step: int) -> Array:
    """The mean along a line through each pixel."""
    out = np.zeros_like(smooth)
    c, s = math.cos(math.radians(direction_deg)), math.sin(math.radians(direction_deg))
    for i in range(-LINE_TAPS, LINE_TAPS + 1):
        shift = (round(i * 2 * s / step), round(i * 2 * c / step))
        out += np.roll(smooth, shift, (0, 1))
    out /= 2 * LINE_TAPS + 1
    return out
