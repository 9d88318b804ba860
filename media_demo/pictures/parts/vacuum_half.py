"""Vacuum housing half, handed, coarse texture: the air slot of a left part is on the left."""

import math

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Joined, Rim

OUTLINE = Joined(Joined(Disc(-42, -2, 56), Disc(48, -8, 40), 18), Box(70, 14, 42, 15, 12), 14)
SLOTS = tuple(Bar(-66 + 11 * i, -22, -66 + 11 * i, 16, 2.1) for i in range(5))
TOP = 26.0
EDGE = 20.0
BOSSES = ((-88.0, 20.0), (-40.0, -46.0), (6.0, 30.0), (44.0, -36.0), (98.0, 16.0))


def front(s: Sculptor) -> None:
    """Textured outside: domed, air slots, a grip recess, the joint edge all round."""
    s.solid(OUTLINE, TOP - 4, fillet=15.0, draft=1.6, parting=3.0, crown=4.0)
    s.recess(Rim(Grown(OUTLINE, -30), 1.0), 0.6, wall=1.2)
    s.recess(Joined(Bar(-66, -3, -22, -3, 27), Bar(-66, -3, -22, -3, 20)), 0.8, wall=1.5)
    for slot in SLOTS:
        s.hole(slot, lead_in=1.0, wall=1.0)
    s.recess(Box(62, 4, 26, 9, 8), 1.6, wall=4.0)
    s.finish(Box(62, 4, 22, 6, 5), alpha=0.16, grain=0.05, soft=2.0)


def back(s: Sculptor) -> None:
    """Inside, seen mirrored: joint edge, five screw bosses, ribs, marks."""
    flipped = _flipped()
    s.solid(flipped, EDGE, fillet=0.6, draft=1.2)
    s.hollow(Grown(flipped, -1.4), EDGE - 1.4, draft=0.4, fillet=0.0)
    s.hollow(Grown(flipped, -2.8), 3.0, draft=3.0, fillet=2.0)
    for u in (-66, -22, 22, 56):
        s.rib(u, -52, u, 50, 7.0)
    s.rib(-100, 2, 90, 2, 6.0)
    for u, v in BOSSES:
        s.boss(-u, v, 4.6, EDGE - 1.5, core=1.9, floor=5.0)
        for i in range(4):
            a = math.radians(45 + 90 * i)
            tip = (-u + 9 * math.cos(a), v + 9 * math.sin(a))
            s.gusset((-u, v), tip, EDGE - 6, 4.0)
    for slot in SLOTS:
        s.hole(Bar(-slot.au, slot.av, -slot.bu, slot.bv, 2.1), lead_in=0.4, wall=0.8)
    s.stamp((">ABS<", "T-085"), 4, -14, 4.0)
    s.text("L" if not s.fields.view.pose.mirrored else "R", -44, -14, 8.0, relief=0.5)
    s.date_clock(-44, 14, 5.0, 4)
    for u, v in ((-90, -4), (40, -20), (0, 22), (-10, -34), (84, -14)):
        s.pin_witness(u, v, 3.0)


def _flipped() -> Joined:
    body = Joined(Disc(42, -2, 56), Disc(-48, -8, 40), 18)
    return Joined(body, Box(-70, 14, 42, 15, 12), 14)


FRONT_SITES = (
    Site("crown", "face", "A", 12, 0, TOP - 1, radius=16),
    Site("lower left field", "face", "A", -44, -42, TOP - 6, radius=7),
    Site("upper left field", "face", "A", -48, 38, TOP - 5, radius=8),
    Site("right field", "face", "A", 46, -24, TOP - 4, radius=8),
    Site("behind the slots", "weld", "A", -16, -3, TOP - 1, angle=5, length=30),
    Site("opposite a screw boss", "boss", "A", 6, 28, TOP - 4, radius=8, length=0),
    Site("opposite a rib", "rib line", "A", 22, -2, TOP - 1, radius=5, length=34, angle=90),
    Site("gate", "gate", "A", 0, -14, TOP - 1, angle=0, length=60, radius=7),
    Site(
        "joint edge, right", "edge", "F", 110, 14, 3, angle=0, length=20, shape=OUTLINE, parting=3
    ),
    Site(
        "joint edge, lower",
        "edge",
        "F",
        -40,
        -58,
        3,
        angle=-90,
        length=40,
        shape=OUTLINE,
        parting=3,
    ),
    Site("handle end", "corner", "F", 108, 26, 8, angle=40, radius=12, shape=OUTLINE),
    Site(
        "slope below the crown",
        "wall",
        "A",
        -36,
        -52,
        12,
        angle=-92,
        length=36,
        radius=8,
        tilt_deg=40,
    ),
    Site(
        "slot end",
        "hole edge",
        "F",
        -44,
        18.1,
        TOP - 6,
        angle=-90,
        length=4.5,
        shape=SLOTS[2],
        parting=12,
    ),
    Site("opposite a pin", "pin", "A", 30, 18, TOP - 2, radius=3),
    Site("slot corner", "root", "A", -20, -24, TOP - 3, angle=-60, length=12, radius=6),
)

BACK_SITES = (
    Site("floor", "face", "C", 0, -20, 3, radius=8),
    Site("screw boss", "tip", "F", 40, -46, EDGE - 1.5, angle=-120, radius=6),
    Site("boss root", "root", "F", -6, 24.5, 4, angle=0, length=9, radius=5),
    Site(
        "joint edge", "edge", "F", 42, -58, 12, angle=-90, length=36, shape=_flipped(), parting=12
    ),
    Site(
        "joint edge corner", "corner", "F", -108, 26, EDGE, angle=140, radius=10, shape=_flipped()
    ),
    Site("pin", "pin", "C", 40, -20, 3, radius=3),
)

KIND = PartKind(
    "vacuum_half",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP,
            gate=(0, -14),
            rest="A",
            zones=(("F", Rim(OUTLINE, 3)),),
        ),
        "back": Side(
            _flipped(),
            back,
            BACK_SITES,
            tallest=EDGE,
            gate=(0, -14),
            rest="C",
            zones=(("F", Rim(_flipped(), 4)), *(("F", Disc(-u, v, 7)) for u, v in BOSSES)),
        ),
    },
    handed=True,
)
