"""Optical properties of the visible plastic: normals, roughness, colour."""

import math
from dataclasses import dataclass

import numpy as np

from media_demo.pictures.arrays import F32, Array, IntArray, Rgb
from media_demo.pictures.fields import Fields
from media_demo.pictures.noise import cloud_tile, relief_tiles, snapped
from media_demo.pictures.projection import Surface

# entries and rows worked on at a time, so that they stay in the cache
CHUNK, STRIP = 16384, 64
SPECULAR = 0.042
FILM_ALPHA = 0.2
BEND_BLUR = 0.45


@dataclass(frozen=True)
class Texture:
    """Size (mm) and steepness of the moulded grain; ``mottle`` is colour unevenness."""

    fine_mm: float = 0.075
    coarse_mm: float = 0.22
    slope: float = 0.13
    mottle: float = 0.012
    cavity: float = 0.10


@dataclass(frozen=True)
class Material:
    """A resin in one picture: linear colour, moulded grain, share of light let through."""

    colour: Rgb
    texture: Texture
    clarity: float = 0.0


@dataclass
class Facets:
    """Flat arrays beside a Surface: normal n, mirror direction r, colour, gloss.

    ``passing`` is the light each facet of a clear resin lets through, per channel.
    """

    nx: Array
    ny: Array
    nz: Array
    rx: Array
    ry: Array
    rz: Array
    alpha: Array
    fresnel: Array
    albedo: list[Array]
    metal: Array | None
    passing: list[Array] | None


def build(fields: Fields, surface: Surface, material: Material) -> Facets:
    """Gather what shading needs for every visible pixel of plastic.

    Frees the fields' own slopes on the way: large, and no longer wanted.
    """
    n = surface.pixel.size
    nx, ny, nz, rx, ry, rz, alpha, fresnel = (np.empty(n, F32) for _ in range(8))
    albedo = [np.empty(n, F32) for _ in range(3)]
    metal = None if fields.metal is None else np.empty(n, F32)
    passing = [np.empty(n, F32) for _ in range(3)] if material.clarity else None
    out = Facets(nx, ny, nz, rx, ry, rz, alpha, fresnel, albedo, metal, passing)
    gather = _Gather(fields, surface, material)
    for i in range(0, n, CHUNK):
        gather.fill(out, slice(i, min(n, i + CHUNK)))
    return out


def _slopes(fields: Fields) -> tuple[Array, Array]:
    """Slopes of the height field in world axes, with the extra part slopes turned in."""
    view, h = fields.view, fields.height
    rows = len(h)
    gx, gy = np.zeros_like(h), np.zeros_like(h)
    per_x = F32(view.fine_per_mm * 0.5)
    per_y = F32(view.fine_per_mm * math.cos(view.tilt) * 0.5)
    turn = math.radians(view.pose.turn_deg)
    c, s = F32(math.cos(turn)), F32(math.sin(turn))
    extra = fields.slope_u.any() or fields.slope_v.any()
    for y in range(0, rows, STRIP):
        end = min(y + STRIP, rows)
        across = gx[y:end, 1:-1]
        np.subtract(h[y:end, 2:], h[y:end, :-2], out=across)
        across *= per_x
        first, last = max(y, 1), min(end, rows - 1)
        if first < last:
            down = gy[first:last]
            np.subtract(h[first - 1 : last - 1], h[first + 1 : last + 1], out=down)
            down *= per_y
        if extra:
            su, sv = fields.slope_u[y:end], fields.slope_v[y:end]
            if view.pose.mirrored:
                su = -su
            gx[y:end] += su * c - sv * s
            gy[y:end] += su * s + sv * c
    return gx, gy


