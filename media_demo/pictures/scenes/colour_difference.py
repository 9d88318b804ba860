"""The CIEDE2000 colour difference, beside the plain CIELAB distance that limits are in.

Formula of CIE 142-2001 as written out by Sharma, Wu and Dalal, Color Research and
Application 30 (2005); the tests use pairs of their table.
"""

import math
from typing import TypeAlias

Lab: TypeAlias = tuple[float, float, float]


def ciede2000(first: Lab, second: Lab) -> float:
    """The difference of two CIELAB colours (kL = kC = kH = 1)."""
    (L1, _, _), (L2, _, _) = first, second
    mean = (math.hypot(*first[1:]) + math.hypot(*second[1:])) / 2
    g = 0.5 * (1 - math.sqrt(mean**7 / (mean**7 + 25.0**7)))
    C1, h1 = _chroma_and_hue(first, g)
    C2, h2 = _chroma_and_hue(second, g)
    dh, middle = _hue_step(C1 * C2, h1, h2)
    dL, dC = L2 - L1, C2 - C1
    dH = 2 * math.sqrt(C1 * C2) * math.sin(math.radians(dh / 2))
    C = (C1 + C2) / 2
    off = ((L1 + L2) / 2 - 50) ** 2
    sL = 1 + 0.015 * off / math.sqrt(20 + off)
    sC = 1 + 0.045 * C
    sH = 1 + 0.015 * C * _weight(middle)
    turn = -math.sin(math.radians(60 * math.exp(-(((middle - 275) / 25) ** 2))))
    blue = turn * 2 * math.sqrt(C**7 / (C**7 + 25.0**7))
    light, chroma, hue = dL / sL, dC / sC, dH / sH
    return math.sqrt(light**2 + chroma**2 + hue**2 + blue * chroma * hue)


def _chroma_and_hue(lab: Lab, g: float) -> tuple[float, float]:
    a, b = lab[1] * (1 + g), lab[2]
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0


def _hue_step(product: float, h1: float, h2: float) -> tuple[float, float]:
    """The signed hue difference and the mean hue, degrees."""
    if product == 0:
        return 0.0, h1 + h2
    dh = (h2 - h1 + 180) % 360 - 180
    if h2 - h1 == 180:
        dh = 180.0
    middle = (h1 + h2) / 2
    if abs(h1 - h2) > 180:
        middle += 180 if h1 + h2 < 360 else -180
    return dh, middle


def _weight(hue: float) -> float:
    terms = ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.20, 4, -63))
    return 1 + sum(k * math.cos(math.radians(n * hue + shift)) for k, n, shift in terms)
