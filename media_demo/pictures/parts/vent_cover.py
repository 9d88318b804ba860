"""Vent cover: framed field of inclined slats, snap rim with four tabs. For teaching."""

import numpy as np

from media_demo.pictures.arrays import F32
from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Box, Grown, Joined

FACE = Box(0, 0, 100, 70, 13)
OPENING = Box(0, 0, 84, 52, 7)
TABS = ((-62.0, 73.0), (62.0, 73.0), (-62.0, -73.0), (62.0, -73.0))
RIM = Joined(
    Joined(
        Box(0, 0, 101.6, 71.6, 14), Joined(Box(-62, 73, 7, 4, 1.2), Box(62, 73, 7, 4, 1.2)), 1.2
    ),
    Joined(Box(-62, -73, 7, 4, 1.2), Box(62, -73, 7, 4, 1.2)),
    1.2,
)
PITCH = 11.4
TOP = 9.0


def front(s: Sculptor) -> None:
    """Show face."""
    s.solid(RIM, 2.6, fillet=0.6, draft=0.7)
    s.solid(FACE, TOP, fillet=3.2, draft=0.8, crown=0.9)
    for u, v in TABS:
        s.solid(Box(u, v + (2.4 if v > 0 else -2.4), 5.5, 0.9, 0.4), 4.0, fillet=0.6, draft=0.4)
    s.hole(OPENING, lead_in=2.0, wall=0.9)
    for u in (-28.0, 28.0):
        s.solid(Box(u, 0, 1.1, 52.5, 0.3), 2.8, fillet=0.4, draft=0.5)
    for i in range(-4, 5):
        _slat(s, i * PITCH)


def _slat(s: Sculptor, v0: float) -> None:
    """One slat, its upper side leaning back."""
    f = s.fields
    shape = Box(0, v0, 84.4, 3.5, 0.6)
    b = f.block(shape.bounds, 1.5)
    d = f.distance(shape, b)
    lean = np.clip(f.v[b] - F32(v0), -3.5, 3.5) * F32(0.32)
    t = np.clip(1 + d * F32(1 / 1.2), 0, 1)
    h = F32(6.4) + lean - F32(1.2) * (1 - np.sqrt(np.maximum(1 - t * t, 0)))
    h *= np.clip(1 - d * F32(1 / 0.8), 0, 1)
    np.maximum(f.height[b], h, out=f.height[b])
    np.maximum(f.solid[b], f.cover(d - F32(0.8)), out=f.solid[b])


SITES = (
    Site("lower band", "face", "A", 0, -61, TOP + 0.4, radius=6),
    Site("right band", "face", "A", 92, -10, TOP + 0.3, radius=5),
    Site("upper left corner field", "face", "A", -90, 60, TOP, radius=6),
    Site("upper right corner", "corner", "B", 97, 67, 5, angle=45, radius=18, shape=FACE),
    Site("lower left corner", "corner", "B", -97, -67, 5, angle=-135, radius=14, shape=FACE),
    Site("lower edge", "edge", "B", 20, -70, 2.6, angle=-90, length=36, shape=FACE, parting=2.8),
    Site("gate", "gate", "A", 0, -61, TOP + 0.4, angle=90, length=10, radius=5),
    Site(
        "right band, opposite a rib",
        "rib line",
        "A",
        92,
        20,
        TOP + 0.3,
        radius=4,
        length=20,
        angle=90,
    ),
    Site("tab root", "root", "F", 62, 70.5, 3, angle=0, length=10, radius=4),
    Site("frame corner", "root", "A", 82, -51, TOP, angle=-40, length=12, radius=6),
    Site("behind the opening", "weld", "A", 85.5, 30, TOP + 0.3, angle=5, length=14),
)

KIND = PartKind(
    "vent_cover",
    {
        "front": Side(
            RIM,
            front,
            SITES,
            tallest=TOP + 0.9,
            gate=(0, -61),
            rest="B",
            zones=(("A", Grown(FACE, -3)),),
        ),
    },
)
