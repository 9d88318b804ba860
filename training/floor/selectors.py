"""Questions about the floor: a job's sheet on a day, its limits with their reasons, what is unread."""

import datetime as dt
import unicodedata
import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch
from django.utils import timezone

from training.floor.concession_selectors import concession_lines, line_of
from training.floor.limit_rulings import (
    AlertLines,
    JobPapers,
    Ruling,
    SampleKind,
    limits_for,
)
from training.floor.limit_rulings import LimitSample as Sample
from training.floor.limits import WHOLE_PART, ZONES, Line
from training.floor.models import (
    Acknowledgement,
    Alert,
    Concession,
    Family,
    FamilyGroup,
    FirstPiece,
    GeneralLimits,
    Job,
    LimitLine,
    LimitSample,
    WorkInstruction,
)
from training.floor.plant_days import plant_day
from training.people.models import Authorisation, Employment, Person


def sheet_in_force(job: Job, day: dt.date) -> WorkInstruction | None:
    """Return the revision of the job's sheet that holds on the day. Costs one query."""
    return WorkInstruction.objects.in_force(day).filter(job=job).first()


def lines_of(rows: Iterable[LimitLine]) -> list[Line]:
    """Return stored lines as lines of the pure rules; the family must be loaded with them."""
    return [line_of(row) for row in rows]


def lines_of_sheet(sheet: WorkInstruction) -> list[Line]:
    """Return the lines of one revision, in the order of the sheet. Costs one query."""
    return lines_of(sheet.lines.select_related("family"))


def papers_of(job: Job, day: dt.date, sheet: WorkInstruction | None = None) -> JobPapers:
    """Gather what the job's limits rest on. Costs at most ten queries.

    `sheet` is the revision asked for; without it the one in force on the day.
    """
    sheet = sheet or sheet_in_force(job, day)
    lines = Prefetch("lines", LimitLine.objects.select_related("family"))
    general = GeneralLimits.objects.filter(day__lte=day).order_by("-day").first()
    alerts = Alert.objects.on(day).filter(jobs=job).prefetch_related(lines)
    concessions = Concession.objects.on(day).filter(job=job)
    samples = LimitSample.objects.filter(job_group_id=job.group_id).select_related("family")
    return JobPapers(
        revision=sheet.revision if sheet else "",
        lines=tuple(lines_of_sheet(sheet)) if sheet else (),
        general=tuple(lines_of(general.lines.select_related("family"))) if general else (),
        alerts=tuple(_alert_lines(alert) for alert in alerts),
        concessions=tuple(
            concession_lines(paper, day)
            for paper in concessions.select_related(
                "signed_by", "second_signed_by"
            ).prefetch_related(lines, "counts")
        ),
        samples=tuple(_sample(sample) for sample in samples),
    )


def _alert_lines(alert: Alert) -> AlertLines:
    lines = tuple(lines_of(alert.lines.all()))
    return AlertLines(alert.number, alert.from_day, alert.last_day, lines)


def _sample(sample: LimitSample) -> Sample:
    return Sample(
        sample.code,
        sample.family.slug,
        sample.zone,
        SampleKind(sample.kind),
        sample.signed_day,
        sample.expires_day,
    )


def rulings_on(job: Job, day: dt.date, family: str, zone: str) -> tuple[Ruling, ...]:
    """Return the limit of one family in one zone of a job on a day, and why."""
    return limits_for(papers_of(job, day), family=family, zone=zone, day=day)


@dataclass(frozen=True, slots=True)
class FamilyLimits:
    """What rules one family in one zone."""

    family: Family
    level: str
    rulings: tuple[Ruling, ...]


@dataclass(frozen=True, slots=True)
class ZoneLimits:
    """One zone of a part: where it is, and what rules there, family by family."""

    zone: str
    place: dict[str, str]
    families: tuple[FamilyLimits, ...]


def zone_limits(
    job: Job, papers: JobPapers, needs: Mapping[str, str], day: dt.date
) -> list[ZoneLimits]:
    """Return the limits of every zone the job has, for the families its sheet needs. One query.

    An alert may speak of a family or a zone that the sheet does not.
    """
    alerted = [line for alert in papers.alerts for line in alert.lines]
    families = list(Family.objects.filter(slug__in={*needs, *(line.family for line in alerted)}))
    whole = _families_of_the_whole_part(papers)
    found = []
    for zone in zones_of(job, (*papers.lines, *alerted)):
        rows = tuple(
            FamilyLimits(family, needs.get(family.slug, "ordinary"), rulings)
            for family in families
            if (zone == WHOLE_PART) == (family.slug in whole)
            and (rulings := limits_for(papers, family=family.slug, zone=zone, day=day))
        )
        if rows:
            found.append(ZoneLimits(zone, job.zones.get(zone, {}), rows))
    return found


