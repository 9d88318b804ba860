"""What a good part may show: a flush gate, a short weld line, a faint hairline.

Drawn with the nuisance, so that a clean part and a marked one carry the same.
"""

from typing import NamedTuple

import numpy as np

from media_demo.pictures.defects import gate_vestige, scuff, weld_line
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site, somewhere_on


class Blemish(NamedTuple):
    """An allowed mark: family, measured severity in the family's unit, place."""

    family: str
    severity: float
    zone: str
    site: str


def leave(fields: Fields, side: Side, rng: np.random.Generator) -> tuple[Blemish, ...]:
    """Leave the allowed marks of one good part on it, and name them."""
    found = []
    for site in side.sites_for(("gate",)):
        mark = gate_vestige.apply(fields, side, site, float(rng.uniform(0.02, 0.08)), rng)
        found.append(_named("gate-vestige", mark.severity, site))
    draws = rng.random(2)
    welds = side.sites_for(("weld",))
    if welds and draws[0] < 0.45:
        site = welds[int(rng.integers(len(welds)))]
        mark = weld_line.apply(fields, side, site, float(rng.uniform(1.5, 4.0)), rng)
        found.append(_named("weld-line", mark.severity, site))
    quiet = [s for s in side.sites_for(("face",)) if s.zone in ("B", "C")]
    if quiet and draws[1] < 0.4:
        site = somewhere_on(quiet[int(rng.integers(len(quiet)))], rng)
        mark = scuff.apply(fields, side, site, float(rng.uniform(1.0, 3.5)), rng)
        found.append(_named("scuff", mark.severity, site))
    fields.touched.clear()
    return tuple(found)


def _named(family: str, severity: float, site: Site) -> Blemish:
    return Blemish(family, severity, site.zone, site.name)
