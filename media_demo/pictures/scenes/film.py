"""Bags of thin clear film over parts: a little haze, few folds, sharp narrow glints."""

import math
from dataclasses import dataclass, field, replace
from typing import NamedTuple, TypeAlias

import numpy as np

from media_demo.pictures.arrays import F32, Array, smoothstep
from media_demo.pictures.lamps import Lamp, Triple, mirrored_lamp, mirrored_room, mirrored_tubes
from media_demo.pictures.noise import band_tile, sample
from media_demo.pictures.nuisance import Nuisance
from media_demo.pictures.shapes import Box
from media_demo.pictures.view import Pose, View, Window

Point: TypeAlias = tuple[float, float]

# two faces of polyethylene (n about 1.5, from memory) mirror about 8 % head-on
MIRRORED = 0.08
HAZE, VEIL = 0.07, 0.012
ALPHA = 0.075
DRAPE_MM = 7.0
FOLDS = (20, 32)
CRINKLE = 0.020
# a fold begins to rise this far before its start, mm; beside it it is flat after so many widths
BEFORE, FLAT = 10.0, 9.0


@dataclass(frozen=True)
class Bag:
    """A bag lying flat: place and turn of its middle, half sizes in mm, height of the part."""

    x: float
    y: float
    turn_deg: float
    half_x: float
    half_y: float
    part_half_x: float
    part_half_y: float
    top: float
    seed: int


@dataclass(frozen=True)
class _Film:
    """What a bag does to the light over its window: where it is, its edges, what it mirrors."""

    window: Window
    cover: Array
    edge: Array
    shine: list[Array]


@dataclass(frozen=True)
class Films:
    """All bags of one picture, laid over its light; ``made`` keeps them for another picture."""

    view: View
    drawn: Nuisance
    bags: tuple[Bag, ...]
    made: dict[Bag, _Film] = field(default_factory=dict)

    def __call__(self, light: list[Array], frame: Window) -> None:
        for bag in self.bags:
            place = _window(self.view, bag).clipped(frame)
            if 0 in place.shape:
                continue
            if bag not in self.made:
                self.made[bag] = self._make(bag)
            _lay(self.made[bag], light, frame, place)

    def _make(self, bag: Bag) -> _Film:
        # over all of the bag that the picture shows, so that a smaller frame changes nothing
        own = _window(self.view, bag).clipped(Window(0, self.view.height, 0, self.view.width))
        X, Y, a, b = _ground(self.view, bag, own)
        rng = np.random.default_rng(bag.seed)
        ragged = _ragged(a, b, bag, rng)
        cover = np.clip(F32(0.5) - ragged * F32(self.view.px_per_mm), 0, 1)
        z = _taut(a, b, bag, rng)
        loose = smoothstep(-14.0, 2.0, _off_part(a, b, bag))
        for _ in range(int(rng.integers(*FOLDS))):
            fold = _draw_fold(bag, rng, 1 / self.view.px_per_mm)
            block = _around(self.view, bag, fold.corners).clipped(own).slices_in(own)
            z[block] += _crease(a[block], b[block], fold) * (F32(0.30) + F32(0.70) * loose[block])
        return _Film(own, cover, _edges(a, b, ragged, bag), self._shine(X, Y, z, bag))

    def _shine(self, X: Array, Y: Array, z: Array, bag: Bag) -> list[Array]:
        """What the film mirrors of the lamps, the room and its tubes."""
        view = self.view
        px = 1 / view.px_per_mm
        gx = np.gradient(z, px, axis=1).astype(F32)
        gy = -np.gradient(z, px / math.cos(view.tilt), axis=0).astype(F32)
        inverse = 1 / np.sqrt(1 + gx * gx + gy * gy)
        n = Triple(-gx * inverse, -gy * inverse, inverse)
        vx = F32(view.look_at[0]) - X
        vy = F32(view.look_at[1] - view.distance_mm * math.sin(view.tilt)) - Y
        vz = np.full_like(X, view.distance_mm * math.cos(view.tilt))
        far = 1 / np.sqrt(vx * vx + vy * vy + vz * vz)
        vx, vy, vz = vx * far, vy * far, vz * far
        facing = np.maximum(n.x * vx + n.y * vy + n.z * vz, F32(0.05))
        r = Triple(
            2 * facing * n.x - vx,
            2 * facing * n.y - vy,
            np.asarray(2 * facing * n.z - vz, F32),
        )
        share = F32(MIRRORED) + F32(0.6) * np.power(1 - facing, 5)
        at = Triple(X, Y, np.full_like(X, bag.top))
        alpha = np.full_like(X, ALPHA)
        room = self.drawn.room((0.3, 0.3, 0.3))
        glow, _ = mirrored_room(room, r.z, alpha)
        glow = glow * F32(0.6) + mirrored_tubes(room, r.x, r.y, r.z, alpha)
        out = [glow * F32(tone) for tone in room.tone]
        lamps: tuple[Lamp, ...] = (self.drawn.key, *self.drawn.standing)
        for lamp in lamps:
            seen = mirrored_lamp(lamp, at, r, alpha)
            for c in range(3):
                out[c] += seen * F32(lamp.colour[c])
        return [np.asarray(np.minimum(light * share, F32(2.2)), F32) for light in out]


