"""Everything that differs between two photographs of the same kind of part.

Drawn from a stream of its own, so that neither pose, bench, light, exposure nor dust
says anything about a defect.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from media_demo.pictures.arrays import Rgb
from media_demo.pictures.benches import KINDS
from media_demo.pictures.camera import Camera
from media_demo.pictures.lamps import Lamp, Room, Tube

Light = Literal["form", "reflection", "raking", "edge", "sheen"]
STANDING_AZIMUTH = 190.0


@dataclass(frozen=True)
class Nuisance:
    """One draw of pose, bench, light and camera."""

    turn_deg: float
    x_mm: float
    y_mm: float
    bench: str
    bench_seed: int
    key: Lamp
    standing: tuple[Lamp, ...]
    wall: float
    ceiling: float
    fill: float
    camera: Camera
    texture_offset: tuple[int, int]
    tubes: tuple[Tube, ...]
    part_seed: int
    colour_seed: int

    def room(self, bench: Rgb) -> Room:
        return Room(
            wall=self.wall, ceiling=self.ceiling, fill=self.fill, bench=bench, tubes=self.tubes
        )

    def exposed(self, resin: Rgb, bench: Rgb) -> Camera:
        """The camera with its exposure metered on what fills the picture."""
        middle = 0.55 * _level(resin) + 0.45 * _level(bench)
        factor = float(np.clip((0.25 / middle) ** 0.24, 0.75, 1.3))
        return replace(self.camera, exposure=self.camera.exposure * factor)


def _level(colour: Rgb) -> float:
    return 0.2126 * colour[0] + 0.7152 * colour[1] + 0.0722 * colour[2]


# azimuth and elevation ranges in degrees; the mirror condition at 17 degrees of tilt
# is azimuth 90, elevation 73
_LIGHTS: dict[Light, tuple[tuple[float, float], tuple[float, float]]] = {
    "form": ((72, 122), (50, 62)),
    "reflection": ((82, 98), (58, 66)),
    "raking": ((52, 68), (44, 50)),
    # asked for only: the very edge of the reflection, and well inside it
    "edge": ((86, 94), (61, 63.5)),
    "sheen": ((85, 95), (65, 70)),
}


def middle_deg(light: Light) -> float:
    """The middle of the heights over the bench at which a light stands, degrees."""
    _, (low, high) = _LIGHTS[light]
    return (low + high) / 2


def draw(seed: int, light: Light | None = None) -> Nuisance:
    """Draw the nuisance of one picture."""
    rng = np.random.default_rng([seed, 1])
    kinds: tuple[Light, ...] = ("form", "reflection", "raking")
    drawn = kinds[int(rng.choice(3, p=[0.6, 0.25, 0.15]))]
    (a0, a1), (e0, e1) = _LIGHTS[light or drawn]
    warmth = float(rng.normal(0, 0.012))
    size = rng.uniform(0.85, 1.15)
    key = Lamp(
        azimuth_deg=rng.uniform(a0, a1),
        elevation_deg=rng.uniform(e0, e1),
        width_mm=420 * size,
        depth_mm=240 * size,
        power=rng.uniform(0.92, 1.08),
        colour=(1 + warmth, 1.0, 1 - warmth),
    )
    strip = _strip(rng, key)
    balance = rng.normal(0, 0.008, 2)
    tubes = _tubes(rng)
    camera = _camera(rng, (1 + float(balance[0]), 1.0, 1 + float(balance[1])))
    return Nuisance(
        turn_deg=float(np.clip(rng.normal(0, 3.5), -8, 8)),
        x_mm=rng.uniform(-1, 1),
        y_mm=rng.uniform(-1, 1),
        bench=KINDS[int(rng.choice(len(KINDS), p=[0.27, 0.2, 0.15, 0.13, 0.13, 0.12]))],
        bench_seed=int(rng.integers(2**31)),
        key=key,
        standing=(strip,),
        wall=rng.uniform(0.05, 0.09),
        ceiling=rng.uniform(0.22, 0.31),
        fill=rng.uniform(0.13, 0.18),
        camera=camera,
        texture_offset=_pair(rng),
        tubes=tubes,
        part_seed=int(rng.integers(2**31)),
        colour_seed=int(rng.integers(2**31)),
    )


def _strip(rng: np.random.Generator, key: Lamp) -> Lamp:
    """The lamp that stands over the bench all day."""
    return Lamp(
        azimuth_deg=key.azimuth_deg + STANDING_AZIMUTH + rng.normal(0, 6),
        elevation_deg=58 + rng.normal(0, 3),
        width_mm=900,
        depth_mm=140,
        power=rng.uniform(0.18, 0.28),
        shine=2.2,
        colour=(1.0, 0.99, 0.96),
    )


def _tubes(rng: np.random.Generator) -> tuple[Tube, ...]:
    """The tubes of the hall's ceiling, as glossy parts mirror them."""
    first = rng.uniform(0.20, 0.36)
    return tuple(
        Tube(rng.normal(0, 0.15), first + step, 0.62, rng.uniform(0.008, 0.014), glow)
        for step, glow in ((0.0, rng.uniform(0.5, 0.9)), (rng.uniform(0.09, 0.14), 0.5))
    )


def _camera(rng: np.random.Generator, balance: Rgb) -> Camera:
    return Camera(
        exposure=1.18 * float(np.exp(rng.normal(0, 0.05))),
        balance=balance,
        sharpness=rng.uniform(0.70, 0.80),
        sensor_noise=rng.uniform(0.8, 1.3),
        vignette=rng.uniform(0.15, 0.26),
        noise_seed=int(rng.integers(2**31)),
    )


def _pair(rng: np.random.Generator) -> tuple[int, int]:
    a, b = rng.integers(0, 1024, 2)
    return int(a), int(b)
