"""Crisper drawer front, clear: a thick glassy plate with a grip bead and slide rails."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Grown, Rim

OUTLINE = Box(0, 0, 118, 50, 8)
TOP = 9.0
FACE = Grown(OUTLINE, -6)


def front(s: Sculptor) -> None:
    """The clear front: raised rim, grip bead, embossed wave."""
    s.solid(OUTLINE, TOP, fillet=2.4, draft=1.0, parting=3.0)
    s.recess(FACE, 5.0, wall=3.0)
    # a flat vault that meets the face before it turns steep: a steep foot shows as a dotted line
    s.solid(Bar(-60, 36, 60, 36, 4.5), TOP - 2.6, fillet=4.4, draft=1.2)
    s.recess(Bar(-74, -30, 74, -30, 1.2), 0.5, wall=1.0)
    s.recess(Bar(-66, -35, 66, -35, 0.8), 0.4, wall=0.8)
    s.peel(OUTLINE, slope=5e-4)


SITES = (
    Site("middle", "face", "A", 0, 4, TOP - 5, radius=18),
    Site("left", "face", "A", -70, 2, TOP - 5, radius=18),
    Site("right", "face", "A", 70, 6, TOP - 5, radius=18),
    Site("lower right", "weld", "A", -78, -16, TOP - 5, angle=10, length=30),
    Site("gate", "gate", "B", 0, 47.5, TOP, angle=-90, length=70, radius=6),
    Site("flow from the gate", "flow", "A", 14, 27, TOP - 5, angle=-95, length=50, radius=6),
    Site("upper edge", "edge", "B", -50, 50, 3, angle=90, length=40, shape=OUTLINE, parting=3),
    Site("rail end", "corner", "F", 115, -47, 6, angle=-45, radius=10, shape=OUTLINE),
    Site("rail corner", "root", "F", -108, -40, 4, angle=45, length=16, radius=8),
    Site("grip end", "root", "A", 64.6, 36, 4, angle=-20, length=16, radius=8),
)

KIND = PartKind(
    "drawer_front",
    {
        "front": Side(
            OUTLINE,
            front,
            SITES,
            tallest=TOP,
            gate=(0, 47.5),
            rest="A",
            zones=(("B", Box(0, 48, 118, 3, 1)), ("F", Rim(Box(0, -8, 116, 44, 8), 3))),
        ),
    },
)
