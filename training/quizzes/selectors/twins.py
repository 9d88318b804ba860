"""The same part on the other side of its limit: what a practised specimen is contrasted with."""

import datetime as dt
from dataclasses import dataclass

from training.quizzes.models import Presented
from training.quizzes.selectors.booth import ViewRef, views_by_part
from training.quizzes.selectors.progress import REJECT
from training.specimens.models import Region, Specimen, View
from training.specimens.series_rows import SetRow, contrasts_of


@dataclass(frozen=True)
class Twin:
    """A specimen that differs from the practised one in one thing, as it is pictured closest."""

    specimen: Specimen
    rejected: bool
    difference: dict[str, str]
    view: ViewRef
    polygons: tuple[list[list[float]], ...]


def twin_of(presented: Presented, day: dt.date) -> Twin | None:
    """Return what a presented specimen is contrasted with, or None. Costs seven queries at most.

    The other of a contrast; of a ladder the nearest rung on the other side of the limit.
    """
    for row in contrasts_of(presented.specimen_id, day):
        other = _other(row, presented)
        if other is None:
            continue
        views = views_by_part(View.objects.filter(specimen=other)).get(other.pk, ())
        if not views:
            continue
        place = len(views) - 1
        outlined = Region.objects.filter(view__specimen=other, view__position=place)
        polygons = [polygon for region in outlined for polygon in region.polygons]
        return Twin(
            specimen=other,
            rejected=other.decided == REJECT,
            difference=row.set.difference,
            view=views[place],
            polygons=tuple(polygons),
        )
    return None


def _other(row: SetRow, presented: Presented) -> Specimen | None:
    decided = presented.decision.decision
    here = float(presented.specimen.severity or 0)
    others = [each for each in row.members if each.decided not in (decided, None)]
    return min(others, key=lambda each: abs(float(each.severity or 0) - here), default=None)