def _lay(film: _Film, light: list[Array], frame: Window, place: Window) -> None:
    """Lay a part of a bag over the light of a frame."""
    inner, s = place.slices_in(film.window), place.slices_in(frame)
    cover, edge = film.cover[inner], film.edge[inner]
    for below, mirrored in zip(light, film.shine, strict=True):
        veil = F32(VEIL) + F32(0.05) * edge
        seen = below[s] * (1 - F32(HAZE) - F32(0.10) * edge) + veil + mirrored[inner]
        below[s] += (seen - below[s]) * cover


def _window(view: View, bag: Bag) -> Window:
    x, y = bag.half_x + 4, bag.half_y + 4
    return _around(view, bag, ((-x, -y), (-x, y), (x, -y), (x, y)))


def _around(view: View, bag: Bag, corners: tuple[Point, ...]) -> Window:
    """The part of the picture that holds some points of the bag."""
    posed = replace(view, pose=Pose(bag.turn_deg, bag.x, bag.y))
    xs, ys = zip(*(posed.to_picture(a, b, bag.top) for a, b in corners), strict=True)
    return Window(int(min(ys)), int(max(ys)) + 2, int(min(xs)), int(max(xs)) + 2)


def _ground(view: View, bag: Bag, place: Window) -> tuple[Array, Array, Array, Array]:
    """World X, Y and the bag's own a, b of every pixel, at the height of the part."""
    plain = replace(view, supersampling=1.0)
    lifted = (bag.top - view.look_at[2]) * plain.rows_per_mm_up
    rows = np.arange(place.row0, place.row1, dtype=F32)[:, None] + F32(lifted)
    cols = np.arange(place.col0, place.col1, dtype=F32)[None, :]
    X, Y = plain.ground(rows, cols)
    Y = np.broadcast_to(Y, X.shape).astype(F32)
    t = math.radians(bag.turn_deg)
    c, s = F32(math.cos(t)), F32(math.sin(t))
    dx, dy = X - F32(bag.x), Y - F32(bag.y)
    return X, Y, c * dx + s * dy, c * dy - s * dx


def _ragged(a: Array, b: Array, bag: Bag, rng: np.random.Generator) -> Array:
    """Distance to the bag's edge: straight welds, slightly bowed."""
    bow = rng.normal(0, 0.9, 4)
    a = a + F32(bow[0]) * np.cos(b * F32(2.2 / bag.half_y)) + F32(bow[1]) * np.sin(b * F32(0.05))
    b = b + F32(bow[2]) * np.cos(a * F32(2.0 / bag.half_x)) + F32(bow[3]) * np.sin(a * F32(0.04))
    return Box(0, 0, bag.half_x, bag.half_y, 1.5).distance(a, b)


def _edges(a: Array, b: Array, ragged: Array, bag: Bag) -> Array:
    """The folded rim of the bag and the weld across its closed end, 0-1."""
    rim = np.exp(-np.square((ragged + F32(0.7)) * F32(1 / 0.6)))
    weld = np.exp(-np.square((a + F32(bag.half_x - 4.0)) * F32(1 / 0.55)))
    mouth = np.exp(-np.square((a - F32(bag.half_x - 2.2)) * F32(1 / 0.5))) * F32(0.6)
    return np.asarray(np.clip(rim * F32(0.6) + weld + mouth, 0, 1), F32)


