"""Outlining a defect on a picture, and saying how large a millimetre is there."""

import math
from collections.abc import Sequence
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.specimens.models import Frame, Region, View
from training.specimens.polygons import MOST_POLYGONS, Point, PolygonError, checked_polygon

Polygon = Sequence[Sequence[float]]


@transaction.atomic
def outline_region(*, view: View, family: Family, polygons: Sequence[Polygon]) -> Region | None:
    """Outline a family's defect on a view, in place of what was outlined there before.

    Without polygons the outline is taken away and nothing is returned.

    Raises
    ------
    ValidationError
        On `polygons`, naming the outline, its point and the remedy.
    """
    frame = view.frames.first()
    if frame is None:
        raise ValidationError({"polygons": _("The view has no picture to outline on.")})
    checked = checked_polygons(polygons, frame)
    Region.objects.filter(view=view, family=family).delete()
    if not checked:
        return None
    return Region.objects.create(view=view, family=family, polygons=checked)


def checked_polygons(polygons: Sequence[Polygon], frame: Frame) -> list[list[list[float]]]:
    """Return the polygons to keep, or raise ValidationError on `polygons` for the first bad one."""
    if len(polygons) > MOST_POLYGONS:
        raise ValidationError(
            {"polygons": _("At most %(most)s outlines on one picture.") % {"most": MOST_POLYGONS}}
        )
    checked = []
    for number, polygon in enumerate(polygons, start=1):
        try:
            checked.append(checked_polygon(polygon, frame.width, frame.height))
        except PolygonError as error:
            raise ValidationError({"polygons": _sentence(error, number)}) from error
    return checked


def _sentence(error: PolygonError, outline: int) -> str:
    sentences = {
        "not_points": _("Outline %(outline)s: write each point as two numbers, x and y."),
        "outside": _(
            "Outline %(outline)s: point %(number)s (%(x)s, %(y)s) lies outside the picture of"
            " %(width)s × %(height)s pixels. Move it inside."
        ),
        "too_few": _("Outline %(outline)s has %(count)s points. Set at least three."),
        "too_many": _("Outline %(outline)s has %(count)s points. Use at most %(most)s."),
        "crosses_itself": _(
            "Outline %(outline)s crosses itself: sides %(first)s and %(second)s meet. Move one of"
            " their points, or undo the last ones."
        ),
        "no_area": _("Outline %(outline)s encloses nothing. Set its points further apart."),
    }
    return sentences[error.code] % {"outline": outline, **error.params}


def set_scale(*, view: View, start: Point, end: Point, millimetres: Decimal) -> View:
    """Say how far two points of a view's pictures are apart on the part.

    Raises
    ------
    ValidationError
        If the points are the same or outside the picture, or the length makes no sense.
    """
    frame = view.frames.first()
    if frame is None or not all(
        0 <= x <= frame.width and 0 <= y <= frame.height for x, y in (start, end)
    ):
        raise ValidationError({"millimetres": _("Set both ends on the picture.")})
    pixels = math.dist(start, end)
    if pixels < 20:
        raise ValidationError({"millimetres": _("Set the two ends further apart, for accuracy.")})
    if millimetres <= 0:
        raise ValidationError({"millimetres": _("Give the length in mm, more than 0.")})
    view.px_per_mm = round(Decimal(repr(pixels)) / millimetres, 4)
    if not Decimal("0.05") <= view.px_per_mm <= 1000:
        raise ValidationError(
            {"millimetres": _("This length cannot be right: look at its unit, mm.")}
        )
    view.save(update_fields=["px_per_mm"])
    return view
