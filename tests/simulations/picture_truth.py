"""What the truth of a drawn specimen has to agree with: its plan, its pictures, its outlines."""

from media_demo.pictures.scenes.gauges import scale_of
from media_demo.plant.bank import BAD, CLEAN
from media_demo.plant.draw import Drawn, DrawnView
from media_demo.plant.places import TAUGHT_ONLY

CLOSE_UP_AT_LEAST = 1.2


def faults_of(drawn: Drawn) -> list[str]:
    """Say what is wrong with a drawn specimen, each with its number; nothing if all is well."""
    return [f"{drawn.planned.number} {drawn.planned.family}: {what}" for what in _faults(drawn)]


def _faults(drawn: Drawn) -> list[str]:
    planned, truth = drawn.planned, drawn.truth
    marked = planned.kind != CLEAN and planned.severity is not None
    whole = drawn.views[0]
    found = {
        "the truth names another family": truth.family != (planned.family if marked else None),
        "another seed": truth.seed != planned.seed,
        "not labelled synthetic": not truth.synthetic,
        "another zone": marked
        and planned.zone != "*"
        and planned.family not in (TAUGHT_ONLY, "warp")
        and truth.zone != planned.zone,
        "frames missing": len(whole.frames) != planned.frames,
        "no close-up": len(drawn.views) < 2 and planned.family != TAUGHT_ONLY,
        "a close-up that is no closer": len(drawn.views) > 1
        and drawn.views[1].look.px_per_mm < CLOSE_UP_AT_LEAST * whole.look.px_per_mm,
        "something to judge that is not there": planned.kind == BAD
        and drawn.examinable
        and truth.severity == 0,
        "an invisible part examines": planned.kind == BAD
        and drawn.examinable
        and not truth.visible,
    }
    if planned.gauge and truth.family:
        steps = truth.severity / scale_of(planned.family).division_mm
        found["a reading between two marks"] = abs(steps - round(steps)) > 1e-6
    said = [what for what, wrong in found.items() if wrong]
    for view in drawn.views:
        said += _faults_of_view(view, marked=marked)
    return said


def _faults_of_view(view: DrawnView, *, marked: bool) -> list[str]:
    frame, look = view.frames[0], view.look
    where = "close-up" if view.close_up else "whole"
    points = [point for polygon in look.regions for point in polygon]
    # A mark may run out of the picture; its outline is cut off there when it is kept.
    inside = [0 <= x <= frame.width and 0 <= y <= frame.height for x, y in points]
    found = {
        "outlines on a clean part": not marked and bool(look.regions or look.visibility),
        "visible without an outline": look.visible and not look.regions,
        "an outline wholly outside": bool(points) and not any(inside),
        "no scale": look.px_per_mm <= 0,
        "frames of different sizes": len({(f.width, f.height) for f in view.frames}) > 1,
        "best frame missing": not 0 <= look.best_frame < len(view.frames),
    }
    return [f"{where}: {what}" for what, wrong in found.items() if wrong]
