"""The defect families the renderer can make, with their units and severity ladders."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from media_demo.pictures.defects import (
    black_specks,
    burn,
    flash,
    gloss,
    scuff,
    short_shot,
    sink,
    weld_line,
)
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark

Make: TypeAlias = Callable[[Fields, Side, Site, float, np.random.Generator], Mark]


@dataclass(frozen=True)
class Family:
    """How a family is made and measured.

    ``unit`` is the unit of its limit in the families file; ``ladder`` runs from just
    about nothing through the usual limit to gross.
    """

    slug: str
    unit: str
    sites: tuple[str, ...]
    make: Make
    ladder: tuple[float, ...]


_ALL = (
    Family(
        "black-specks",
        "mm",
        black_specks.SITES,
        black_specks.apply,
        (0.12, 0.2, 0.3, 0.45, 0.7, 1.1),
    ),
    Family("weld-line", "mm", weld_line.SITES, weld_line.apply, (2, 4, 6, 9, 14, 22)),
    Family("short-shot", "mm", short_shot.SITES, short_shot.apply, (0.3, 0.6, 1.2, 2.5, 5, 9)),
    Family("flash", "mm", flash.SITES, flash.apply, (0.05, 0.1, 0.2, 0.4, 0.8, 1.6)),
    Family("scuff", "mm", scuff.SITES, scuff.apply, (2, 4, 7, 11, 16, 24)),
    Family("sink", "mm", sink.SITES, sink.apply, (0.01, 0.025, 0.05, 0.08, 0.13, 0.22)),
    Family("burn", "mm2", burn.SITES, burn.apply, (0.4, 1, 2, 5, 12, 30)),
    Family("gloss", "mm", gloss.SITES, gloss.apply, (1, 2, 3, 5, 8, 12)),
)

FAMILIES: dict[str, Family] = {family.slug: family for family in _ALL}
