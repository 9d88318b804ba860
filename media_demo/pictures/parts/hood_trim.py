"""Range-hood side trim, handed, high gloss: the lamp cut-out of a left part is on the left."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Grown

OUTLINE = Box(0, 0, 118, 38, 7)
CUTOUT = Box(-34, 16, 34, 9, 6)
TOP = 11.0


def front(s: Sculptor) -> None:
    """Show face: polished, a soft break line along its length."""
    s.solid(OUTLINE, TOP, fillet=5.0, draft=1.0, parting=2.6, crown=1.2)
    s.peel(OUTLINE, slope=3e-4)
    s.recess(Box(0, -24, 140, 14, 1), 1.1, wall=9.0)
    s.hole(CUTOUT, lead_in=1.3, wall=1.0)


def back(s: Sculptor) -> None:
    """Inside, seen mirrored: the clip row, ribs, marks; not polished."""
    s.solid(OUTLINE, TOP, fillet=0.5, draft=0.8)
    s.hollow(Grown(OUTLINE, -2.4), 2.6, draft=0.7, fillet=0.6)
    s.finish(Grown(OUTLINE, -2.4), alpha=0.3, grain=0.25, soft=0.4)
    cutout = Box(-CUTOUT.cu, CUTOUT.cv, CUTOUT.half_u, CUTOUT.half_v, CUTOUT.radius)
    s.solid(Grown(cutout, 2.0), 8.0, fillet=0.4, draft=0.5)
    s.hole(cutout, lead_in=0.4, wall=0.5)
    for u in (-96, -48, 0, 48, 96):
        s.rib((u, -35), (u, 0), 6.0)
        s.clip(u + 8, -33.5, -90, 14, width=8)
    s.rib((-114, 0), (114, 0), 6.0)
    for u in (-100, -60, -20):
        s.boss(u, 20, 3.6, 8.5, core=1.5, floor=2.8)
    s.stamp((">ABS<", "T-071"), -80, 30, 3.0)
    s.text("L" if not s.fields.view.pose.mirrored else "R", -40, 20, 7.0, relief=0.5)
    s.date_clock(-60, 8, 4.4, 2)
    for u in (-72, -24, 24, 72):
        s.pin_witness(u, -14, 2.4)


FRONT_SITES = (
    Site("right field", "gloss face", "A", 60, 12, TOP + 0.6, radius=16),
    Site("middle field", "gloss face", "A", 18, -2, TOP + 0.9, radius=10),
    Site("left field", "gloss face", "A", -92, 8, TOP + 0.8, radius=12),
    Site("bottom band", "gloss face", "A", 30, -26, TOP - 0.2, radius=7),
    Site("near the cut-out", "weld", "A", 0.5, 19, TOP + 0.8, angle=4, length=34),
    Site("opposite a clip", "boss", "A", 56, -20, TOP, radius=7, length=0),
    Site("opposite a rib", "rib line", "A", 48, -4, TOP + 0.5, radius=4, length=24, angle=90),
    Site("flow from the gate", "flow", "A", 108, 6, TOP + 0.6, angle=180, length=80, radius=7),
    Site(
        "cut-out edge", "hole edge", "F", -34, 25, 6, angle=-90, length=26, shape=CUTOUT, parting=6
    ),
    Site("lower edge", "edge", "A", 20, -38, 2.6, angle=-90, length=60, shape=OUTLINE, parting=2.6),
    Site("left corner", "corner", "A", -114, -34, 5, angle=-135, radius=9, shape=OUTLINE),
    Site("cut-out corner", "root", "A", 0, 8, TOP + 0.7, angle=-30, length=14, radius=6),
    Site("upper wall", "wall", "B", 20, -38.4, 5, angle=-90, length=60, radius=6, tilt_deg=52),
    Site("opposite a pin", "pin", "A", 24, -10, TOP + 0.5, radius=2.6),
)

BACK_SITES = (
    Site("floor", "face", "C", 72, -18, 2.6, radius=8),
    Site("clip tip", "post", "F", 56, -34, 14, radius=5, base=2.6),
    Site("clip root", "root", "F", 8, -31, 3.4, angle=0, length=8, radius=4),
    Site("pin", "pin", "C", 24, -14, 2.6, radius=2.4),
    Site(
        "rib end",
        "tip",
        "C",
        -96,
        -34.5,
        6,
        angle=-90,
        radius=4,
        shape=Bar(-96, -35, -96, -3, 0.6),
        base=2.6,
    ),
)

KIND = PartKind(
    "hood_trim",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP + 1.3,
            gate=(112, 6),
            rest="A",
            zones=(("B", Box(0, 37, 118, 3, 1)),),
        ),
        "back": Side(
            OUTLINE,
            back,
            BACK_SITES,
            tallest=14,
            gate=(-112, 6),
            rest="C",
            zones=(("F", Box(0, -33, 116, 6, 1)),),
        ),
    },
    handed=True,
)
