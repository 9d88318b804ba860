"""Microwave latch lever: two pivots, a push pad, a stiffening web."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Box, Disc, Grown, Joined, Polygon

ARM = Polygon(
    ((-24, -4), (-10, -6.5), (14, -5), (24, 1), (23, 7), (12, 2.5), (-8, 1.5), (-22, 5)), 1.5
)
PAD = Box(21, 4.5, 6.5, 7, 2.0, 25)
PIVOT_PAD = Disc(-9, -2.5, 6.8)
OUTLINE = Joined(Joined(ARM, PAD, 1.5), PIVOT_PAD, 1.5)
PIVOT = Disc(-9, -2.5, 2.6)
TOP = 5.0


def front(s: Sculptor) -> None:
    """The whole part as it lies."""
    s.finish(OUTLINE, alpha=0.28, grain=0.3, soft=2.0)
    s.solid(ARM, TOP, fillet=0.6, draft=0.7, parting=2.5)
    s.solid(PAD, TOP + 1.6, fillet=1.2, draft=0.8)
    s.solid(PIVOT_PAD, TOP + 1.0, fillet=0.5, draft=0.7)
    for i in range(4):
        s.recess(Box(18.2 + 1.9 * i, 3.2 + 0.85 * i, 0.35, 4.4, 0.3, 25), 0.5, wall=0.4)
    s.recess(
        Polygon(((-0.5, -3.6), (11, -3.2), (14, -0.8), (10, 0.4), (-1, -0.2)), 0.3), 2.4, wall=0.6
    )
    s.hole(PIVOT, lead_in=0.5, wall=0.5)
    s.boss(-21, 0, 2.6, TOP + 2.2, core=1.1, floor=2.0)
    s.text("POM", -15.2, 1.2, 1.4, relief=0.2, angle=-8)
    s.pin_witness(-16, -3.2, 1.2, height=-0.05)


SITES = (
    Site("pad corner", "corner", "F", 25, 12, TOP, angle=65, radius=4, shape=OUTLINE),
    Site("arm end", "tip", "F", -24.5, -4.5, TOP, angle=190, radius=4),
    Site("pad edge", "edge", "F", 27, 7, 2.5, angle=25, length=7, shape=PAD, parting=2.5),
    Site(
        "arm, lower edge", "edge", "C", 2, -7.4, 2.5, angle=-88, length=12, shape=ARM, parting=2.5
    ),
    Site("pivot hole", "hole edge", "F", -9, 0.1, 3, angle=-90, length=4, shape=PIVOT, parting=3),
    Site("pivot pad", "face", "C", -4.8, -5.2, TOP + 1, radius=1.3),
    Site("arm", "face", "C", -17, -1.2, TOP, radius=2.0),
    Site("pin", "pin", "C", -16, -3.2, TOP, radius=1.2),
    Site("pad root", "root", "F", 14.4, 0.4, TOP, angle=100, length=5, radius=3),
    Site("flow into the pad", "flow", "F", 17, 3.5, TOP + 1.6, angle=25, length=9, radius=2.5),
    Site("gate", "gate", "C", 4, -6.2, TOP, angle=90, length=8, radius=2.5),
)

KIND = PartKind(
    "latch_lever",
    {
        "front": Side(
            OUTLINE,
            front,
            SITES,
            tallest=TOP + 2.2,
            gate=(4, -6.2),
            rest="C",
            zones=(("F", Grown(PIVOT, 2)), ("F", Grown(PAD, 1))),
        ),
    },
)
