"""What the pane of a picture needs to know of one view of a specimen."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.urls import reverse
from django.utils.translation import gettext as _

from training.floor.limit_rulings import Ruling
from training.floor.limit_words import number_text
from training.floor.limits import Measure, Unit
from training.specimens.models import Specimen
from training.specimens.selectors import ViewRow

DRAWN = (Measure.AT_MOST, Measure.COUNT_AT_MOST)


@dataclass(frozen=True, slots=True)
class Pane:
    """The context of partials/pane.html; the picture under the middle lamp is shown first."""

    key: str
    title: str
    note: str
    label: str
    href: str
    width: int
    height: int
    frames_json: str
    frame: int
    ppm: Decimal | None
    bars: str
    region: str
    region_shown: bool = False
    can_mark: bool = False


def pane_of(
    specimen: Specimen, view: ViewRow, *, rulings: Iterable[Ruling] = (), can_mark: bool = False
) -> Pane | None:
    """Return the pane of a view, or None where it has no picture."""
    if not view.frames:
        return None
    addresses = [
        reverse("specimens:frame", args=[specimen.pk, view.position, frame.position])
        for frame in view.frames
    ]
    middle = len(addresses) // 2
    first = view.frames[middle]
    return Pane(
        key="part",
        title=specimen.number,
        note=_note(view),
        label=_("Picture of specimen %(number)s") % {"number": specimen.number},
        href=addresses[middle],
        width=first.width,
        height=first.height,
        frames_json=json.dumps(addresses) if len(addresses) > 1 else "",
        frame=middle,
        ppm=view.px_per_mm,
        bars=_bars(rulings) if view.px_per_mm else "",
        region="" if can_mark else "".join(outline_path(polygons) for _f, polygons in view.regions),
        can_mark=can_mark,
    )


def _note(view: ViewRow) -> str:
    first = view.frames[0]
    size = f"{first.width} × {first.height}"
    if view.px_per_mm is None:
        return size
    return _("%(size)s, %(scale)s px per mm") % {
        "size": size,
        "scale": number_text(round(float(view.px_per_mm), 2)),
    }


def outline_path(polygons: Iterable[Sequence[Sequence[float]]]) -> str:
    """Return polygons as one SVG path."""
    return "".join("M" + "L".join(f"{x:g} {y:g}" for x, y in polygon) + "Z" for polygon in polygons)


def _bars(rulings: Iterable[Ruling]) -> str:
    """Return the limits that are lengths, to be drawn to scale on the picture."""
    lengths = sorted(
        {
            ruling.line.value
            for ruling in rulings
            if ruling.line.measure in DRAWN and ruling.line.unit is Unit.MM and ruling.line.value
        }
    )
    return ";".join(f"{value:g}:{number_text(value)} mm" for value in lengths)
