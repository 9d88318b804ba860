"""Control-panel fascia: display window, six keys, knob opening, gloss inlay."""

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Box, Disc, Rim

OUTLINE = Box(0, 0, 116, 54, 11)
WINDOW = Box(-40, 12, 46, 20, 3)
INLAY = Box(-34, 12, 62, 28, 6)
KNOB = Disc(76, 4, 17)
KEYS = tuple(Box(-82 + 19 * i, -33, 6.6, 4.4, 2.2) for i in range(6))
TOP = 8.0


def front(s: Sculptor) -> None:
    """The show face."""
    s.solid(OUTLINE, TOP, fillet=4.0, draft=0.9, parting=2.4)
    s.recess(INLAY, 0.4, wall=1.1)
    s.finish(INLAY, alpha=0.075, grain=0.015)
    s.peel(INLAY)
    s.solid(Rim(Disc(KNOB.cu, KNOB.cv, 22.5), 2.2), 9.6, fillet=1.6, draft=0.5)
    for key in KEYS:
        s.hole(key)
    s.hole(KNOB)
    s.hole(WINDOW)


FRONT_SITES = (
    Site("right field", "face", "A", 40, -36, TOP, radius=13),
    Site("upper right field", "face", "A", 44, 40, TOP, radius=10),
    Site("lower right corner", "face", "A", 98, -36, TOP, radius=12),
    Site("upper left field", "face", "A", -85, 44, TOP, radius=6),
    Site("beside the window", "gloss face", "A", 17, 12, TOP - 0.4, radius=9),
    Site("above the window", "gloss face", "A", -40, 36, TOP - 0.4, radius=3.5),
    Site("behind the window", "weld", "A", 6, 16, TOP - 0.4, angle=3, length=20),
    Site("below the knob opening", "weld", "A", 76, -18.5, TOP, angle=-90, length=28),
    Site("opposite a rear boss", "boss", "A", 17, 14, TOP - 0.4, radius=6, length=0),
    Site("opposite the lower rib", "rib line", "A", 46, -16, TOP, radius=5, length=16, angle=0),
    Site("right lower corner", "corner", "B", 112, -50, TOP, radius=14, angle=-45, shape=OUTLINE),
    Site("left lower corner", "corner", "B", -112, -50, TOP, radius=14, angle=-135, shape=OUTLINE),
    Site("lower edge", "edge", "B", 40, -54, TOP, angle=-90, length=60, shape=OUTLINE, parting=2.4),
    Site(
        "key opening 3",
        "hole edge",
        "F",
        -44,
        -28.6,
        TOP,
        angle=-90,
        length=11,
        shape=KEYS[2],
        parting=5.4,
    ),
    Site(
        "knob opening", "hole edge", "F", 76, 21, TOP, angle=-90, length=22, shape=KNOB, parting=6.0
    ),
    Site("gate", "gate", "B", 110, -30, TOP, angle=180, length=60, radius=6),
)

KIND = PartKind(
    "fascia",
    {"front": Side(OUTLINE, front, FRONT_SITES, tallest=9.6, gate=(110, -30))},
)
