"""The resins of the plant's parts: colour, and the finish moulded into them."""

from dataclasses import dataclass, field

import numpy as np

from media_demo.pictures.arrays import Rgb, linear
from media_demo.pictures.facets import Material, Texture


@dataclass(frozen=True)
class Resin:
    """A colour as it comes out of the tool: sRGB 0-1, roughness, grain of the finish."""

    colour: Rgb
    alpha: float = 0.38
    grain: float = 1.0
    texture: Texture = field(default_factory=Texture)
    clarity: float = 0.0


_SATIN = Texture(slope=0.055, cavity=0.05)
_FLAKE = Texture(slope=0.10, mottle=0.02, cavity=0.22)
_COARSE = Texture(fine_mm=0.14, coarse_mm=0.42, slope=0.17, cavity=0.16)

RESINS: dict[str, Resin] = {
    "white": Resin((0.885, 0.885, 0.87), alpha=0.30, texture=_SATIN),
    "ivory": Resin((0.885, 0.865, 0.80), alpha=0.30, texture=_SATIN),
    "graphite": Resin((0.205, 0.21, 0.215), alpha=0.39),
    "black": Resin((0.105, 0.105, 0.11), alpha=0.36),
    "gloss black": Resin((0.055, 0.055, 0.058), alpha=0.07, grain=0.012),
    "stainless grey": Resin((0.55, 0.55, 0.54), alpha=0.27, texture=_FLAKE),
    "grey": Resin((0.56, 0.57, 0.58), alpha=0.34),
    "natural": Resin((0.86, 0.855, 0.82), alpha=0.26, texture=_SATIN),
    "red": Resin((0.56, 0.095, 0.085), alpha=0.40, texture=_COARSE),
    "clear": Resin((0.88, 0.93, 0.91), alpha=0.06, grain=0.01, clarity=0.97),
}


def to_lab(rgb: Rgb) -> tuple[float, float, float]:
    """CIELAB (D65, 2 degrees) of linear light (CIE 15, IEC 61966-2-1 matrix)."""
    x, y, z = _MATRIX @ np.asarray(rgb)
    fx, fy, fz = (_f(float(t / w)) for t, w in zip((x, y, z), _WHITE, strict=True))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def from_lab(lab: tuple[float, float, float]) -> Rgb:
    """Linear light, clipped to 0-1, of a CIELAB colour."""
    fy = (lab[0] + 16) / 116
    f = (fy + lab[1] / 500, fy, fy - lab[2] / 200)
    xyz = np.array([_f_inverse(t) * w for t, w in zip(f, _WHITE, strict=True)])
    r, g, b = np.clip(np.linalg.solve(_MATRIX, xyz), 0, 1)
    return float(r), float(g), float(b)


def shifted(rgb: Rgb, dL: float, da: float, db: float) -> Rgb:
    """Linear light moved by a CIELAB difference."""
    L, a, b = to_lab(rgb)
    return from_lab((L + dL, a + da, b + db))


def ink_for(resin: Resin) -> Rgb:
    """Printing ink that shows on a resin: dark on light, light on dark."""
    return (0.22, 0.23, 0.24) if sum(resin.colour) > 1.3 else (0.80, 0.81, 0.80)


def lot_material(resin: Resin, rng: np.random.Generator) -> Material:
    """The material of one lot: its colour within about half a unit of the master."""
    dL, da, db = (float(x) for x in rng.normal(0, (0.25, 0.12, 0.18)))
    colour = shifted(linear(resin.colour), dL, da, db)
    return Material(colour, resin.texture, resin.clarity)


_MATRIX = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
_WHITE = (0.95047, 1.0, 1.08883)


def _f(t: float) -> float:
    return float(np.cbrt(t)) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116


def _f_inverse(f: float) -> float:
    return f**3 if f**3 > 216 / 24389 else (116 * f - 16) * 27 / 24389