def zones_of(job: Job, lines: Iterable[Line]) -> list[str]:
    """Return the zones that the job's drawing names or its limits speak of, and the whole part."""
    named = {*job.zones, *(line.zone for line in lines), WHOLE_PART}
    return [zone for zone in ZONES if zone in named]


def _families_of_the_whole_part(papers: JobPapers) -> set[str]:
    """Families whose limit knows no zones: hands, labels, packing."""
    own = {line.family for line in papers.lines}
    ruling = (*papers.lines, *(line for line in papers.general if line.family not in own))
    return {line.family for line in ruling if line.zone == WHOLE_PART}


@dataclass(frozen=True, slots=True)
class ToRead:
    """Something to read before running the job, and when this person read it, if they did."""

    kind: str
    subject: WorkInstruction | Alert
    reading: Acknowledgement | None


@dataclass(frozen=True, slots=True)
class CautionToRead:
    """A caution of the job and when this person read it, if they did."""

    code: str
    pk: uuid.UUID
    title: dict[str, str]
    text: dict[str, str]
    reading: Acknowledgement | None


@dataclass(frozen=True, slots=True)
class Need:
    """A family whose certificate the job asks for."""

    family: Family
    level: str


@dataclass(frozen=True, slots=True)
class Authority:
    """An authorisation the job asks for, and whether this person holds it."""

    kind: str
    label: str
    held: bool


@dataclass(frozen=True)
class JobSheet:
    """A job's page for one person on one day."""

    job: Job
    sheet: WorkInstruction | None
    earlier: WorkInstruction | None
    reading: Acknowledgement | None
    alerts: tuple[ToRead, ...]
    cautions: tuple[CautionToRead, ...]
    needs: tuple[Need, ...]
    authorities: tuple[Authority, ...]
    zones: tuple[ZoneLimits, ...]
    first_piece: FirstPiece | None

    @property
    def unread(self) -> int:
        """How many papers this person has still to read."""
        readings = [row.reading for row in self.alerts] + [row.reading for row in self.cautions]
        if self.sheet is not None:
            readings.append(self.reading)
        return readings.count(None)


def job_sheet(job: Job, person: Person, *, moment: dt.datetime, day: dt.date) -> JobSheet:
    """Gather a job's page. The number of queries is fixed; no row asks another."""
    sheets = WorkInstruction.objects.filter(job=job, day__lte=day).newest_first()[:2]
    sheet, earlier = (*sheets, None, None)[:2]
    papers = papers_of(job, day, sheet)
    readings = _readings(person)
    needs: dict[str, str] = sheet.needs if sheet else {}
    zones = zone_limits(job, papers, needs, day)
    return JobSheet(
        job=job,
        sheet=sheet,
        earlier=earlier,
        reading=readings.get(sheet.pk) if sheet else None,
        alerts=tuple(
            ToRead("alert", alert, readings.get(alert.pk))
            for alert in Alert.objects.on(day).filter(jobs=job).order_by("-from_day", "number")
        ),
        cautions=tuple(
            CautionToRead(each.code, each.pk, each.title, each.text, readings.get(each.pk))
            for each in job.cautions.all()
        ),
        needs=tuple(
            Need(family, needs[family.slug])
            for family in Family.objects.filter(slug__in=needs).order_by("position")
        ),
        authorities=_authorities(job, person),
        zones=tuple(zones),
        first_piece=first_piece_of(job, moment),
    )


def _readings(person: Person) -> dict[uuid.UUID, Acknowledgement]:
    """Return what the person has read, by what was read; the first reading counts."""
    found: dict[uuid.UUID, Acknowledgement] = {}
    rows = Acknowledgement.objects.filter(person=person, corrections=None).order_by(
        "day", "position"
    )
    for row in rows:
        subject = row.work_instruction_id or row.alert_id or row.caution_id
        if subject is not None:
            found.setdefault(subject, row)
    return found


