"""A marked picture beside its clean twin: where they differ, and how plainly."""

from dataclasses import dataclass

import numpy as np
from PIL import Image

from media_demo.pictures.arrays import BoolArray
from media_demo.pictures.camera import Camera
from media_demo.pictures.fields import Fields
from media_demo.pictures.grids import shrink
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.marks import Mark
from media_demo.pictures.regions import outlines
from media_demo.pictures.renderer import Scene, photograph
from media_demo.pictures.shadows import REACH_MM
from media_demo.pictures.stage import Stage
from media_demo.pictures.truth import Look, changed, luminance, visibility
from media_demo.pictures.view import Window

RIM = 4
# length of a shadow in heights of what throws it, with the key lamp at its lowest
SHADOW = 1.5


@dataclass(frozen=True)
class Shots:
    """The frames of one view, as far as the stage's frame goes, and how they were taken."""

    frames: tuple[Image.Image, ...]
    keys: list[Lamp]
    camera: Camera


def frame_around(marked: Fields) -> Window:
    """The part of the picture a mark can have changed, in picture pixels."""
    view = marked.view
    windows = marked.touched
    touched = Window(
        min(w.row0 for w in windows),
        max(w.row1 for w in windows),
        min(w.col0 for w in windows),
        max(w.col1 for w in windows),
    )
    tallest = float(marked.height.max())
    up = round((tallest - view.look_at[2]) * view.rows_per_mm_up)
    down = round(view.look_at[2] * view.rows_per_mm_up)
    grown = touched.grown(round(14 * view.supersampling))
    screen = Window(grown.row0 - up, grown.row1 + down, grown.col0, grown.col1)
    whole = Window(0, view.height, 0, view.width)
    return view.to_frame(screen.aligned(view.alignment)).clipped(whole)


def ground_around(fields: Fields, frame: Window) -> Window:
    """The ground a frame shows, with what may cast a shadow into it."""
    view = fields.view
    fine = view.to_fine_window(frame)
    up = round(float(fields.height.max()) * view.rows_per_mm_up) + 4
    down = round(view.look_at[2] * view.rows_per_mm_up)
    # as far as the lowest lamp throws a shadow, and as the sky is hidden
    reach = round(max(SHADOW * float(fields.height.max()), REACH_MM) * view.fine_per_mm)
    window = Window(
        fine.row0 - reach - down, fine.row1 + up + reach, fine.col0 - reach, fine.col1 + reach
    )
    return window.aligned(view.alignment)


def look(mark: Mark, stage: Stage, twin: Scene, shots: Shots) -> Look:
    """Compare the frames with the clean twin, which covers the mark's frame only."""
    view, frame = stage.view, twin.stage.frame
    scale = view.local_px_per_mm(mark.u, mark.v, mark.height)
    made = mask_in_picture(mark, stage, frame)
    region = made.copy()
    best, best_frame = 0.0, 0
    inner = np.zeros(frame.shape, np.bool_)
    inner[RIM:-RIM, RIM:-RIM] = True
    rows, cols = frame.slices_in(stage.frame)
    box = (cols.start, rows.start, cols.stop, rows.stop)
    twins = photograph(twin, shots.keys, shots.camera)
    for i, (picture, unmarked) in enumerate(zip(shots.frames, twins, strict=True)):
        marked, clean = luminance(picture.crop(box)), luminance(unmarked)
        # at the rim of a frame the blur of the lens has nothing to draw on
        differs = changed(marked, clean) & inner
        if not mark.whole:
            region |= differs
        index = visibility(marked, clean, made | differs)
        if index > best:
            best, best_frame = index, i
    polygons = outlines(region, x0=frame.col0, y0=frame.row0)
    return Look(polygons, scale, best, best_frame)


def mask_in_picture(mark: Mark, stage: Stage, frame: Window) -> BoolArray:
    """The mark's own geometry carried through the projection, over a frame."""
    view, surface, ground = stage.view, stage.surface, stage.fields.window
    whole = np.zeros(ground.shape, np.bool_)
    whole[mark.block] = mark.mask
    wanted = view.to_fine_window(frame).clipped(surface.window)
    hits = surface.hit_row[wanted.slices_in(surface.window)]
    rows = np.clip(hits, 0, whole.shape[0] - 1)
    cols = np.arange(wanted.col0, wanted.col1) - ground.col0
    seen = whole.ravel().take(rows * whole.shape[1] + cols)
    share = shrink(seen.astype(np.float32), view.supersampling)
    out = np.zeros(frame.shape, np.bool_)
    place = view.to_frame(wanted)
    inner = place.clipped(frame)
    out[inner.slices_in(frame)] = share[inner.slices_in(place)] > 0.25
    return out
