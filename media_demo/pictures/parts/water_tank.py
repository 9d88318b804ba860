"""Coffee-maker water tank, clear, seen from its open top: walls, outlet bore, handle."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Box, Disc, Grown, Joined, Rim

BODY = Box(-6, 0, 66, 48, 14)
HANDLE = Box(66, 8, 12, 20, 8)
OUTLINE = Joined(BODY, HANDLE, 3.0)
BORE = Disc(-14, -31, 5.0)
TOP = 22.0
FLOOR = 2.6


def front(s: Sculptor) -> None:
    """Looking into the tank."""
    s.solid(HANDLE, 16.0, fillet=3.0, draft=1.0)
    s.hole(Box(67, 8, 6.5, 13, 5), lead_in=1.2, wall=1.0)
    s.solid(BODY, TOP, fillet=1.0, draft=1.6)
    s.hollow(Grown(BODY, -2.6), FLOOR, draft=2.4, fillet=2.0)
    s.solid(Rim(Grown(BORE, 2.2), 1.2), 7.0, fillet=0.6, draft=0.6)
    s.hole(BORE, lead_in=0.6, wall=0.6)
    s.recess(Rim(Disc(24, 18, 12), 0.6), -0.5, wall=0.6)
    s.text("MAX", -52, 32, 3.6, relief=0.3)
    s.peel(BODY, slope=5e-4)


SITES = (
    Site("bottom, middle", "face", "A", 10, -6, FLOOR, radius=14),
    Site("bottom, left", "face", "A", -44, -6, FLOOR, radius=12),
    Site("bottom, right", "face", "A", 38, -24, FLOOR, radius=10),
    Site("upper right", "weld", "A", 34, 32, FLOOR, angle=-30, length=24),
    Site("outlet bore", "hole edge", "F", -14, -26, 4, angle=-90, length=9, shape=BORE, parting=4),
    Site("gate", "gate", "A", 24, 18, FLOOR, angle=200, length=50, radius=6),
    Site("handle root", "root", "F", 58, -9, 12, angle=-20, length=14, radius=7),
    Site("bore root", "root", "F", -6, -31, 3, angle=10, length=14, radius=7),
    Site("corner", "corner", "F", -68, -44, 12, angle=-135, radius=10, shape=BODY),
    Site("rim", "edge", "F", 0, -48, 10, angle=-90, length=36, shape=BODY, parting=10),
)

KIND = PartKind(
    "water_tank",
    {
        "front": Side(
            OUTLINE,
            front,
            SITES,
            tallest=TOP,
            gate=(24, 18),
            rest="A",
            zones=(("F", Grown(BORE, 4)), ("F", HANDLE)),
        ),
    },
)
