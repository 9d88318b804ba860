"""Fridge door-shelf end cap, handed: the rail of a left part opens to the right."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Grown, Joined, Rim, Shared

OUTLINE = Shared(
    Joined(Box(-8, 0, 50, 44, 24), Box(20, -14, 40, 30, 6), 4), Box(0, 0, 60, 44, 2), 3
)
TOP = 14.0
FACE = Grown(OUTLINE, -7)
RAIL = Box(12, -6, 52, 5.2, 5.0)


def front(s: Sculptor) -> None:
    """Outer face: raised rim, smooth dished field, the outline of the rail."""
    s.solid(OUTLINE, TOP, fillet=4.5, draft=0.9, parting=3.0)
    s.recess(FACE, 1.8, wall=5.0)
    s.solid(Rim(RAIL, 1.1), TOP + 0.4, fillet=0.9, draft=0.8)
    s.hollow(Grown(RAIL, -1.1), 7.5, draft=0.8, fillet=0.6)
    s.hollow(Box(60, -6, 9, 4.1, 0.6), 7.5, draft=0.6, fillet=0.0)


def back(s: Sculptor) -> None:
    """Inside, seen mirrored: ribs, snap, rail tube, marks."""
    flipped = _flipped()
    s.solid(flipped, TOP, fillet=0.5, draft=0.8)
    s.hollow(Grown(flipped, -2.2), 2.2, draft=0.7, fillet=0.6)
    s.solid(Rim(Box(-12, -6, 52, 5.2, 5.0), 1.1), 10.0, fillet=0.4, draft=0.5)
    for u in (-34, -10, 14):
        s.rib((u, 0.5), (u, 40), 6.5)
        s.rib((u, -13), (u, -42), 6.5)
    s.rib((-56, 14), (54, 14), 5.5)
    s.clip(6, 40.5, 90, 16, width=9)
    s.clip(6, -40.5, -90, 16, width=9)
    s.boss(44, 20, 3.4, 8.0, core=1.4, floor=2.4)
    s.boss(44, -24, 3.4, 8.0, core=1.4, floor=2.4)
    s.stamp((">PS-HI<", "T-047"), -21.5, 28, 2.5)
    s.text("L" if not s.fields.view.pose.mirrored else "R", 26, 27, 6.5, relief=0.5)
    s.date_clock(3, 27, 4.4, 9)
    for u, v in ((-46, -26), (26, -28), (-22, -28), (4, -28), (50, 2)):
        s.pin_witness(u, v, 2.2)


def _flipped() -> Shared:
    body = Joined(Box(8, 0, 50, 44, 24), Box(-20, -14, 40, 30, 6), 4)
    return Shared(body, Box(0, 0, 60, 44, 2), 3)


FRONT_SITES = (
    Site("upper field", "face", "A", -4, 20, TOP - 1.8, radius=13),
    Site("lower field", "face", "A", 4, -25, TOP - 1.8, radius=10),
    Site("left field", "face", "A", -49, 2, TOP - 1.6, radius=4),
    Site("opposite the rail", "rib line", "A", -6, 5, TOP - 1.8, radius=4, length=50, angle=0),
    Site("over a boss", "boss", "A", -30, 22, TOP - 1.8, radius=6, length=0),
    Site("rail end", "tip", "F", -39, -6, TOP, angle=180, radius=6),
    Site(
        "rail edge",
        "hole edge",
        "F",
        6,
        -2,
        11,
        angle=-90,
        length=26,
        shape=Grown(RAIL, -1.1),
        parting=11,
    ),
    Site("below the rail", "weld", "A", -22, -13, TOP - 1.8, angle=-80, length=22),
    Site("right lower corner", "corner", "B", 57, -40, 6, angle=-45, radius=9, shape=OUTLINE),
    Site("lower edge", "edge", "B", 0, -44, 3, angle=-90, length=40, shape=OUTLINE, parting=3),
    Site("upper edge", "edge", "B", -8, 44, 3, angle=90, length=30, shape=OUTLINE, parting=3),
    Site("gate", "gate", "B", 56, 10, 13.8, angle=180, length=45, radius=5),
    Site("rail corner", "root", "F", -36, -1, TOP - 1.5, angle=45, length=9, radius=5),
    Site("opposite the pin", "pin", "A", 22, -28, TOP - 1.8, radius=2.5),
)

BACK_SITES = (
    Site("floor", "face", "C", -22, 22, 2.2, radius=5),
    Site("lower floor", "face", "C", 26, -34, 2.2, radius=6),
    Site("snap tip", "post", "F", 6, 41, 16, radius=5.5, base=2.2),
    Site("snap root", "root", "F", 6, -38, 3, angle=0, length=9, radius=4),
    Site("pin", "pin", "C", 26, -28, 2.2, radius=2.2),
    Site(
        "rib end",
        "tip",
        "C",
        -34,
        39.5,
        6.5,
        angle=90,
        radius=4,
        shape=Bar(-34, 16, -34, 40, 0.6),
        base=2.2,
    ),
    Site(
        "rail tube",
        "hole edge",
        "F",
        -10,
        -2,
        6,
        angle=-90,
        length=24,
        shape=Box(-12, -6, 50.9, 4.1, 4.0),
        parting=6,
    ),
)

KIND = PartKind(
    "shelf_end_cap",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP + 0.5,
            gate=(56, 10),
            rest="B",
            zones=(("F", Grown(RAIL, 2)), ("A", Grown(OUTLINE, -5))),
        ),
        "back": Side(
            _flipped(),
            back,
            BACK_SITES,
            tallest=16,
            gate=(-56, 10),
            rest="C",
            zones=(("F", Box(-12, -6, 55, 8, 5)), ("F", Bar(6, 42, 6, 36, 6))),
        ),
    },
    handed=True,
)