class _Gather:
    """Reads fields at the hits of a surface, a chunk at a time."""

    def __init__(self, fields: Fields, surface: Surface, material: Material) -> None:
        self.fields, self.surface, self.material = fields, surface, material
        self.gx, self.gy = _slopes(fields)
        fields.forget("slope_u", "slope_v")
        view, texture = surface.view, material.texture
        fine = max(texture.fine_mm * view.fine_per_mm, 0.5)
        coarse = max(texture.coarse_mm * view.fine_per_mm, 1.9 * fine)
        # under a pixel grain averages out; seen from near it is no steeper than it was cut
        near = min(1.0, (7.0 / view.fine_per_mm) ** 0.4)
        self.carving = F32(texture.slope * near)
        tiles = relief_tiles(snapped(fine), snapped(coarse))
        self.relief = [t.ravel() for t in tiles]
        self.side = tiles[0].shape[0]
        self.cloud = cloud_tile(1.8, self.side).ravel()
        distance, tilt = view.distance_mm, view.tilt
        self.eye = (
            view.look_at[0],
            view.look_at[1] - distance * math.sin(tilt),
            distance * math.cos(tilt),
        )
        # a facet that is seen cannot face away: keep its slope short of edge-on
        self.steepest = -0.85 / math.tan(tilt)

    def fill(self, out: Facets, s: slice) -> None:
        fields, material = self.fields, self.material
        here, t = self.surface.row[s].astype(np.intp), self.surface.part[s]
        here *= fields.window.shape[1]
        here += self.surface.col[s]
        grain = self._lerp(fields.grain, here, t)
        sx = self._lerp(self.gx, here, t)
        sy = np.maximum(self._lerp(self.gy, here, t), F32(self.steepest))
        spot = self._texture_spot(s, t, sy)
        alpha = self._blurred_by_bending(fields, here, t)
        flat = None if self.surface.film is None else np.flatnonzero(self.surface.film[s])
        if flat is not None:
            # a film lies flat and bare whatever the wall below it does
            sx[flat] = sy[flat] = 0
            grain[flat] *= F32(0.15)
        carved = grain * self.carving / (1 + 3 * (sx * sx + sy * sy))
        sx += self.relief[1].take(spot) * carved
        sy += self.relief[2].take(spot) * carved
        out.alpha[s] = np.clip(alpha, F32(0.03), F32(0.9))
        if flat is not None:
            out.alpha[s][flat] = FILM_ALPHA
        self._orient(out, s, sx, sy)
        shade = (
            1 + F32(material.texture.cavity) * np.clip(self.relief[0].take(spot), -2.5, 2) * grain
        )
        shade *= 1 + F32(material.texture.mottle) * self.cloud.take(spot)
        keep = None if fields.paint is None else self._lerp(fields.paint.keep, here, t)
        # most of a part is not painted
        if keep is not None and float(keep.min()) == 1:
            keep = None
        for c in range(3):
            colour = shade * F32(material.colour[c] * (1 - material.clarity))
            if fields.paint is not None and keep is not None:
                colour *= keep
                colour += self._lerp(fields.paint.add[c], here, t) * shade
            out.albedo[c][s] = colour
        if flat is not None:
            self._colour_film(out, s, flat, here[flat])
        if out.metal is not None and fields.metal is not None:
            out.metal[s] = self._lerp(fields.metal, here, t)
        if out.passing is not None:
            self._let_through(out, s, sx * sx + sy * sy, keep)

    def _colour_film(self, out: Facets, s: slice, flat: IntArray, ground: IntArray) -> None:
        """The resin, paler the thinner the film."""
        sheet = self.fields.sheet
        if sheet is None:
            return
        pale = sheet.pale.ravel().take(ground)
        for c in range(3):
            resin = F32(self.material.colour[c])
            colour = resin + (F32(0.36 + 0.4 * resin) - resin) * pale
            out.albedo[c][s][flat] = colour * F32(1 - 0.85 * self.material.clarity)

    def _blurred_by_bending(self, fields: Fields, here: IntArray, t: Array) -> Array:
        """Roughness, widened where the surface bends within a pixel.

        A sharp edge holds many normals in one pixel; mirrored as a single one it would
        glint in dashes.
        """
        below = here + fields.window.shape[1]
        flat = self.gy.ravel()
        bend = np.minimum(np.abs(flat.take(below) - flat.take(here)), F32(2.0))
        bend *= F32(BEND_BLUR)
        alpha = self._lerp(fields.alpha, here, t)
        alpha += bend * F32(0.5) * bend / (alpha + bend + F32(0.02))
        return alpha

    def _texture_spot(self, s: slice, t: Array, slope: Array) -> IntArray:
        fields, surface = self.fields, self.surface
        row = surface.row[s].astype(np.intp)
        row += fields.window.row0 + fields.texture_offset[0]
        # on a wall the texture runs on with the height, or it would smear into streaks
        climb = surface.height[s] * F32(surface.view.fine_per_mm)
        np.negative(climb, out=climb, where=slope > F32(-0.15))
        row += (t + climb + F32(0.5)).astype(np.intp)
        row &= self.side - 1
        row *= self.side
        col = surface.col[s] + (fields.window.col0 + fields.texture_offset[1])
        col &= self.side - 1
        row += col
        return row

    def _lerp(self, field: Array, here: IntArray, t: Array) -> Array:
        flat = field.ravel()
        a: Array = flat.take(here)
        b: Array = flat.take(here + self.fields.window.shape[1])
        b -= a
        b *= t
        b += a
        return b

    def _orient(self, out: Facets, s: slice, sx: Array, sy: Array) -> None:
        """Normal, mirror direction and Fresnel share (Schlick) of a chunk."""
        surface = self.surface
        inverse = 1 / np.sqrt(1 + sx * sx + sy * sy)
        nx, ny = -sx * inverse, -sy * inverse
        vx = F32(self.eye[0]) - surface.X[s]
        vy = F32(self.eye[1]) - surface.Y[s]
        vz = F32(self.eye[2]) - surface.height[s]
        length = 1 / np.sqrt(vx * vx + vy * vy + vz * vz)
        vx *= length
        vy *= length
        vz *= length
        facing = np.maximum(nx * vx + ny * vy + inverse * vz, F32(0.03))
        twice = 2 * facing
        out.nx[s], out.ny[s], out.nz[s] = nx, ny, inverse
        out.rx[s] = twice * nx - vx
        out.ry[s] = twice * ny - vy
        out.rz[s] = twice * inverse - vz
        graze = 1 - facing
        power = graze * graze
        power *= power * graze
        ceiling = np.maximum(1 - out.alpha[s], F32(SPECULAR))
        out.fresnel[s] = F32(SPECULAR) + (ceiling - F32(SPECULAR)) * power

    def _let_through(self, out: Facets, s: slice, steep: Array, keep: Array | None) -> None:
        """Light through a clear wall: less the thicker, hardly any through steep flanks."""
        if out.passing is None:
            return
        open_share = (1 - out.fresnel[s]) * (F32(0.22) + F32(0.78) / (1 + 1.6 * steep))
        haze = np.clip((out.alpha[s] - F32(0.08)) * F32(2.2), 0, F32(0.7))
        open_share *= (1 - haze) * F32(self.material.clarity)
        if keep is not None:
            open_share *= keep
        for c in range(3):
            body = np.exp(self.surface.height[s] * F32(0.09 * math.log(self.material.colour[c])))
            out.passing[c][s] = open_share * body
