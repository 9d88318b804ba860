"""Microwave latch hook: pivot hole, spring seat, hook nose. One side shows everything."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Box, Disc, Grown, Joined, Polygon

ARM = Polygon(
    (
        (-22, -11),
        (4, -9),
        (16, -3),
        (24, 3),
        (25, 12),
        (17.5, 12.5),
        (17, 6.5),
        (10, 1.5),
        (-2, -1),
        (-9, 4),
        (-20, 3),
    ),
    1.6,
)
PIVOT_PAD = Disc(-9, -4, 8.4)
OUTLINE = Joined(ARM, PIVOT_PAD, 1.5)
PIVOT = Disc(-9, -4, 3.1)
SEAT = Box(-19.5, -4.5, 2.6, 3.4, 0.8)
TOP = 6.0


def front(s: Sculptor) -> None:
    """The whole part as it lies."""
    s.finish(OUTLINE, alpha=0.28, grain=0.3, soft=2.0)
    s.solid(ARM, TOP, fillet=0.8, draft=0.7, parting=3.0)
    s.solid(PIVOT_PAD, TOP + 1.0, fillet=0.6, draft=0.7)
    s.recess(
        Polygon(
            ((-14, 1.2), (-3, -2.6), (8, -0.6), (15, 4.5), (13, 1.5), (3, -6.0), (-2, -7)), 0.2
        ),
        1.6,
        wall=0.6,
    )
    s.hole(PIVOT, lead_in=0.5, wall=0.5)
    s.well(SEAT, 2.4, wall=0.5)
    s.solid(Disc(-19.5, -4.5, 1.1), 5.0, fillet=0.4, draft=0.3)
    s.text("POM", 6.2, -5.4, 1.7, relief=0.2, angle=27)
    s.text("6", -15.5, 1.2, 1.7, relief=0.2)
    s.pin_witness(20.8, 6.5, 1.3, height=-0.05)
    s.pin_witness(-20, -9.3, 1.0, height=-0.05)


SITES = (
    Site("hook nose", "tip", "F", 17.6, 13.4, TOP, angle=118, radius=4),
    Site("hook tip", "corner", "F", 25, 13, TOP, angle=60, radius=4, shape=OUTLINE),
    Site("arm end", "tip", "C", -23, -10, TOP, angle=215, radius=4),
    Site("hook face", "edge", "F", 17.2, 9.5, 3, angle=183, length=5, shape=ARM, parting=3),
    Site("arm, lower edge", "edge", "C", 10, -7.5, 3, angle=-63, length=10, shape=ARM, parting=3),
    Site("pivot hole", "hole edge", "F", -9, -0.9, 3, angle=-90, length=5, shape=PIVOT, parting=3),
    Site("arm", "face", "C", 19, 2.5, TOP, radius=2.6),
    Site("pivot pad", "face", "C", -4.2, -7.2, TOP + 1, radius=1.8),
    Site("pin in the hook", "pin", "C", 20.8, 6.5, TOP, radius=1.3),
    Site("hook root", "root", "F", 14.5, 3.6, TOP, angle=120, length=5, radius=3),
    Site("pivot root", "root", "F", -1.2, -4, TOP, angle=80, length=5, radius=3),
    Site("gate", "gate", "C", -22.5, 0, 3, angle=0, length=12, radius=2.5),
)

KIND = PartKind(
    "latch_hook",
    {
        "front": Side(
            OUTLINE,
            front,
            SITES,
            tallest=TOP + 1,
            gate=(-22.5, 0),
            rest="C",
            zones=(
                ("F", Polygon(((14, 3), (27, 3), (27, 16), (14, 16)))),
                ("F", Grown(PIVOT, 2)),
                ("F", Grown(SEAT, 1)),
            ),
        ),
    },
)
