"""Detergent-drawer lid with two brass spring inserts, hinge pins and a seal rim."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Joined, Rim

PLATE = Box(0, -3, 52, 34, 7)
PINS = Joined(Bar(-48, 34, -34, 34, 3.0), Bar(34, 34, 48, 34, 3.0))
OUTLINE = Joined(PLATE, PINS, 1.0)
INSERTS = ((-27.0, 0.0), (27.0, 0.0))
TOP = 7.0


def front(s: Sculptor) -> None:
    """Outside: finger grip, arrow, soft edge."""
    s.solid(PINS, 5.0, fillet=2.2, draft=0.6)
    s.solid(PLATE, TOP, fillet=3.0, draft=0.8, parting=2.4, crown=0.5)
    s.recess(Box(0, -24, 22, 6, 6), 1.8, wall=2.4)
    for u in (-10, -5, 0, 5, 10):
        s.solid(Bar(u, -27.5, u, -20.5, 0.5), TOP - 0.5, fillet=0.4, draft=0.5)
    s.recess(Rim(Grown(PLATE, -7), 0.5), 0.35, wall=0.5)
    s.text("MAX", -30, 14, 3.4, relief=-0.3)
    s.text("45 ml", 30, 14, 3.4, relief=-0.3)


def back(s: Sculptor) -> None:
    """Inside: seal rim, ribs, boss of each insert, marks."""
    s.solid(PINS, 8.0, fillet=2.6, draft=0.6)
    s.solid(PLATE, TOP, fillet=0.6, draft=0.8)
    s.hollow(Grown(PLATE, -2.0), 2.4, draft=0.6)
    s.solid(Rim(Grown(PLATE, -6.5), 1.0), 8.2, fillet=0.9, draft=0.5)
    s.rib((-43, -22), (43, -22), 5.0)
    s.rib((0, -22), (0, 22), 5.0)
    for u, v in INSERTS:
        s.solid(Disc(u, v, 6.4), 7.0, fillet=0.5, draft=0.6)
        for du, dv in ((9.5, 0), (-9.5, 0), (0, 9.5), (0, -9.5)):
            s.gusset((u, v), (u + du, v + dv), 6.6, 2.6)
        s.insert(u, v, 4.2, 7.0)
    s.stamp((">PP-TD20<", "T-063 CAV 1"), 0.5 - 14, 17.0, 2.4)
    s.date_clock(12, 15.5, 3.6, 6)
    for u, v in ((-38, -10), (38, -10), (-14, -14), (14, -14), (38, 15), (-38, 15)):
        s.pin_witness(u, v, 2.0)


FRONT_SITES = (
    Site("upper middle", "face", "B", 0, 8, TOP + 0.4, radius=13),
    Site("left field", "face", "B", -32, -8, TOP + 0.3, radius=8),
    Site("right field", "face", "B", 33, -6, TOP + 0.3, radius=8),
    Site("over insert 1", "boss", "B", -27, 2, TOP + 0.3, radius=6, length=0),
    Site("over insert 2", "boss", "B", 27, 2, TOP + 0.3, radius=6, length=0),
    Site("hinge pin left", "tip", "F", -47, 34, 5, angle=180, radius=5),
    Site("hinge pin right", "tip", "F", 47, 34, 5, angle=0, radius=5),
    Site("hinge pin root", "root", "F", 36, 30.5, 5.6, angle=0, length=9, radius=4),
    Site("lower edge", "edge", "F", 0, -37, 2.4, angle=-90, length=44, shape=PLATE, parting=2.4),
    Site("right edge", "edge", "F", 52, -4, 2.4, angle=0, length=26, shape=PLATE, parting=2.4),
    Site("lower left corner", "corner", "F", -49, -34, 4, angle=-135, radius=8, shape=PLATE),
    Site("flow from the gate", "flow", "B", 0, 24, TOP, angle=-90, length=34, radius=5),
)

BACK_SITES = (
    Site("floor left", "face", "C", -36, 12, 2.4, radius=5),
    Site("floor right", "face", "C", 14, -10, 2.4, radius=5),
    Site(
        "seal rim",
        "edge",
        "F",
        0,
        -30.5,
        8.2,
        angle=-90,
        length=40,
        shape=Grown(PLATE, -5.5),
        parting=4.5,
    ),
    Site("rim corner", "corner", "F", 44, -29, 8.2, angle=-45, radius=7, shape=Grown(PLATE, -5.5)),
    Site("insert boss root", "root", "F", -27, -6.8, 2.6, angle=0, length=8, radius=4),
    Site("hinge pin root", "root", "F", -36, 30.5, 6, angle=0, length=8, radius=4),
    Site("rim, opposite a rib", "rib line", "F", 0, 25, 8.2, radius=3, length=10, angle=0),
    Site("pin", "pin", "C", 14, -14, 2.4, radius=2.0),
)

KIND = PartKind(
    "detergent_lid",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=TOP + 0.6,
            gate=(0, 24),
            rest="B",
            zones=(("F", Grown(PINS, 2)), ("F", Rim(PLATE, 2.5))),
        ),
        "back": Side(
            OUTLINE,
            back,
            BACK_SITES,
            tallest=8.2,
            gate=(0, 24),
            rest="C",
            zones=(
                ("F", Grown(PINS, 2)),
                ("F", Rim(Grown(PLATE, -6.5), 2)),
                *(("F", Disc(u, v, 7)) for u, v in INSERTS),
            ),
        ),
    },
)
