"""How much of the sky and of each lamp reaches the plastic and the bench."""

import math

import numpy as np
import numpy.typing as npt
from PIL import Image
from scipy import ndimage

from media_demo.pictures.arrays import F32, Array
from media_demo.pictures.facets import CHUNK
from media_demo.pictures.fields import Fields
from media_demo.pictures.grids import enlarged, pooled
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.shadows import REACH_MM, Span, lamp_visibility, openness
from media_demo.pictures.stage import Stage
from media_demo.pictures.view import View, Window

SHADOW_CELL_MM = 0.2
NEAREST_STEP = 2
FILM_SHADE, FILM_SHADE_MM = 0.7, 0.8


class _Grid:
    """A coarse grid around the fields' window, wide enough for shadows to fall on."""

    def __init__(self, fields: Fields, step: int, reach_mm: float, *, peak: bool) -> None:
        view = fields.view
        unit = view.alignment
        margin = -(-math.ceil(reach_mm * view.fine_per_mm) // unit) * unit
        room = view.picture.grown(margin).aligned(unit)
        self.window = fields.window.aligned(unit).grown(margin).clipped(room)
        self.step = step
        inner = fields.window.clipped(self.window)
        height = np.zeros(self.window.shape, F32)
        top = fields.height
        if fields.sheet is not None:
            top = np.where(fields.sheet.cover > F32(0.5), fields.sheet.height, top)
        height[inner.slices_in(self.window)] = top[inner.slices_in(fields.window)]
        self.height = pooled(height, step, peak=peak)
        self.px_per_mm = view.fine_per_mm / step
        self.under: Array | None = None
        if fields.sheet is not None:
            cover = np.zeros(self.window.shape, F32)
            cover[inner.slices_in(self.window)] = fields.sheet.cover[inner.slices_in(fields.window)]
            shade = pooled(cover, step, peak=False)
            self.under = ndimage.gaussian_filter(shade, FILM_SHADE_MM * self.px_per_mm)

    def at_pixels(self, values: Array, stage: Stage) -> Array:
        """Read a coarse map at every visible pixel of plastic."""
        surface, view = stage.surface, stage.view
        place = stage.fields.window.aligned(view.alignment).clipped(self.window)
        cell = _cells(stage, place, self.step)
        found = self._over(values, place).ravel().take(cell)
        if self.under is not None and surface.film is not None:
            # a film is seen from above, what lies under it is in its shade
            shade = 1 - F32(FILM_SHADE) * self._over(self.under, place).ravel().take(cell)
            found = np.where(surface.film, F32(0.45) + F32(0.55) * found, found * shade)
        return found

    def _over(self, values: Array, place: Window) -> Array:
        """The part of a map over a window: as it is, or drawn out where its cells are wide."""
        step, window = self.step, self.window
        if step <= NEAREST_STEP:
            rows, cols = _coarser(place, step).slices_in(_coarser(window, step))
            return values[rows, cols]
        # one cell more all round, to draw out the outer ones like the others
        wider = place.grown(step).clipped(window)
        rows, cols = _coarser(wider, step).slices_in(_coarser(window, step))
        return enlarged(values[rows, cols], step)[place.slices_in(wider)]

    def on_bench(self, values: Array, stage: Stage) -> Array:
        """Lay a coarse map on the bench of the frame, 1 where it does not reach."""
        view, frame = stage.view, stage.frame
        out = np.ones(frame.shape, F32)
        if self.under is not None:
            values = values * (1 - F32(FILM_SHADE) * self.under)
        place = view.to_frame(self.window)
        factor = place.shape[1] / values.shape[1]
        if factor == int(factor):
            values = values if factor == 1 else enlarged(values, int(factor))
        else:
            image = Image.fromarray(np.ascontiguousarray(values))
            size = (place.shape[1], place.shape[0])
            values = np.asarray(image.resize(size, Image.Resampling.BILINEAR), F32)
        # the bench lies look_at[2] below the plane that is not shifted
        shift = round(view.look_at[2] * view.rows_per_mm_up / view.supersampling)
        place = Window(place.row0 + shift, place.row1 + shift, place.col0, place.col1)
        inner = place.clipped(frame)
        out[inner.slices_in(frame)] = values[inner.slices_in(place)]
        return out


def _coarser(window: Window, step: int) -> Window:
    return Window(*(n // step for n in (window.row0, window.row1, window.col0, window.col1)))


def _cells(stage: Stage, place: Window, step: int) -> npt.NDArray[np.int32]:
    """For every visible pixel of plastic the cell of a map over ``place``, worked out once.

    Maps of wide cells are drawn out before they are read: their cells are fine pixels.
    """
    bits = step.bit_length() - 1 if step <= NEAREST_STEP else 0
    if (place, bits) not in stage.cells:
        surface, window = stage.surface, stage.fields.window
        down, right = window.row0 - place.row0, window.col0 - place.col0
        width = place.shape[1] >> bits
        cell = np.empty(surface.row.size, np.int32)
        for i in range(0, cell.size, CHUNK):
            s = slice(i, i + CHUNK)
            row = (surface.row[s] + down) >> bits
            row *= width
            row += (surface.col[s] + right) >> bits
            cell[s] = row
        stage.cells[place, bits] = cell
    return stage.cells[place, bits]


def _cell(view: View) -> int:
    """Fine pixels of a coarse cell, a power of two: a picture pixel or a fifth of a mm."""
    wide = max(view.supersampling, SHADOW_CELL_MM * view.fine_per_mm)
    return min(int(2 ** math.ceil(math.log2(wide) - 0.5)), 8)


def open_sky(stage: Stage) -> tuple[Array, Array]:
    """Open share of the sky on the plastic and on the bench."""
    grid = _Grid(stage.fields, _cell(stage.view) * 2, REACH_MM, peak=False)
    sky = openness(grid.height, grid.px_per_mm)
    return grid.at_pixels(sky, stage), _through(grid.on_bench(sky, stage), stage.clarity)


def lamp_share(stage: Stage, lamp: Lamp, coarse: int) -> tuple[Array, Array]:
    """Unshadowed share of a lamp on the plastic and on the bench."""
    low, high = lowest_ray(lamp), math.radians(lamp.elevation_deg) + _half_depth(lamp)
    spread = math.atan(0.35 * lamp.width_mm / lamp.distance_mm)
    tallest = float(stage.fields.height.max()) if stage.fields.height.size else 0.0
    reach = tallest / math.tan(low) + 1
    grid = _Grid(stage.fields, _cell(stage.view) * coarse, reach, peak=True)
    azimuth = math.radians(lamp.azimuth_deg)
    seen = lamp_visibility(grid.height, grid.px_per_mm, Span(azimuth, spread, low, high))
    return grid.at_pixels(seen, stage), _through(grid.on_bench(seen, stage), stage.clarity)


def lowest_ray(lamp: Lamp) -> float:
    """Elevation of a lamp's lower edge, radians."""
    return max(0.15, math.radians(lamp.elevation_deg) - _half_depth(lamp))


def _half_depth(lamp: Lamp) -> float:
    return math.atan(0.5 * lamp.depth_mm / lamp.distance_mm)


def _through(seen: Array, clarity: float) -> Array:
    """Lighten the shadow of a clear part."""
    if clarity:
        seen *= F32(1 - 0.7 * clarity)
        seen += F32(0.7 * clarity)
    return seen