def _off_part(a: Array, b: Array, bag: Bag) -> Array:
    """Distance to the part's outline."""
    return Box(0, 0, bag.part_half_x, bag.part_half_y, 8).distance(a, b)


def _taut(a: Array, b: Array, bag: Bag, rng: np.random.Generator) -> Array:
    """Height of the film without its folds: taut over the part, draped round it."""
    z = F32(min(bag.top, 5.0)) * smoothstep(DRAPE_MM, -1.0, _off_part(a, b, bag))
    for _ in range(2):
        k, phase = rng.normal(0, 0.05, 2), rng.uniform(0, 6.3)
        z += F32(0.22) * np.sin(a * F32(k[0]) + b * F32(k[1]) + F32(phase))
    z += _crinkle(a, b, rng)
    return np.asarray(z, F32)


def _crinkle(a: Array, b: Array, rng: np.random.Generator) -> Array:
    """The small unrest of film that was folded before: ridges, not waves."""
    z = np.zeros_like(a)
    for scale, share in ((26.0, 1.0), (11.0, 0.55)):
        turn = rng.uniform(0, math.pi)
        c, s = F32(math.cos(turn)), F32(math.sin(turn))
        along, across = c * a + s * b, c * b - s * a
        tile = band_tile(8.0, 24.0)
        x0, y0 = (float(n) for n in rng.integers(0, 1024, 2))
        k = F32(16.0 / scale)
        n = sample(tile, along * (k * F32(0.35)) + F32(x0), across * k + F32(y0))
        z += F32(CRINKLE * scale * share) * np.abs(n)
    return np.asarray(z, F32)


class _Fold(NamedTuple):
    """One crease: where it starts, where it runs, how long, wide and high it is, in mm."""

    u: float
    v: float
    heading: float
    length: float
    bend: float
    width: float
    lean: float
    height: float

    @property
    def corners(self) -> tuple[Point, ...]:
        """What holds all of it that is high enough to matter."""
        c, s = math.cos(self.heading), math.sin(self.heading)
        aside = FLAT * self.width * max(self.lean, 1 / self.lean)
        low = min(self.bend, 0.0) * self.length**2 - aside
        high = max(self.bend, 0.0) * self.length**2 + aside
        return tuple(
            (self.u + c * along - s * across, self.v + s * along + c * across)
            for along in (-BEFORE, self.length)
            for across in (low, high)
        )


def _draw_fold(bag: Bag, rng: np.random.Generator, px: float) -> _Fold:
    """A crease that starts near the part's rim, runs inwards or along, and dies out."""
    sx, sy = rng.choice((-1, 1), 2)
    along_x = rng.random() < bag.part_half_x / (bag.part_half_x + bag.part_half_y)
    u = sx * bag.part_half_x * (rng.uniform(0, 1.05) if along_x else 1.0)
    v = sy * bag.part_half_y * (1.0 if along_x else rng.uniform(0, 1.05))
    heading = math.atan2(-v, -u) + rng.normal(0, 0.55)
    length = rng.uniform(0.35, 1.0) * min(bag.part_half_x, bag.part_half_y) * 1.5
    bend = rng.normal(0, 0.006)
    width = max(rng.uniform(0.8, 2.2), 0.9 * px)
    lean = rng.uniform(0.6, 1.7)
    height = rng.uniform(0.25, 0.8) * width * 0.45
    return _Fold(u, v, heading, length, bend, width, lean, height)


def _crease(a: Array, b: Array, fold: _Fold) -> Array:
    """Height of one crease."""
    da, db = a - F32(fold.u), b - F32(fold.v)
    c, s = F32(math.cos(fold.heading)), F32(math.sin(fold.heading))
    along = da * c + db * s
    across = db * c - da * s - F32(fold.bend) * along * along
    # a steep flank and a shallow one, as film folds over itself
    lean = F32(fold.lean)
    flank = np.where(across > 0, across * lean, -across / lean) * F32(1 / fold.width)
    dies = smoothstep(fold.length, fold.length * 0.15, along) * smoothstep(-BEFORE, 1.0, along)
    return np.asarray(F32(fold.height) * np.exp(-flank) * dies, F32)
