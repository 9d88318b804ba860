"""Light on the bare bench: smooth, so worked out coarsely and drawn out."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, Array
from media_demo.pictures.benches import Bench
from media_demo.pictures.grids import enlarged
from media_demo.pictures.lamps import Lamp, Triple, falling_light, mirrored_lamp, mirrored_room
from media_demo.pictures.stage import BenchLight, Stage
from media_demo.pictures.view import View

BENCH_STEP = 8
BENCH_SPECULAR = 0.03


def _bench_geometry(view: View) -> tuple[Array, Array, Array, Array, Array]:
    step = int(BENCH_STEP * view.supersampling)
    X, Y = view.ground_of(view.picture.aligned(step), step)
    drop = view.look_at[2] * view.rows_per_mm_up
    Y = Y + F32(drop / view.fine_per_mm / math.cos(view.tilt))
    Y = np.broadcast_to(Y, X.shape).astype(F32)
    vx = F32(view.look_at[0]) - X
    vy = F32(view.look_at[1] - view.distance_mm * math.sin(view.tilt)) - Y
    vz = np.full_like(vx, view.distance_mm * math.cos(view.tilt))
    length = np.asarray(1 / np.sqrt(vx * vx + vy * vy + vz * vz), F32)
    return X, Y, -vx * length, -vy * length, vz * length


def _enlarge(values: Array, view: View) -> Array:
    return enlarged(values, BENCH_STEP)[: view.height, : view.width]


def _light_bench(view: View, bench: Bench, lamp: Lamp) -> BenchLight:
    """One lamp on the bare bench (no shadows yet)."""
    X, Y, rx, ry, rz = _bench_geometry(view)
    zero, up = np.zeros_like(X), np.ones_like(X)
    at = Triple(X, Y, zero)
    fall = falling_light(lamp, at, Triple(zero, zero, up))
    alpha = np.full_like(X, bench.alpha)
    shine = mirrored_lamp(lamp, at, Triple(rx, ry, rz), alpha) * F32(BENCH_SPECULAR * 1.3)
    return BenchLight(_enlarge(fall, view), _enlarge(shine, view))


def lamp_on_bench(stage: Stage, lamp: Lamp) -> BenchLight:
    """A lamp's light on the bare bench (no shadows), worked out once."""
    if lamp not in stage.bench_lights:
        stage.bench_lights[lamp] = _light_bench(stage.view, stage.bench, lamp)
    return stage.bench_lights[lamp]


def room_on_bench(stage: Stage) -> BenchLight:
    """The room's light on the bare bench, worked out once."""
    if None not in stage.bench_lights:
        _, _, _, _, rz = _bench_geometry(stage.view)
        glow, _ = mirrored_room(stage.room, rz, np.full_like(rz, stage.bench.alpha))
        glow *= F32(BENCH_SPECULAR)
        even = np.broadcast_to(F32(stage.room.fill), (stage.view.height, stage.view.width))
        stage.bench_lights[None] = BenchLight(even, _enlarge(glow, stage.view))
    return stage.bench_lights[None]
