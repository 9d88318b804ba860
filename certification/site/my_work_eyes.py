"""One person's own limits against those of their jobs today, to scale, for their own page."""

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from certification.certificates.wording import Language
from certification.site.my_work import MyWork
from training.floor.limits import Measure, Unit
from training.floor.models import Job
from training.people.texts import in_language
from training.quizzes.report_numbers import times
from training.quizzes.reports.own_eye import Line, OwnEye
from training.quizzes.selectors.report import own_eyes
from training.specimens.limit_captions import UNIT_SIGNS
from training.specimens.standards import Standard, standards_of
from training.statistics.operator_limit import STATE_FROM

MEASURED = (Measure.AT_MOST, Measure.COUNT_AT_MOST, Measure.NONE)
# Without a place in the shift plan the jobs that may be run stand for today's, at most so many.
MOST_JOBS = 5
ORDER = {"lenient": 0, "strict": 1, "open": 2, "within": 3, "": 4}


@dataclass(frozen=True, slots=True)
class JobLimit:
    """The smallest limit of a family on one job that is a number."""

    job: str
    zone: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class EyeRow:
    """One family: the job's limit, the person's own with its interval, in the limit's unit."""

    family: str
    url: str
    limit: JobLimit
    value: float
    low: float
    high: float
    says: str


def eye_rows(work: MyWork, language: Language) -> list[EyeRow]:
    """Return the own limits of the families of today's jobs, those off the limit first.

    Only families with a number are there. Costs twelve queries, or 21 when an exam has ended
    since the last page; none without a job.
    """
    jobs = _jobs_today(work)
    if not jobs:
        return []
    day = work.asked.day
    wanted = {slug for own in work.jobs if own.job in jobs for slug in own.needs.needs_on(day)}
    eyes = own_eyes(work.person, sorted(wanted))
    limits = _limits(jobs, [slug for slug, eye in eyes.items() if eye.line is not None], day)
    found = [(eyes[slug], limit) for slug, limit in limits.items()]
    found.sort(key=lambda pair: _urgency(pair[0]))
    return [_row(eye, limit, work, language) for eye, limit in found]


def _urgency(eye: OwnEye) -> tuple[int, float, str]:
    """Put what is stated to be off first; among equals the line that lies latest."""
    return ORDER[eye.calls], -(eye.line.value if eye.line else 0.0), eye.family


def _jobs_today(work: MyWork) -> list[Job]:
    put = [own.job for own in work.jobs if own.press]
    return put or [own.job for own in work.jobs][-MOST_JOBS:]


def _limits(jobs: Collection[Job], families: Sequence[str], day: dt.date) -> dict[str, JobLimit]:
    """Return the limit of each family on the first job that has one as a number."""
    if not families:
        return {}
    standards = standards_of(jobs, day)
    found: dict[str, JobLimit] = {}
    for job in jobs:
        for family in families:
            limit = _smallest(standards[job.pk], job, family)
            if limit is not None:
                found.setdefault(family, limit)
    return found


def _smallest(standard: Standard, job: Job, family: str) -> JobLimit | None:
    lines = [
        (line.value, zone, line.unit)
        for zone in job.zones or {"A": None}
        for line in (ruling.line for ruling in standard.rulings(family, zone))
        if line.measure in MEASURED and line.value is not None and line.unit is not None
    ]
    if not lines:
        return None
    value, zone, unit = min(lines, key=lambda each: each[0])
    return JobLimit(job.number, zone, value, UNIT_SIGNS.get(Unit(unit), str(unit)))


def _row(eye: OwnEye, limit: JobLimit, work: MyWork, language: Language) -> EyeRow:
    line = eye.line or Line(1.0, 1.0, 1.0)
    name = in_language(work.names.families.get(eye.family), language) or eye.family
    url = reverse("quizzes:report", args=[work.person.pk])
    return EyeRow(
        family=name,
        url=f"{url}?family={eye.family}",
        limit=limit,
        value=_two_figures(line.value * limit.value),
        low=_two_figures(line.low * limit.value),
        high=_two_figures(line.high * limit.value),
        says=_says(eye, line.value * limit.value, limit.unit),
    )


def _two_figures(value: float) -> float:
    """Round to two figures: no eye is known more exactly."""
    return float(f"{value:.2g}")


def _says(eye: OwnEye, value: float, unit: str) -> str:
    half = _("You reject half of the parts at %(value)s %(unit)s.") % {
        "value": times(_two_figures(value), places=_places(value)),
        "unit": unit,
    }
    more = {
        "lenient": _("Look for the small ones: they pass too often."),
        "strict": _("Smaller ones are good: fewer need to be thrown away."),
        "within": _("That is by the limit."),
        "open": _("Too few near the limit to say whether that is off."),
    }
    if eye.calls:
        return f"{half} {more[eye.calls]}"
    provisional = _("Provisional: %(n)s of %(needed)s judgements.") % {
        "n": eye.measured,
        "needed": STATE_FROM,
    }
    return f"{half} {provisional}"


def _places(value: float) -> int:
    """Return the decimals that two figures of a value take."""
    rounded = _two_figures(value)
    return next(places for places in range(6) if round(rounded, places) == rounded)
