"""Oven control knob: skirt with a pointer, grip bar, metal D-insert on the inside."""

import math

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Joined, Polygon, Rim, Shared

SKIRT = Disc(0, 0, 30)
POINTER = Polygon(((-5, 28), (5, 28), (0, 34.5)), 0.8)
OUTLINE = Joined(SKIRT, POINTER, 2.0)
GRIP = Box(0, 0, 8.5, 24, 7)
TOP = 26.0
SKIRT_TOP = 9.0


def front(s: Sculptor) -> None:
    """Face: dished skirt, waisted grip with a white line, fine knurl on the skirt rim."""
    s.solid(OUTLINE, SKIRT_TOP, fillet=3.5, draft=1.0, parting=2.5)
    s.finish(OUTLINE, alpha=0.31, grain=0.4)
    s.recess(Disc(0, 0, 25), 1.4, wall=6.0)
    s.solid(Disc(0, 0, 17), 14.0, fillet=4.0, draft=2.5)
    s.solid(GRIP, TOP, fillet=4.5, draft=3.0)
    s.recess(Box(0, 6, 1.3, 15, 1.0), 0.4, wall=0.4)
    s.print_shape(Box(0, 6, 0.9, 14.5, 0.8))
    s.print_shape(Polygon(((-1.6, 29.5), (1.6, 29.5), (0, 33)), 0.2))


def back(s: Sculptor) -> None:
    """Inside: ring wall, hub with the D-insert, webs, stop rib, marks."""
    s.solid(OUTLINE, 8.0, fillet=0.6, draft=0.8)
    s.hollow(Disc(0, 0, 27.4), 2.4, draft=0.7, fillet=0.6)
    s.ring(Disc(0, 0, 19), 7.0, width=1.6)
    for i in range(6):
        a = math.radians(30 + 60 * i)
        c, n = math.cos(a), math.sin(a)
        s.rib((8 * c, 8 * n), (18.5 * c, 18.5 * n), 6.0)
    s.rib((13, -22.8), (21, -15.6), 8.6, width=2.2)
    s.solid(Disc(0, 0, 8.2), 14.0, fillet=0.7, draft=0.7)
    s.insert(0, 0, 5.6, 14.0, bore=0.01)
    s.well(Shared(Disc(0, 0, 3.1), Box(0, -0.8, 4, 3.0, 0.1)), 4.0, wall=0.25)
    s.stamp((">PBT-GF15<",), -0.5, -23.2, 1.9)
    s.text("3", -22.5, 7, 2.6)
    s.date_clock(22.2, 8, 2.6, 8)
    for i in range(3):
        a = math.radians(90 + 120 * i)
        s.pin_witness(23 * math.cos(a), 23 * math.sin(a), 1.6)


FRONT_SITES = (
    Site("skirt, left", "face", "A", -20.5, 4, SKIRT_TOP - 1.4, radius=3.0),
    Site("skirt, right", "face", "A", 20.5, -2, SKIRT_TOP - 1.4, radius=3.0),
    Site("skirt, lower", "face", "A", -15, -17, SKIRT_TOP - 1.4, radius=3.0),
    Site("pointer tip", "tip", "A", 0, 34.5, SKIRT_TOP - 2, angle=90, radius=6),
    Site("rim, lower", "edge", "A", 0, -30, 2.5, angle=-90, length=24, shape=SKIRT, parting=2.5),
    Site("rim, right", "edge", "A", 30, 0, 2.5, angle=0, length=18, shape=SKIRT, parting=2.5),
    Site("rim gate", "gate", "B", -28, -8, SKIRT_TOP - 1.5, angle=16, length=18, radius=4),
    Site(
        "flow from the gate",
        "flow",
        "A",
        -22.5,
        -6.5,
        SKIRT_TOP - 1.4,
        angle=16,
        length=10,
        radius=4,
    ),
    Site("skirt at the grip", "weld", "A", 12.4, -14, SKIRT_TOP - 1.3, angle=-50, length=9),
    Site("grip root", "root", "F", 9.5, 12, 14, angle=70, length=10, radius=4),
)

BACK_SITES = (
    Site("floor", "face", "C", -21, -10, 2.4, radius=3.0),
    Site("floor, upper", "face", "C", 9, 20.9, 2.4, radius=2.5),
    Site("hub at the insert", "root", "F", 0, -6.6, 14, angle=-80, length=6, radius=4),
    Site("hub", "root", "F", 6.2, 2, 14, angle=20, length=6, radius=4),
    Site(
        "stop rib",
        "tip",
        "F",
        21,
        -15.6,
        8.6,
        angle=42,
        radius=3,
        shape=Bar(13, -22.8, 21, -15.6, 1.1),
        base=2.4,
    ),
    Site("under rim", "edge", "B", 0, -30, 2, angle=-90, length=20, shape=SKIRT, parting=2.0),
    Site("pin", "pin", "C", 0, 23, 2.4, radius=1.6),
)

KIND = PartKind(
    "knob",
    {
        "front": Side(OUTLINE, front, FRONT_SITES, tallest=TOP, gate=(-28, -8), rest="A"),
        "back": Side(
            OUTLINE,
            back,
            BACK_SITES,
            tallest=14,
            gate=(28, -8),
            rest="C",
            zones=(
                ("F", Disc(0, 0, 9)),
                ("F", Bar(13, -22.8, 21, -15.6, 2)),
                ("B", Rim(Grown(SKIRT, -1.5), 1.5)),
            ),
        ),
    },
)
