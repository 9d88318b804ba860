"""Coffee-maker tank lid: flat top with a vent hole in the middle, hinge on the upper edge."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Joined, Rim

PLATE = Box(0, -4, 62, 36, 12)
HINGE = Joined(Bar(-30, 36, -18, 36, 4), Bar(18, 36, 30, 36, 4))
OUTLINE = Joined(PLATE, HINGE, 1.5)
VENT = Disc(0, 2, 2.2)
TOP = 8.0


def front(s: Sculptor) -> None:
    """Top: flat field inside a soft rim, vent hole, pull lip."""
    s.solid(HINGE, 6.0, fillet=2.5, draft=0.7)
    s.solid(PLATE, TOP, fillet=3.6, draft=0.9, parting=2.4)
    s.recess(Grown(PLATE, -8), 0.9, wall=2.4)
    s.finish(Grown(PLATE, -9), alpha=0.24, grain=0.3)
    s.solid(Rim(VENT, 1.4), TOP + 0.1, fillet=0.5, draft=0.5)
    s.hole(VENT, lead_in=0.5, wall=0.4)
    s.recess(Box(0, -33, 18, 4.5, 4), 1.6, wall=2.0)
    s.text("MAX 1.2 L", 34, -22, 3.4, relief=0.3)


def back(s: Sculptor) -> None:
    """Inside: rim, ribs, vent tube, marks."""
    s.solid(HINGE, 9.0, fillet=3.0, draft=0.7)
    s.solid(PLATE, 8.0, fillet=0.5, draft=0.8)
    s.hollow(Grown(PLATE, -2.2), 2.4, draft=0.6)
    s.solid(Rim(Grown(PLATE, -6), 1.0), 6.6, fillet=0.6, draft=0.5)
    s.rib((-55, -4), (55, -4), 4.6)
    s.rib((-24, -33), (-24, 25), 4.6)
    s.rib((24, -33), (24, 25), 4.6)
    s.boss(0, 2, 4.6, 9.0)
    s.hole(VENT, lead_in=0.4, wall=0.4)
    s.stamp((">PP<", "T-095 CAV 1"), 0, -16, 3.0)
    s.date_clock(-40, 12, 4.4, 1)
    for u, v in ((-40, -18), (40, -18), (40, 12), (10, 16)):
        s.pin_witness(u, v, 2.2)


FRONT_SITES = (
    Site("right field", "face", "A", 30, 2, TOP - 0.9, radius=14),
    Site("left lower field", "face", "A", -30, -16, TOP - 0.9, radius=9),
    Site("gate", "gate", "A", -33, 16, TOP - 0.9, angle=-20, length=60, radius=8),
    Site("vent hole", "hole edge", "F", 0, 4.2, 4, angle=-90, length=3.6, shape=VENT, parting=4),
    Site("behind the vent hole", "weld", "A", 4, 1, TOP - 0.9, angle=-12, length=24),
    Site("opposite a rib", "rib line", "A", 24, -8, TOP - 0.9, radius=5, length=24, angle=90),
    Site("opposite the vent tube", "boss", "A", 0, -8, TOP - 0.9, radius=7, length=0),
    Site("hinge", "tip", "F", 30, 40, 6, angle=90, radius=5),
    Site("hinge root", "root", "F", -24, 33, 6, angle=0, length=10, radius=4),
    Site("rim, lower", "edge", "F", -30, -40, 2.4, angle=-90, length=34, shape=PLATE, parting=2.4),
    Site("rim, right", "edge", "F", 62, -4, 2.4, angle=0, length=26, shape=PLATE, parting=2.4),
    Site("rim corner", "corner", "F", 58, -36, 5, angle=-45, radius=9, shape=PLATE),
    Site("opposite a pin", "pin", "A", 40, -18, TOP - 0.9, radius=2.4),
)

BACK_SITES = (
    Site("floor", "face", "C", -40, -14, 2.4, radius=8),
    Site("pin", "pin", "C", 40, 12, 2.4, radius=2.2),
    Site("vent tube", "hole edge", "F", 0, 4.2, 6, angle=-90, length=3.6, shape=VENT, parting=6),
    Site(
        "rib end",
        "tip",
        "C",
        -24,
        25,
        4.6,
        angle=90,
        radius=4,
        shape=Bar(-24, -1, -24, 25, 0.6),
        base=2.4,
    ),
)

KIND = PartKind(
    "tank_lid",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP + 0.1,
            gate=(-33, 16),
            rest="B",
            zones=(
                ("F", Grown(VENT, 2)),
                ("F", Grown(HINGE, 1)),
                ("F", Rim(PLATE, 2)),
                ("A", Grown(PLATE, -6)),
            ),
        ),
        "back": Side(
            OUTLINE,
            back,
            BACK_SITES,
            tallest=9,
            gate=(33, 16),
            rest="C",
            zones=(("F", Grown(VENT, 3)),),
        ),
    },
)
