"""Dryer door hinge cover, handed: hinge bore and notch at the top left of a left part."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Joined, Rim, Without

BODY = Joined(Box(0, -3, 48, 26, 10), Box(-20, 10, 27, 19, 12), 6)
NOTCH = Box(-40, 27, 9, 7, 2)
OUTLINE = Without(BODY, NOTCH, 1.5)
BORE = Disc(-21, 12, 8)
TOP = 12.0
HOOKS = ((20, -24.6, -90.0), (-26, -24.6, -90.0), (44.8, -2, 0.0))


def front(s: Sculptor) -> None:
    """Outside face: soft edges, a raised collar round the bore, a screw-cap recess."""
    s.solid(OUTLINE, TOP, fillet=5.5, draft=0.9, parting=3.0, crown=0.8)
    s.solid(Rim(BORE, 2.4), TOP + 1.4, fillet=1.0, draft=0.6)
    s.hole(BORE, lead_in=0.7, wall=0.9)
    cap = Disc(26, -4, 6.5)
    s.recess(cap, 1.2, wall=0.8)
    s.recess(Box(26, -4, 2.6, 0.5, 0.3, 30), 0.7, wall=0.4)
    s.recess(Box(8, -20, 22, 0.6, 0.5), 0.45, wall=0.5)


def back(s: Sculptor) -> None:
    """Inside, seen mirrored: hooks, bore tube, ribs, marks of tool and hand."""
    flipped = _flipped()
    s.solid(flipped, TOP, fillet=0.5, draft=0.8)
    s.hollow(Grown(flipped, -2.2), 2.4, draft=0.7, fillet=0.6)
    tube = Disc(-BORE.cu, BORE.cv, BORE.radius)
    s.solid(Grown(tube, 2.2), 11.0, fillet=0.4, draft=0.6)
    s.hole(tube, lead_in=0.5, wall=0.5)
    s.rib((-6, -26), (-6, 20), 7.0)
    s.rib((-44, -10), (44, -10), 6.0)
    s.rib((21, 1.5), (21, -10), 7.0)
    s.boss(-26, -4, 3.6, 8.6, core=1.4, floor=2.6)
    for u, v, angle in HOOKS:
        s.clip(-u, v, 180 - angle, 14.5, width=7)
    s.stamp((">PP-TD20<", "T-052 CAV 2"), -25, 10, 2.6)
    s.text("L" if not s.fields.view.pose.mirrored else "R", 8, -18.5, 6.0, relief=0.5)
    s.date_clock(28, -18.5, 4.2, 5)
    for u, v in ((8, -4.5), (-36, 4), (34, -4), (-14, -18), (3, 16)):
        s.pin_witness(u, v, 2.0)


def _flipped() -> Without:
    body = Joined(Box(0, -3, 48, 26, 10), Box(20, 10, 27, 19, 12), 6)
    return Without(body, Box(40, 27, 9, 7, 2), 1.5)


FRONT_SITES = (
    Site("middle of the face", "face", "B", 10, 6, TOP + 0.6, radius=12),
    Site("lower left field", "face", "B", -28, -12, TOP + 0.4, radius=9),
    Site("hinge bore", "hole edge", "F", -21, 20, 8, angle=-90, length=13, shape=BORE, parting=8),
    Site("right edge", "edge", "B", 48, -6, 3, angle=0, length=22, shape=OUTLINE, parting=3),
    Site("lower edge", "edge", "B", 4, -29, 3, angle=-90, length=34, shape=OUTLINE, parting=3),
    Site("lower right corner", "corner", "B", 45, -26, 6, angle=-45, radius=9, shape=OUTLINE),
    Site("gate", "gate", "B", 46, 10, 11.2, angle=180, length=40, radius=5),
    Site("beside the bore", "weld", "B", -12, 13, TOP + 0.5, angle=-4, length=34),
    Site("over the screw boss", "boss", "B", 10, 12, TOP + 0.6, radius=5, length=0),
    Site("opposite the rib", "rib line", "B", 6, -12, TOP + 0.5, radius=4, length=26, angle=0),
    Site("opposite the pin", "pin", "B", -6, -6, TOP + 0.6, radius=2.5),
    Site("bore collar root", "root", "F", -21, 1.2, TOP, angle=0, length=10, radius=5),
    Site("lower wall", "wall", "B", -10, -29.4, 5, angle=-90, length=30, radius=6, tilt_deg=52),
)

BACK_SITES = (
    Site("floor", "face", "C", -24, 14, 2.4, radius=5),
    Site("floor right", "face", "C", 36, 8, 2.4, radius=4),
    Site("hook tip, lower right", "post", "F", 26, -25, 14.5, radius=4.8, base=2.4),
    Site("hook tip, lower left", "post", "F", -20, -25, 14.5, radius=4.8, base=2.4),
    Site("hook root", "root", "F", -20, -22.6, 3.2, angle=0, length=8, radius=4),
    Site("pin in the floor", "pin", "C", -36, 4, 2.4, radius=2.0),
    Site("pin by the bore", "pin", "C", 8, -4.5, 2.4, radius=2.0),
    Site(
        "bore tube",
        "hole edge",
        "F",
        21,
        20,
        8,
        angle=-90,
        length=13,
        shape=Disc(21, 12, 8),
        parting=8,
    ),
    Site(
        "rib end",
        "tip",
        "C",
        -6,
        19,
        7,
        angle=90,
        radius=4,
        shape=Bar(-6, -8, -6, 20, 0.6),
        base=2.4,
    ),
)

KIND = PartKind(
    "hinge_cover",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP + 2.3,
            gate=(46, 10),
            rest="B",
            zones=(("F", Grown(BORE, 4)),),
        ),
        "back": Side(
            _flipped(),
            back,
            BACK_SITES,
            tallest=14.5,
            gate=(-46, 10),
            rest="C",
            zones=(("F", Disc(21, 12, 12)), ("F", Rim(_flipped(), 4))),
        ),
    },
    handed=True,
)
