"""Vacuum housing half, handed, coarse texture: the air slots of a left part are on the left."""

import math

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Joined, Rim

OUTLINE = Joined(
    Box(-30, -4, 82, 56, 46), Joined(Disc(46, -4, 44), Box(76, 22, 36, 18, 14), 22), 30
)
FLIPPED = Joined(
    Box(30, -4, 82, 56, 46), Joined(Disc(-46, -4, 44), Box(-76, 22, 36, 18, 14), 22), 30
)
SLOTS = tuple(Bar(-82 + 12 * i, -26 + 2.5 * i, -82 + 12 * i, 22 - 2 * i, 2.4) for i in range(5))
GRIP = Box(70, 18, 26, 7.5, 7)
TOP = 27.0
EDGE = 20.0
BOSSES = ((-96.0, -4.0), (-40.0, -46.0), (-30.0, 40.0), (40.0, -34.0), (98.0, 24.0))


def front(s: Sculptor) -> None:
    """Textured outside: domed, air slots, a polished grip, the joint edge all round."""
    s.solid(OUTLINE, TOP - 6, fillet=17.0, draft=1.6, parting=3.0, crown=6.0)
    s.recess(Rim(Grown(OUTLINE, -5), 0.7), 0.7, wall=0.8)
    s.recess(Box(-58, -4, 36, 33, 10), 0.9, wall=1.6)
    for slot in SLOTS:
        s.hole(slot, lead_in=1.2, wall=1.2)
    s.recess(GRIP, 1.4, wall=3.0)
    s.finish(GRIP, alpha=0.14, grain=0.04, soft=2.0)


def back(s: Sculptor) -> None:
    """Inside, seen mirrored: joint edge, five screw bosses, ribs, marks."""
    s.solid(FLIPPED, EDGE, fillet=0.6, draft=1.2)
    s.hollow(Grown(FLIPPED, -1.4), EDGE - 1.4, draft=0.4, fillet=0.0)
    s.hollow(Grown(FLIPPED, -2.8), 3.0, draft=3.0, fillet=2.0)
    inside = Grown(FLIPPED, -3.0)
    for u in (-58.0, -14.0, 36.0, 70.0):
        s.rib((u, -60), (u, 60), 7.0, within=inside)
    s.rib((-112, -4), (112, -4), 6.0, within=inside)
    for u, v in BOSSES:
        s.boss(-u, v, 4.6, EDGE - 1.5, core=1.9, floor=5.0)
        for i in range(4):
            a = math.radians(45 + 90 * i)
            tip = (-u + 9 * math.cos(a), v + 9 * math.sin(a))
            s.gusset((-u, v), tip, EDGE - 6, 4.0)
    for slot in SLOTS:
        s.hole(Bar(-slot.au, slot.av, -slot.bu, slot.bv, 2.4), lead_in=0.4, wall=0.8)
    s.stamp((">ABS<", "T-085"), 11, 22, 4.0)
    s.text("L" if not s.fields.view.pose.mirrored else "R", 11, -24, 9.0, relief=0.5)
    s.date_clock(-36, 14, 5.0, 4)
    for u, v in ((-76, 12), (52, -30), (-8, 44), (-36, -18), (90, 14)):
        s.pin_witness(u, v, 3.0)


FRONT_SITES = (
    Site("crown", "face", "A", 4, 2, TOP, radius=16),
    Site("lower left field", "face", "A", -60, -45, TOP - 2.5, radius=6),
    Site("upper field", "face", "A", -16, 34, TOP - 1.5, radius=9),
    Site("right field", "face", "A", 44, -16, TOP - 0.6, radius=10),
    Site("behind the slots", "weld", "A", -20, 2, TOP, angle=4, length=34),
    Site("opposite a screw boss", "boss", "A", -28, 38, TOP - 2, radius=8, length=0),
    Site("opposite a rib", "rib line", "A", 14, -6, TOP - 1, radius=5, length=40, angle=90),
    Site("flow from the gate", "flow", "A", 14, -20, TOP - 0.3, angle=10, length=60, radius=7),
    Site(
        "joint edge, right", "edge", "F", 112, 22, 3, angle=0, length=20, shape=OUTLINE, parting=3
    ),
    Site(
        "joint edge, lower",
        "edge",
        "F",
        -30,
        -60,
        3,
        angle=-90,
        length=40,
        shape=OUTLINE,
        parting=3,
    ),
    Site("handle end", "corner", "F", 108, 36, 8, angle=45, radius=12, shape=OUTLINE),
    Site(
        "slope below the crown",
        "wall",
        "A",
        -28,
        -53,
        12,
        angle=-90,
        length=44,
        radius=8,
        tilt_deg=40,
    ),
    Site(
        "slot end",
        "hole edge",
        "F",
        -58,
        20.4,
        TOP - 8,
        angle=-90,
        length=4.5,
        shape=SLOTS[2],
        parting=12,
    ),
    Site("opposite a pin", "pin", "A", 30, 18, TOP - 0.7, radius=3),
    Site("slot corner", "root", "A", -32, -18, TOP - 1.5, angle=-60, length=12, radius=6),
)

BACK_SITES = (
    Site("floor", "face", "C", 11, -12, 3, radius=6),
    Site("screw boss", "post", "F", 40, -46, EDGE - 1.5, radius=5.6, base=5.0),
    Site("boss root", "root", "F", 30, 34.5, 4, angle=0, length=9, radius=5),
    Site("joint edge", "edge", "F", 30, -60, 12, angle=-90, length=36, shape=FLIPPED, parting=12),
    Site("joint edge corner", "corner", "F", -108, 36, EDGE, angle=135, radius=10, shape=FLIPPED),
    Site("pin", "pin", "C", 52, -30, 3, radius=3),
)

KIND = PartKind(
    "vacuum_half",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP,
            gate=(14, -20),
            rest="A",
            zones=(("F", Rim(OUTLINE, 3)),),
        ),
        "back": Side(
            FLIPPED,
            back,
            BACK_SITES,
            tallest=EDGE,
            gate=(-14, -20),
            rest="C",
            zones=(("F", Rim(FLIPPED, 4)), *(("F", Disc(-u, v, 7)) for u, v in BOSSES)),
        ),
    },
    handed=True,
)
