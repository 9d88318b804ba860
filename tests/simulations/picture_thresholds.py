"""From which severity can a mark be seen in the demo's pictures?

Run: python -m tests.simulations.picture_thresholds > tests/simulations/output/picture_thresholds.txt
(with the names of families behind it: those alone).
For every family, on a pale and on a dark part, and on a polished one where marks show by reflection:
the severity at which the visibility index passes
1, in the picture of the whole part, in the close-up, and in the best frame of a sweep of the
light. Median over three draws of place, pose, bench and light; severity between the rungs of the
ladder by interpolation. The index was fitted by eye on these same pictures (see
media_demo.pictures.truth) and no group of people has validated it.
"""

import math
import sys
from statistics import median

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.kinds import Hand
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.plans import close_view, key_lamps, make_plan, whole_view
from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.sheet import RESINS_OF
from media_demo.pictures.specimens import shoot

SEEDS = (1, 2, 3)
SWEEP = 9
PALE = ("white", "natural", "clear", "grey")
POLISHED = ("hood_trim", "gloss black")
VIEWS = ("whole part", "close-up", "sweep")


def places(family: str) -> list[tuple[str, str]]:
    """One pale and one dark part on which the family arises, and the polished one for reflections."""
    made = FAMILIES[family]
    found: dict[bool, tuple[str, str]] = {}
    for slug, resins in RESINS_OF.items():
        if "whole" not in made.sites and not KINDS[slug].sides_for(made.sites, made.zones):
            continue
        for resin in resins:
            found.setdefault(resin in PALE, (slug, resin))
    kept = [found[pale] for pale in (True, False) if pale in found]
    return [*kept, POLISHED] if made.sweep and POLISHED not in kept else kept


def index(request: SpecimenRequest, view: str) -> float:
    plan = make_plan(request)
    shown = close_view(plan) if view == "close-up" else whole_view(plan)
    return shoot(plan, shown, key_lamps(plan)).look.visibility


def threshold(family: str, part: str, resin: str, view: str) -> float | None:
    """The severity at which the index passes 1; None if it never does."""
    hand: Hand | None = "left" if KINDS[part].handed else None
    before: tuple[float, float] | None = None
    for severity in FAMILIES[family].ladder:
        seen = median(
            index(
                SpecimenRequest(
                    part,
                    resin,
                    seed,
                    hand=hand,
                    family=family,
                    severity=severity,
                    frames=SWEEP if view == "sweep" else 1,
                ),
                view,
            )
            for seed in SEEDS
        )
        if seen >= 1:
            if before is None:
                return severity
            share = math.log(1 / before[1]) / math.log(seen / before[1])
            return float(before[0] * (severity / before[0]) ** share)
        before = (severity, max(seen, 1e-3))
    return None


def said(family: str, found: float | None) -> str:
    ladder = FAMILIES[family].ladder
    if found is None:
        return f"not at {ladder[-1]:g}"
    return f"below {ladder[0]:g}" if found <= ladder[0] else f"{found:.2g}"


def main() -> None:
    print(f"{'family':17} {'unit':4} {'part':30} {VIEWS[0]:>14} {VIEWS[1]:>14} {VIEWS[2]:>14}")
    for slug in sys.argv[1:] or FAMILIES:
        family = FAMILIES[slug]
        for part, resin in places(slug):
            cells = []
            for view in VIEWS:
                if view == "sweep" and not family.sweep:
                    cells.append("-")
                else:
                    cells.append(said(slug, threshold(slug, part, resin, view)))
            name = f"{part}, {resin}"
            print(
                f"{slug:17} {family.unit:4} {name:30} {cells[0]:>14} {cells[1]:>14} {cells[2]:>14}",
                flush=True,
            )


if __name__ == "__main__":
    main()
