"""What a specimen is decided by: the lines of its job's sheet and of the site's general limits.

Alerts and concessions hold for a time and for parts, so no reference decision rests on them.
"""

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final
from uuid import UUID

from django.db.models import Q

from training.floor.limit_judging import Decision, Finding, LimitVerdict, judge
from training.floor.limit_rulings import (
    JobPapers,
    LimitSample,
    Ruling,
    SampleKind,
    SourceKind,
    limits_for,
)
from training.floor.limits import JudgedBy, Line, Unit
from training.floor.models import GeneralLimits, Job, LimitLine, WorkInstruction
from training.floor.models import LimitSample as SampleRow
from training.floor.selectors import lines_of
from training.statistics.panel import LEAST_DISTANCE

# From this share of the limit on nobody attentive misses it (common practice, no source).
CLEAR_FROM: Final = 1.5
MOST_RATIO: Final = Decimal("9999.9999")
BY_PICTURE: Final = (JudgedBy.EYE, JudgedBy.COUNT)


def too_near(ratio: Decimal | float | None) -> bool:
    """Return whether a severity is so near its limit that no exam may rest on it.

    Within 5 % on the logarithmic scale a measurement cannot tell the sides apart, and a panel
    agrees by chance. A ratio that is not known is not near.
    """
    return bool(ratio) and abs(math.log(float(ratio or 0))) < LEAST_DISTANCE


class CannotMeasureError(Exception):
    """A specimen that its measured severity alone does not decide; `rulings` are the lines."""

    def __init__(self, code: str, rulings: Iterable[Ruling] = ()) -> None:
        super().__init__(code)
        self.code = code
        self.rulings = tuple(rulings)


@dataclass(frozen=True, slots=True)
class Looked:
    """What else was found by looking: how many marks, whether it shows, which features are there.

    `seen` is whether it shows at the job's viewing distance and time, None where nobody looked.
    """

    count: int = 1
    seen: bool | None = None
    feature: str = ""
    present: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Measured:
    """What the limits say about a measured specimen; the ratio is None where nothing is accepted."""

    decision: str
    ratio: Decimal | None
    clear: bool
    by_general: bool
    ruling: Ruling | None


@dataclass(frozen=True)
class Standard:
    """The limits of one job as they stand on a day."""

    job: Job
    day: dt.date
    sheet: WorkInstruction | None = None
    general: GeneralLimits | None = None
    lines: tuple[Line, ...] = ()
    general_lines: tuple[Line, ...] = ()
    samples: tuple[LimitSample, ...] = field(default=())

    def rulings(self, family: str, zone: str) -> tuple[Ruling, ...]:
        """Return the lines that rule a family (by its slug) in a zone."""
        papers = JobPapers(
            revision=self.sheet.revision if self.sheet else "",
            lines=self.lines,
            general=self.general_lines,
            samples=self.samples,
        )
        return limits_for(papers, family=family, zone=zone, day=self.day)

    def general_for(self, family: str, zone: str) -> GeneralLimits | None:
        """Return the site's general limits where they rule a family in a zone, else None."""
        kinds = {ruling.source.kind for ruling in self.rulings(family, zone)}
        return self.general if SourceKind.GENERAL in kinds else None

    def measure(
        self,
        *,
        family: str,
        zone: str,
        severity: Decimal | float | None,
        unit: str,
        looked: Looked | None = None,
    ) -> Measured:
        """Judge a measured severity by the limits.

        Raises
        ------
        CannotMeasureError
            With code ``no_severity``, ``no_unit``, ``no_limit``, ``open`` (a line that is judged by
            eye was not answered) or ``undecidable``.
        """
        if severity is None:
            raise CannotMeasureError("no_severity")
        if unit not in set(Unit):
            raise CannotMeasureError("no_unit")
        rulings = self.rulings(family, zone)
        if not rulings:
            raise CannotMeasureError("no_limit")
        looked = looked or Looked()
        finding = Finding(
            severity=float(severity),
            unit=Unit(unit),
            count=looked.count,
            feature=looked.feature,
            seen=looked.seen,
            present=looked.present,
        )
        return _measured(judge(finding, rulings), rulings)


def _measured(verdict: LimitVerdict, rulings: tuple[Ruling, ...]) -> Measured:
    if verdict.decision is Decision.UNDECIDABLE:
        raise CannotMeasureError("undecidable", verdict.open or rulings)
    rejected = verdict.decision is Decision.REJECT
    unanswered = [each for each in verdict.open if each.line.judged_by in BY_PICTURE]
    if unanswered and not rejected:
        raise CannotMeasureError("open", unanswered)
    endless = verdict.ratio is None or math.isinf(verdict.ratio)
    ratio = None
    if verdict.ratio is not None and not endless:
        ratio = min(round(Decimal(repr(verdict.ratio)), 4), MOST_RATIO)
    return Measured(
        decision=str(verdict.decision),
        ratio=ratio,
        clear=rejected and (endless or (verdict.ratio or 0) >= CLEAR_FROM),
        by_general=verdict.ruling is not None and verdict.ruling.source.kind is SourceKind.GENERAL,
        ruling=verdict.ruling,
    )


def standard_of(job: Job, day: dt.date) -> Standard:
    """Return the limits of one job on a day. Costs four queries."""
    return standards_of([job], day)[job.pk]


def standards_of(jobs: Collection[Job], day: dt.date) -> dict[UUID, Standard]:
    """Return the limits of each job on a day, by the job's id. Costs four queries."""
    in_force = WorkInstruction.objects.filter(job__in=jobs).in_force(day)
    sheets = {sheet.job_id: sheet for sheet in in_force}
    general = GeneralLimits.objects.filter(day__lte=day).order_by("-day", "-revision").first()
    of_sheet, of_general = _lines(sheets.values(), general)
    samples = _samples({job.group_id for job in jobs})
    standards = {}
    for job in jobs:
        own = sheets.get(job.pk)
        standards[job.pk] = Standard(
            job=job,
            day=day,
            sheet=own,
            general=general,
            lines=tuple(of_sheet[own.pk]) if own else (),
            general_lines=of_general,
            samples=tuple(samples[job.group_id]),
        )
    return standards


def _lines(
    sheets: Iterable[WorkInstruction], general: GeneralLimits | None
) -> tuple[dict[UUID, list[Line]], tuple[Line, ...]]:
    wanted = Q(work_instruction__in=list(sheets))
    if general is not None:
        wanted |= Q(general=general)
    rows = LimitLine.objects.filter(wanted).select_related("family").order_by("position")
    of_sheet: dict[UUID, list[Line]] = defaultdict(list)
    of_general = []
    for row in rows:
        (line,) = lines_of([row])
        if row.work_instruction_id:
            of_sheet[row.work_instruction_id].append(line)
        else:
            of_general.append(line)
    return of_sheet, tuple(of_general)


def _samples(groups: Collection[UUID]) -> dict[UUID, list[LimitSample]]:
    samples: dict[UUID, list[LimitSample]] = defaultdict(list)
    for row in SampleRow.objects.filter(job_group__in=groups).select_related("family"):
        samples[row.job_group_id].append(
            LimitSample(
                number=row.code,
                family=row.family.slug,
                zone=row.zone,
                kind=SampleKind(row.kind),
                signed=row.signed_day,
                expires=row.expires_day,
            )
        )
    return samples
