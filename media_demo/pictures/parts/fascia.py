"""Control-panel fascia (washing machine): window, six keys, knob opening, gloss inlay."""

import math

from media_demo.pictures.kinds import PartKind, Side, Site
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bar, Box, Disc, Grown, Rim, Shape

OUTLINE = Box(0, 0, 116, 54, 11)
WINDOW = Box(-40, 12, 46, 20, 3)
INLAY = Box(-34, 13, 64, 29, 6)
KNOB = Disc(76, 6, 17)
KEYS = tuple(Box(-82 + 19 * i, -33, 6.6, 4.4, 2.2) for i in range(6))
LEGENDS = ("ECO", "COLD", "SPIN", "RINSE", "DELAY", "LOCK")
TOP = 8.0
BACK_FLOOR = 2.6


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
    for key, legend in zip(KEYS, LEGENDS, strict=True):
        s.print_text(legend, key.cu, key.cv - 9.2, 2.6)
    for i, words in enumerate(("20", "30", "40", "60", "90")):
        a = math.radians(210 - 60 * i)
        c, n = math.cos(a), math.sin(a)
        s.print_shape(
            Bar(KNOB.cu + 26.5 * c, KNOB.cv + 26.5 * n, KNOB.cu + 28.5 * c, KNOB.cv + 28.5 * n, 0.3)
        )
        s.print_text(words, KNOB.cu + 32 * c, KNOB.cv + 32 * n, 2.8)


def back(s: Sculptor) -> None:
    """The inside: skirt, ribs, bosses, clips, moulded marks. Seen mirrored left to right."""
    s.solid(OUTLINE, 9.0, fillet=0.5, draft=0.8)
    s.hollow(Grown(OUTLINE, -2.4), BACK_FLOOR, draft=0.6, fillet=0.6)
    window = Box(-WINDOW.cu, WINDOW.cv, WINDOW.half_u, WINDOW.half_v, WINDOW.radius)
    knob = Disc(-KNOB.cu, KNOB.cv, KNOB.radius)
    keys = [Box(-k.cu, k.cv, k.half_u, k.half_v, k.radius) for k in KEYS]
    s.rib((-111, -15), (111, -15), 6.2)
    s.rib((-30, -15), (-30, 50), 6.2)
    s.rib((102, -15), (102, 50), 5.4)
    s.ring(Grown(window, 1.8), 7.6)
    s.ring(Grown(knob, 2.2), 8.6, width=1.8)
    for key in keys:
        s.ring(Grown(key, 1.4), 4.8, width=1.0)
    openings: tuple[Shape, ...] = (window, knob, *keys)
    for opening in openings:
        s.hole(opening, lead_in=0.4, wall=0.6)
    for u, v in ((104, 43), (-104, 43), (104, -43), (-104, -43)):
        s.boss(u, v, 3.8, 10.4, core=1.5, floor=3.0)
        s.gusset((u - math.copysign(3.5, u), v), (u - math.copysign(9, u), v), 9.0, 3.2)
    for u in (-75, -25, 25, 75):
        s.clip(u, 50.3, 90, 11)
        s.clip(u, -50.3, -90, 11)
    for v in (-22, 22):
        s.clip(112.3, v, 0, 11)
        s.clip(-112.3, v, 180, 11)
    s.stamp((">ABS<", "T-041 CAV 1"), -38, -24.5, 3.4)
    s.date_clock(-92, -31, 5.2, 7)
    s.date_clock(-78, -31, 5.2, 3)
    for u, v in ((-20, 36), (-96, -2), (60, -23), (108, 8), (8, -46), (-52, -46)):
        s.pin_witness(u, v, 2.5)


