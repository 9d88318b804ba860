"""The bank of the second plant: enough decided specimens of one family, drawn plainly."""

from decimal import Decimal

from django.utils import timezone
from PIL import Image, ImageDraw

from training.floor.models import Family, Job
from training.specimens.services.bulk import (
    Decided,
    NewFrame,
    NewRegion,
    NewSpecimen,
    NewView,
    add_specimens,
)

JOB = "301"


def fill_the_bank() -> None:
    """Enough decided specimens of one family for the plan, drawn plainly, outlined and scaled."""
    job, family = Job.objects.get(number=JOB), Family.objects.get(slug="black-specks")
    wanted = [
        _specimen(job, family, place, bad=bad, pool=pool)
        for pool, count in (("exam", 24), ("teaching", 4))
        for bad in (True, False)
        for place in range(count)
    ]
    now = timezone.now()
    add_specimens(wanted, day=timezone.localdate(now), moment=now)


def _specimen(job: Job, family: Family, place: int, *, bad: bool, pool: str) -> NewSpecimen:
    ratio = Decimal("1.6") if bad else Decimal("0.6")
    image = Image.new("RGB", (600, 450), (212 + place % 5, 212, 208))
    x, y = 120 + 12 * (place % 20), 140 + 9 * (place % 17)
    size = 7 if bad else 3
    ImageDraw.Draw(image).ellipse((x - size, y - size, x + size, y + size), fill=(30, 28, 26))
    outline = [[x - 20, y - 20], [x + 20, y - 20], [x + 20, y + 20], [x - 20, y + 20]]
    return NewSpecimen(
        job=job,
        zone="A",
        family=family,
        views=[NewView([NewFrame(image)], px_per_mm=15.0, regions=[NewRegion(family, [outline])])],
        severity=ratio * Decimal("0.3"),
        unit="mm",
        pool=pool,
        synthetic=False,
        decision=Decided(
            decision="reject" if bad else "accept",
            action="segregate" if bad else "keep_running",
            family=family,
            severity_ratio=ratio,
            clear=bad,
        ),
    )
