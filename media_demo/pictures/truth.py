"""What a picture truly shows: the region of a mark and how well it can be seen.

A picture is compared with its clean twin: the same part, pose, light and sensor noise
without the mark. The visibility index is the smaller of contrast-to-noise / 2.5 and
peak difference / 5 grey levels, each after a blur of one pixel; 1 means "just visible"
to one viewer who knew where to look. It was fitted on the renderer's own pictures and
is NOT validated by people.
"""

from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy import ndimage

from media_demo.pictures.arrays import F32, Array, BoolArray
from media_demo.pictures.regions import Polygon

RENDERER_VERSION = "1.0"
DIFFERENCE_LEVELS = 2.0
JUST_VISIBLE_CNR = 2.5
JUST_VISIBLE_PEAK = 5.0
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
    is visible in neither must never be used to examine.
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


def difference(picture: Array, twin: Array) -> Array:
    """Luminance difference after a blur of one pixel."""
    found: Array = ndimage.gaussian_filter(picture - twin, 1.0)
    return found


def changed(diff: Array) -> BoolArray:
    """Pixels that visibly differ, small gaps closed."""
    raw = np.abs(diff) > DIFFERENCE_LEVELS
    closed: BoolArray = ndimage.binary_closing(raw, np.ones((3, 3), bool), iterations=2)
    return closed | raw


def visibility(diff: Array, twin: Array, inside: BoolArray) -> float:
    """Visibility index of a difference against the texture around it; see the module."""
    if not inside.any():
        return 0.0
    near = ndimage.binary_dilation(inside, iterations=4)
    values = np.abs(diff[near])
    peak = float(np.percentile(values, 100 * (1 - min(0.003, 8 / values.size) - 1e-9)))
    smooth = ndimage.gaussian_filter(twin, 1.0)
    texture = smooth - ndimage.gaussian_filter(smooth, 8.0)
    noise = float(texture[near].std()) + 0.35
    return min(peak / noise / JUST_VISIBLE_CNR, peak / JUST_VISIBLE_PEAK)
