"""Kettle lid: dome with a thumb recess, hinge on the left, latch on the right."""

import math

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Joined, Rim

PLATE = Disc(0, 0, 52)
HINGE = Joined(Box(-56, 9, 8, 3.4, 1.5), Box(-56, -9, 8, 3.4, 1.5))
LATCH = Box(54, 0, 6, 7, 2)
OUTLINE = Joined(Joined(PLATE, HINGE, 1.5), LATCH, 1.5)
TOP = 14.0


def front(s: Sculptor) -> None:
    """Top: dome, thumb recess towards the latch, a fine ring."""
    s.solid(HINGE, 8.0, fillet=2.6, draft=0.7)
    s.solid(LATCH, 7.0, fillet=1.2, draft=0.7)
    s.solid(PLATE, TOP - 3, fillet=6.0, draft=1.0, parting=3.0, crown=3.0)
    s.recess(Rim(Disc(0, 0, 43), 0.7), 0.5, wall=0.7)
    s.recess(Box(28, 0, 9, 13, 8), 2.6, wall=4.0)
    for i in range(3):
        s.solid(Bar(30 + 3 * i, -6, 30 + 3 * i, 6, 0.5), TOP - 2.2, fillet=0.4, draft=0.5)
    s.hole(Disc(-55, 9, 1.5), lead_in=0.3, wall=0.3)


def back(s: Sculptor) -> None:
    """Inside (water side): seal rim, ribs, steam baffle, marks."""
    hinge = Joined(Box(56, 9, 8, 3.4, 1.5), Box(56, -9, 8, 3.4, 1.5))
    s.solid(hinge, 9.0, fillet=2.8, draft=0.7)
    s.solid(Box(-54, 0, 6, 7, 2), 9.0, fillet=0.8, draft=0.7)
    s.solid(PLATE, 7.0, fillet=0.6, draft=0.9)
    s.hollow(Disc(0, 0, 49.5), 2.6, draft=0.7, fillet=0.6)
    s.ring(Disc(0, 0, 43.5), 10.0, width=2.0, fillet=0.9)
    for i in range(4):
        a = math.radians(45 + 90 * i)
        c, n = math.cos(a), math.sin(a)
        s.rib((14 * c, 14 * n), (42 * c, 42 * n), 6.0)
    s.ring(Disc(0, 0, 14), 8.0, width=1.6)
    s.solid(Bar(-8, 24, 8, 24, 1.0), 7.0, fillet=0.4, draft=0.4)
    s.stamp((">PP<", "T-090 CAV 2"), 0, -25, 2.6)
    s.date_clock(0, 33.5, 3.8, 10)
    for u, v in ((28, 0), (-28, 0), (0, -36), (0, 6), (0, -6)):
        s.pin_witness(u, v, 2.2)


FRONT_SITES = (
    Site("left of the middle", "face", "A", -16, 4, TOP - 0.2, radius=14),
    Site("upper field", "face", "A", 2, 29, TOP - 0.5, radius=9),
    Site("lower field", "face", "A", -4, -28, TOP - 0.5, radius=9),
    Site("seal rim, lower", "edge", "F", 0, -52, 3, angle=-90, length=36, shape=PLATE, parting=3),
    Site("seal rim, right", "edge", "F", 40, -33, 3, angle=-40, length=26, shape=PLATE, parting=3),
    Site("hinge eye", "tip", "F", -63, 9, 6, angle=180, radius=5),
    Site("latch nose", "tip", "F", 60, 0, 6, angle=0, radius=6),
    Site("hinge root", "root", "F", -51, 9, 7, angle=90, length=7, radius=4),
    Site("gate", "gate", "B", 0, 46, TOP - 1.2, angle=-90, length=44, radius=5),
    Site("below the thumb recess", "weld", "A", 22, -17, TOP - 0.4, angle=-120, length=22),
    Site("opposite the baffle", "boss", "A", 0, 2, TOP, radius=8, length=0),
    Site("opposite a rib", "rib line", "A", -18, 18, TOP - 0.8, radius=4, length=22, angle=135),
    Site("opposite a pin", "pin", "A", -26, 0, TOP - 0.5, radius=2.4),
)

BACK_SITES = (
    Site("water side, left", "face", "F", -28, 6, 2.6, radius=6),
    Site("water side, right", "face", "F", 27, -6, 2.6, radius=6),
    Site(
        "inner seal rim",
        "edge",
        "F",
        0,
        -44.5,
        8,
        angle=-90,
        length=30,
        shape=Disc(0, 0, 44.5),
        parting=6,
    ),
    Site("latch", "tip", "F", -60, 0, 9, angle=180, radius=5),
    Site("hinge root", "root", "F", 51, -9, 7, angle=90, length=7, radius=4),
    Site("pin", "pin", "F", -28, 0, 2.6, radius=2.2),
)

KIND = PartKind(
    "kettle_lid",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP,
            gate=(0, 46),
            rest="F",
            zones=(("A", Grown(PLATE, -7)), ("B", Grown(PLATE, -2))),
        ),
        "back": Side(
            Joined(
                Joined(PLATE, Joined(Box(56, 9, 8, 3.4, 1.5), Box(56, -9, 8, 3.4, 1.5)), 1.5),
                Box(-54, 0, 6, 7, 2),
                1.5,
            ),
            back,
            BACK_SITES,
            tallest=10,
            gate=(0, 46),
            rest="F",
        ),
    },
)
