"""Dishwasher handle end cap, handed: long tab up, screw hole on the left of a left part."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Joined, Rim

BODY = Box(0, -9, 33, 19, 9)
TAB = Box(-18, 19, 9, 13, 3.5)
SHORT_TAB = Box(19, 13, 7, 6, 2.5)
OUTLINE = Joined(Joined(BODY, TAB, 2.0), SHORT_TAB, 1.5)
HOLE = Disc(-18, 24, 2.9)
TOP = 15.0
TAB_TOP = 4.0


def front(s: Sculptor) -> None:
    """Outer face: a cushion with a shadow groove, flat tabs behind it."""
    s.solid(Joined(TAB, SHORT_TAB, 0.0), TAB_TOP, fillet=0.6, draft=0.7)
    s.solid(BODY, TOP, fillet=6.5, draft=1.0, parting=4.0, crown=0.9)
    s.recess(Rim(Grown(BODY, -10.5), 0.7), 0.6, wall=0.7)
    s.hole(HOLE, lead_in=0.6, wall=0.5)
    s.recess(Rim(HOLE, 0.8), 0.3, wall=0.4)


def back(s: Sculptor) -> None:
    """Inside, seen mirrored: cross ribs, screw hole, marks."""
    body = Box(0, -9, 33, 19, 9)
    tab, short = Box(18, 19, 9, 13, 3.5), Box(-19, 13, 7, 6, 2.5)
    s.solid(Joined(tab, short, 0.0), 13.0, fillet=0.5, draft=0.7)
    s.solid(body, 14.0, fillet=0.5, draft=0.8)
    s.hollow(Grown(body, -2.4), 2.6, draft=0.7, fillet=0.6)
    s.rib((-31, -9), (31, -9), 8.0)
    s.rib((-9, -26), (-9, 8), 8.0)
    s.rib((13, -26), (13, 8), 8.0)
    s.hollow(Box(18, 16, 6.5, 8, 2.0), 10.5, draft=0.5)
    s.hole(Disc(18, 24, 2.9), lead_in=0.5, wall=0.5)
    s.hollow(Box(-19, 13, 4.6, 3.6, 1.5), 10.0, draft=0.5)
    s.stamp((">ABS<",), -20, -1, 2.6)
    s.text("L" if not s.fields.view.pose.mirrored else "R", 2, -17.5, 5.0, relief=0.5)
    s.text("4", 2, -1, 3.2)
    s.date_clock(22.5, -1, 3.6, 11)
    for u, v in ((-20, -18), (23, -18)):
        s.pin_witness(u, v, 2.2)


FRONT_SITES = (
    Site("middle of the face", "face", "A", 2, -8, TOP + 0.8, radius=8),
    Site("left of the middle", "face", "A", -14, -8, TOP + 0.7, radius=5),
    Site("lower edge", "edge", "B", -8, -28, 4, angle=-90, length=24, shape=BODY, parting=4),
    Site("right edge", "edge", "B", 33, -9, 4, angle=0, length=14, shape=BODY, parting=4),
    Site(
        "screw hole", "hole edge", "F", -18, 26.9, 2.5, angle=-90, length=5, shape=HOLE, parting=2.5
    ),
    Site("tab corner", "corner", "F", -25, 30, TAB_TOP, angle=120, radius=6, shape=TAB),
    Site("short tab", "tip", "F", 19, 18.5, TAB_TOP, angle=90, radius=5),
    Site("gate", "gate", "B", 2, -26, 13.7, angle=90, length=24, radius=4),
    Site("halo round the gate", "gloss face", "A", 2, -20, TOP + 0.7, radius=5),
    Site("tab root", "root", "F", -18, 10.5, TAB_TOP, angle=0, length=12, radius=5),
    Site("front wall", "wall", "A", 0, -28.3, 7, angle=-90, length=34, radius=6, tilt_deg=52),
    Site("opposite the ribs", "rib line", "A", 9, -8, TOP + 0.7, radius=4, length=16, angle=90),
)

BACK_SITES = (
    Site("floor left", "face", "C", -20, -18, 2.6, radius=5),
    Site("floor right", "face", "C", 22, -18, 2.6, radius=4),
    Site("pin", "pin", "C", -20, -18, 2.6, radius=2.2),
    Site("rib crossing", "root", "C", 13, -9, 8, angle=0, length=8, radius=4),
    Site(
        "rib end",
        "tip",
        "C",
        -9,
        7.5,
        8,
        angle=90,
        radius=4,
        shape=Bar(-9, -7, -9, 8, 0.6),
        base=2.6,
    ),
)

KIND = PartKind(
    "handle_cap",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP + 0.9,
            gate=(2, -26),
            rest="B",
            zones=(("F", TAB), ("F", SHORT_TAB), ("A", Grown(BODY, -5))),
        ),
        "back": Side(
            Joined(Joined(BODY, Box(18, 19, 9, 13, 3.5), 2.0), Box(-19, 13, 7, 6, 2.5), 1.5),
            back,
            BACK_SITES,
            tallest=14,
            gate=(-2, -26),
            rest="C",
        ),
    },
    handed=True,
)