def _authorities(job: Job, person: Person) -> tuple[Authority, ...]:
    held = set(
        Authorisation.objects.filter(
            person=person, kind__in=job.needs_authorisation, corrections=None
        ).values_list("kind", flat=True)
    )
    return tuple(
        Authority(kind, str(Authorisation.Kind(kind).label), kind in held)
        for kind in job.needs_authorisation
    )


def first_piece_of(job: Job, moment: dt.datetime) -> FirstPiece | None:
    """Return the first piece approved last before the moment. Costs one query."""
    return (
        FirstPiece.objects.filter(job=job, approved_at__lte=moment)
        .select_related("approved_by", "checked_by", "work_instruction")
        .order_by("-approved_at")
        .first()
    )


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job in the list of jobs."""

    job: Job
    sheet: WorkInstruction | None
    alerts: tuple[Alert, ...]


def list_jobs(day: dt.date, query: str = "") -> list[JobRow]:
    """Return the jobs that are run, those with an alert in force first. Costs five queries."""
    alerts: dict[uuid.UUID, list[Alert]] = defaultdict(list)
    for alert in Alert.objects.on(day).prefetch_related("jobs").order_by("number"):
        for job in alert.jobs.all():
            alerts[job.pk].append(alert)
    sheets = {sheet.job_id: sheet for sheet in WorkInstruction.objects.in_force(day)}
    jobs = Job.objects.running(day).select_related("press", "product", "group")
    rows = [
        JobRow(job, sheets.get(job.pk), tuple(alerts[job.pk]))
        for job in jobs.prefetch_related("alternates")
        if matches(job, query)
    ]
    return sorted(rows, key=lambda row: (not row.alerts, row.job.number))


def matches(job: Job, query: str) -> bool:
    """Return whether every word of the query stands in the job's number, part, press or customer."""
    words = [
        job.number,
        *job.part.values(),
        *(job.colour or {}).values(),
        job.tool,
        job.press.code if job.press else "",
        job.product.customer if job.product else "",
    ]
    text = " ".join(_folded(str(word)) for word in words)
    return all(word in text for word in _folded(query).split())


def _folded(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in apart if not unicodedata.combining(char))


def alerts_in_force(day: dt.date) -> dict[uuid.UUID, list[Alert]]:
    """Return the alerts in force on a day, by the job they speak of. Costs two queries."""
    found: dict[uuid.UUID, list[Alert]] = defaultdict(list)
    for alert in Alert.objects.on(day).prefetch_related("jobs"):
        for job in alert.jobs.all():
            found[job.pk].append(alert)
    return dict(found)


def families_by_group() -> list[tuple[FamilyGroup, Sequence[Family]]]:
    """Return every family under its group, in the order of the plant. Costs two queries."""
    groups = FamilyGroup.objects.prefetch_related("families")
    return [(group, list(group.families.all())) for group in groups]


@dataclass(frozen=True)
class LimitDraft:
    """What a new revision of a job's sheet starts from."""

    sheet: WorkInstruction
    lines: tuple[Line, ...]
    families: tuple[tuple[Family, str], ...]
    general: tuple[Line, ...]
    readers: int


def limit_draft(job: Job, day: dt.date) -> LimitDraft | None:
    """Return the newest sheet with its lines and who must read what follows; None without a sheet.

    `readers` are those who have read the newest revision and are employed on the day. Costs six
    queries.
    """
    sheet = WorkInstruction.objects.filter(job=job).newest_first().first()
    if sheet is None:
        return None
    general = GeneralLimits.objects.filter(day__lte=day).order_by("-day").first()
    readers = Acknowledgement.objects.filter(work_instruction=sheet, corrections=None)
    employed = Employment.objects.on(day).values("person")
    families = Family.objects.filter(slug__in=sheet.needs)
    return LimitDraft(
        sheet=sheet,
        lines=tuple(lines_of_sheet(sheet)),
        families=tuple((family, sheet.needs[family.slug]) for family in families),
        general=tuple(lines_of(general.lines.select_related("family"))) if general else (),
        readers=readers.filter(person__in=employed).values("person").distinct().count(),
    )


def today_at_the_plant(moment: dt.datetime) -> dt.date:
    """Return the plant day of a moment, in the plant's time zone; it changes at 06:00."""
    return plant_day(moment, timezone.get_default_timezone())
