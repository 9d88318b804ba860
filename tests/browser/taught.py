"""A small teaching pool to practise on: a ladder, two contrasts and a pair of look-alikes."""

from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.utils import timezone
from PIL import Image, ImageDraw

from training.floor.models import Family
from training.quizzes.services.plans import ensure_default_plans
from training.specimens.models import Pool, Specimen
from training.specimens.services.bulk import (
    Decided,
    NewFrame,
    NewRegion,
    NewSpecimen,
    NewView,
    add_specimens,
)
from training.specimens.services.series import make_set

# Severity ÷ limit of the ladder's rungs; the limit lies between the fourth and the fifth.
RUNGS = ("0", "0.4", "0.6", "0.85", "1.2", "1.5", "2.0", "2.6")


def specimen(
    plant: SimpleNamespace, family: Family, ratio: str, *, number: str = ""
) -> NewSpecimen:
    """A grey plate of two views with a dot as large as its severity says."""
    exact = Decimal(ratio)
    bad, size = exact > 1, float(exact) * 6
    views = []
    for scale in (4.0, 8.0):
        image = Image.new("RGB", (600, 450), (205, 206, 204))
        if size:
            colour = (20, 20, 20) if family == plant.specks else (120, 70, 30)
            box = (300 - size, 225 - size, 300 + size, 225 + size)
            ImageDraw.Draw(image).ellipse(box, fill=colour)
        outline = [[285, 210], [315, 210], [315, 240], [285, 240]]
        regions = [NewRegion(family, [outline])] if size else []
        views.append(NewView([NewFrame(image)], px_per_mm=scale, regions=regions))
    return NewSpecimen(
        number=number,
        job=plant.job,
        zone="A",
        family=family,
        views=views,
        severity=exact * Decimal("0.3") if size else None,
        unit="mm" if size else "",
        pool=Pool.TEACHING,
        decision=Decided(
            decision="reject" if bad else "accept",
            action="segregate" if bad else "keep_running",
            family=family if bad else None,
            severity_ratio=exact if size else None,
            clear=exact >= Decimal("1.5"),
        ),
    )


@pytest.fixture
def taught(plant: SimpleNamespace) -> SimpleNamespace:
    """A ladder, two contrasts and a pair of look-alikes, and what a plain round needs."""
    now = timezone.now()
    day = timezone.localdate(now)
    rungs = add_specimens(
        [specimen(plant, plant.specks, ratio, number=f"L-{ratio}") for ratio in RUNGS],
        day=day,
        moment=now,
    )
    burns = add_specimens(
        [specimen(plant, plant.burn, "1.7", number=f"B-{n}") for n in range(3)],
        day=day,
        moment=now,
    )

    def make(kind: str, *members: Specimen) -> None:
        make_set(
            kind=kind,
            members=[row.pk for row in members],
            difference={"en": "mean size", "es": "tamaño medio"},
            day=day,
            moment=now,
            by=None,
        )

    make("ladder", *rungs)
    make("contrast", rungs[2], rungs[4])
    make("contrast", rungs[3], rungs[6])
    make("look_alike", rungs[6], burns[0])
    plant.plans = {p.code: p for p in ensure_default_plans(day=day)}
    return plant