FRONT_SITES = (
    Site("right lower field", "face", "A", 42, -40, TOP, radius=11),
    Site("right upper field", "face", "A", 42, 44, TOP, radius=8),
    Site("lower right corner field", "face", "A", 96, -38, TOP, radius=11),
    Site("upper left field", "face", "A", -105, 30, TOP, radius=5),
    Site("beside the window", "gloss face", "A", 18, 12, TOP - 0.4, radius=10),
    Site("below the window", "gloss face", "A", -60, -11.8, TOP - 0.4, radius=3.5),
    Site("behind the window", "weld", "A", -8, 32.9, TOP - 0.4, angle=88, length=20),
    Site("below the knob opening", "weld", "A", 76, -18.5, TOP, angle=-92, length=28),
    Site("opposite the upper right boss", "boss", "A", 92, 42, TOP, radius=6, length=0),
    Site("opposite the lower right boss", "boss", "A", 92, -43, TOP, radius=6, length=0),
    Site("opposite the lower rib", "rib line", "A", 40, -18.6, TOP - 0.4, radius=4, length=10),
    Site("right lower corner", "corner", "B", 112, -50, 6, radius=14, angle=-45, shape=OUTLINE),
    Site("left upper corner", "corner", "B", -112, 50, 6, radius=14, angle=135, shape=OUTLINE),
    Site("lower edge", "edge", "B", 30, -54, 2.4, angle=-90, length=44, shape=OUTLINE, parting=2.4),
    Site(
        "left edge", "edge", "B", -116, -10, 2.4, angle=180, length=36, shape=OUTLINE, parting=2.4
    ),
    Site(
        "key opening 3",
        "hole edge",
        "F",
        -44,
        -28.6,
        5.4,
        angle=-90,
        length=10,
        shape=KEYS[2],
        parting=5.4,
    ),
    Site("knob opening", "hole edge", "F", 76, 23, 6, angle=-90, length=20, shape=KNOB, parting=6),
    Site(
        "window frame",
        "hole edge",
        "F",
        -50,
        32,
        5.5,
        angle=-90,
        length=24,
        shape=WINDOW,
        parting=5.5,
    ),
    Site("gate", "gate", "B", 113.4, -24, TOP - 0.9, angle=185, length=60, radius=6),
    Site("flow from the gate", "flow", "A", 103, -24, TOP, angle=185, length=60, radius=6),
    Site("opposite the pin by the knob", "pin", "A", 34, -40, TOP, radius=3),
    Site("window corner", "root", "A", 6, -8, TOP - 0.4, angle=-40, length=14, radius=6),
    Site("lower wall", "wall", "B", -40, -54.4, 4, angle=-90, length=40, radius=6, tilt_deg=52),
)

BACK_SITES = (
    Site("floor beside the window", "face", "C", 74, -25, BACK_FLOOR, radius=4),
    Site("floor by the knob", "face", "C", -60, 38, BACK_FLOOR, radius=9),
    Site("clip, upper", "post", "F", 25, 51, 11, radius=4.5, base=BACK_FLOOR),
    Site("clip, lower", "post", "F", -25, -51, 11, radius=4.5, base=BACK_FLOOR),
    Site("clip root", "root", "F", 75, 49, BACK_FLOOR + 1, angle=0, length=6, radius=4),
    Site("boss root", "root", "F", -104, 38, BACK_FLOOR, angle=-90, length=8, radius=5),
    Site("pin by the rib", "pin", "C", 60, -23, BACK_FLOOR, radius=2.5),
    Site("pin at the lower edge", "pin", "C", 8, -46, BACK_FLOOR, radius=2.5),
    Site(
        "rib end",
        "tip",
        "C",
        -30,
        49,
        6.2,
        radius=5,
        angle=90,
        shape=Bar(-30, -10, -30, 50, 0.6),
        base=BACK_FLOOR,
    ),
    Site(
        "knob seat",
        "hole edge",
        "F",
        -76,
        23,
        4,
        angle=-90,
        length=20,
        shape=Disc(-KNOB.cu, KNOB.cv, KNOB.radius),
        parting=4,
    ),
)

KIND = PartKind(
    "fascia",
    {
        "front": Side(
            OUTLINE,
            front,
            FRONT_SITES,
            tallest=9.6,
            gate=(108, -24),
            rest="B",
            zones=(("A", Grown(OUTLINE, -4)),),
        ),
        "back": Side(
            OUTLINE,
            back,
            BACK_SITES,
            tallest=11,
            gate=(-108, -24),
            rest="C",
            zones=(("F", Rim(OUTLINE, 7)),),
        ),
    },
)
