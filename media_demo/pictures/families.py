"""The defect families the renderer can make, with their units and severity ladders."""

from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType
from typing import TypeAlias

import numpy as np

from media_demo.pictures.defects import (
    black_specks,
    burn,
    crack,
    delamination,
    drag_mark,
    ejector_mark,
    flash,
    flow_line,
    gate_vestige,
    gloss,
    grease_oil,
    jetting,
    mismatch,
    scuff,
    short_shot,
    sink,
    splay,
    stress_whitening,
    void_bubble,
    warp,
    weld_line,
)
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.nuisance import Light

Make: TypeAlias = Callable[[Fields, Side, Site, float, np.random.Generator], Mark]


# Marks that are plain only near the edge of a reflection, or in raking light. A shallow dimple shows
# at the very edge alone, a change of gloss where the face mirrors the lamp, a ripple at both.
GRAZING: tuple[Light, ...] = ("reflection", "reflection", "raking", "form")
SEEN_BY_REFLECTION: dict[str, tuple[Light, ...]] = {
    "gloss": ("sheen",),
    "sink": ("edge",),
    "weld-line": GRAZING,
    "flow-line": ("edge", "sheen"),
    "ejector-mark": GRAZING,
}


@dataclass(frozen=True)
class Family:
    """How a family is made and measured.

    ``unit`` is the unit of its limit in the families file; ``ladder`` runs from just
    about nothing through the usual limit to gross. ``close_scale`` (px/mm) shows the
    tightest limit that pictures examine on at least 3 px. ``zones`` limits the family to
    some zone classes; ``lights`` are the lights it is looked for in, drawn evenly (empty:
    any light); ``hidden_on`` names resins on which it cannot be seen.
    """

    slug: str
    unit: str
    make: Make
    sites: tuple[str, ...]
    ladder: tuple[float, ...]
    close_scale: float = 15.0
    zones: tuple[str, ...] | None = None
    lights: tuple[Light, ...] = ()
    hidden_on: tuple[str, ...] = ()

    @property
    def sweep(self) -> bool:
        """Whether the mark comes and goes with the light, so that nine frames help."""
        return bool(self.lights)


def _family(
    slug: str, unit: str, module: ModuleType, ladder: tuple[float, ...], close_scale: float = 15.0
) -> Family:
    zones = getattr(module, "ZONES", None)
    lights = SEEN_BY_REFLECTION.get(slug, ())
    hidden_on = getattr(module, "HIDDEN_ON", ())
    return Family(
        slug, unit, module.apply, module.SITES, ladder, close_scale, zones, lights, hidden_on
    )


_ALL = (
    _family("short-shot", "mm", short_shot, (0.3, 0.6, 1.2, 2.5, 5, 9)),
    _family("flash", "mm", flash, (0.05, 0.1, 0.2, 0.4, 0.8, 1.6), 30),
    _family("weld-line", "mm", weld_line, (2, 4, 6, 9, 14, 20)),
    _family("flow-line", "mm", flow_line, (3, 6, 10, 16, 24, 34)),
    _family("gloss", "mm", gloss, (1, 2, 3, 5, 8, 12)),
    _family("drag-mark", "mm", drag_mark, (1, 2, 4, 7, 10, 16)),
    _family("gate-vestige", "mm", gate_vestige, (0.03, 0.1, 0.2, 0.4, 0.8, 1.4), 24),
    _family("sink", "mm", sink, (0.01, 0.025, 0.05, 0.08, 0.13, 0.22)),
    _family("splay", "mm", splay, (5, 10, 18, 30, 45, 65)),
    _family("burn", "mm2", burn, (0.4, 1, 2, 5, 12, 30)),
    _family("black-specks", "mm", black_specks, (0.12, 0.2, 0.3, 0.45, 0.7, 1.1)),
    _family("warp", "mm", warp, (0.2, 0.5, 1.0, 1.8, 3.0, 4.5)),
    _family("ejector-mark", "mm", ejector_mark, (0.03, 0.06, 0.1, 0.2, 0.35, 0.6)),
    _family("scuff", "mm", scuff, (2, 4, 7, 11, 16, 24)),
    _family("jetting", "mm", jetting, (3, 6, 10, 18, 30, 50)),
    _family("void-bubble", "mm", void_bubble, (0.15, 0.25, 0.4, 0.7, 1.2, 2.0)),
    _family("delamination", "mm", delamination, (1.5, 2.5, 4, 6, 9, 13)),
    _family("stress-whitening", "mm", stress_whitening, (0.8, 1.5, 2.5, 4, 6.5, 10)),
    _family("crack", "mm", crack, (1, 2, 3.5, 6, 9, 14)),
    _family("mismatch", "mm", mismatch, (0.03, 0.07, 0.12, 0.25, 0.45, 0.8), 60),
    _family("grease-oil", "mm", grease_oil, (1, 2, 3.5, 5, 8, 12)),
)

FAMILIES: dict[str, Family] = {family.slug: family for family in _ALL}
