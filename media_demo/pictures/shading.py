"""Light on visible plastic: the room once, each lamp on top."""

import numpy as np

from media_demo.pictures.arrays import F32, Array, Rgb
from media_demo.pictures.facets import CHUNK, Facets
from media_demo.pictures.lamps import (
    Lamp,
    Room,
    Triple,
    falling_light,
    mirrored_lamp,
    mirrored_room,
    mirrored_tubes,
)
from media_demo.pictures.projection import Surface

BRASS: Rgb = (0.93, 0.77, 0.46)
# rougher than this, a strip light is no more than part of the ceiling
POLISHED = 0.2


def _mirror_share(facets: Facets, s: slice, channel: int) -> Array:
    """Share of mirrored light that leaves a facet in one colour channel."""
    fresnel = facets.fresnel[s]
    if facets.metal is None:
        return fresnel
    metal = facets.metal[s]
    return fresnel + (F32(BRASS[channel]) - fresnel) * metal


def _body_colour(facets: Facets, s: slice, channel: int) -> Array:
    albedo = facets.albedo[channel][s]
    return albedo if facets.metal is None else albedo * (1 - facets.metal[s])


def lit_by_room(surface: Surface, facets: Facets, room: Room, sky: Array) -> list[Array]:
    """Colours under the room alone; ``sky`` is the open share of each pixel, 0-1."""
    n = surface.pixel.size
    out = [np.empty(n, F32) for _ in range(3)]
    for i in range(0, n, CHUNK):
        s = slice(i, min(n, i + CHUNK))
        nz, ao = facets.nz[s], sky[s]
        rz, alpha = facets.rz[s], facets.alpha[s]
        glow, below = mirrored_room(room, rz, alpha)
        if room.tubes and float(alpha.min()) < POLISHED:
            glow += mirrored_tubes(room, facets.rx[s], facets.ry[s], rz, alpha)
        glow *= F32(0.25) + F32(0.75) * ao
        soft = ao * (F32(0.55) + F32(0.45) * nz) * F32(room.fill)
        bounce = (1 - nz) * F32(0.35) * (F32(0.3) + F32(0.7) * ao)
        # of what a facet mirrors, the share of the bench is as open as the facet
        glow -= glow * below
        below *= ao
        for c in range(3):
            tone, bench = F32(room.tone[c]), F32(room.bench[c] * 0.55)
            mirrored = glow * tone
            mirrored += below * bench
            mirrored *= _mirror_share(facets, s, c)
            body = soft * tone
            body += bounce * bench
            body *= _body_colour(facets, s, c)
            np.add(mirrored, body, out=out[c][s])
    return out


def add_lamp(out: list[Array], surface: Surface, facets: Facets, lamp: Lamp, seen: Array) -> None:
    """Add a lamp to the colours; ``seen`` is the unshadowed share of it, 0-1."""
    n = surface.pixel.size
    for i in range(0, n, CHUNK):
        s = slice(i, min(n, i + CHUNK))
        at = Triple(surface.X[s], surface.Y[s], surface.height[s])
        share = seen[s]
        fall = falling_light(lamp, at, Triple(facets.nx[s], facets.ny[s], facets.nz[s]))
        fall *= share
        mirror = Triple(facets.rx[s], facets.ry[s], facets.rz[s])
        shine = mirrored_lamp(lamp, at, mirror, facets.alpha[s])
        shine *= F32(0.12) + F32(0.88) * share
        # only metal mirrors one colour otherwise than another
        gloss = shine * facets.fresnel[s] if facets.metal is None else None
        for c in range(3):
            light = fall * _body_colour(facets, s, c)
            light += shine * _mirror_share(facets, s, c) if gloss is None else gloss
            light *= F32(lamp.colour[c])
            out[c][s] += light
