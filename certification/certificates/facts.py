"""Gathers the facts that the standing rule reads, for many people and jobs at once.

This is the only place that turns rows of the database into facts of the rule: the matrix, the
press check, the shift plan and everybody's own page ask it. The number of queries is fixed.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from uuid import UUID

from django.db.models import Min
from django.utils import timezone

from certification.certificates import models, standing_facts
from certification.certificates.standing_facts import (
    Block,
    JobFacts,
    Level,
    PersonFacts,
    ReadingKind,
    Rules,
    Sight,
    Span,
    Stop,
    StopKind,
    plant_day,
)
from training.floor.models import Acknowledgement, Job, Turn
from training.lessons.models import Reading
from training.people.models import Authorisation, Employment, Person, VisionCheck

LEVELS = {"ordinary": Level.ORDINARY, "critical": Level.CRITICAL}
# Standing beside somebody is not work.
WORKING_KINDS = (Turn.Kind.TURN, Turn.Kind.RELIEF, Turn.Kind.UNDER_SUPERVISION)
MEETS = (VisionCheck.Result.MEETS, VisionCheck.Result.MEETS_WITH_GLASSES)


def rules_in_force(day: dt.date) -> Rules:
    """Return the plant's published rules of that day, or the defaults before any. One query."""
    return rules_of(published_rules(day))


def published_rules(day: dt.date) -> models.ValidityRules | None:
    """Return the revision of the rules in force that day, or None before any. One query."""
    rows = models.ValidityRules.objects.filter(day__lte=day).select_related("published_by")
    return rows.order_by("revision").last()


def rules_of(row: models.ValidityRules | None) -> Rules:
    """Return a revision's numbers, or the defaults without one."""
    if row is None:
        return Rules()
    return Rules(revision=str(row.revision), **row.parameters)


def job_facts(jobs: Iterable[Job]) -> dict[UUID, JobFacts]:
    """Return the facts of jobs by key, in the order given. Costs three queries."""
    wanted = list(jobs)
    full = Job.objects.filter(pk__in=[job.pk for job in wanted]).select_related("group")
    rows = {job.pk: job for job in full.prefetch_related("cautions", "work_instructions", "alerts")}
    return {job.pk: _job_facts(rows[job.pk]) for job in wanted}


def _job_facts(job: Job) -> JobFacts:
    sheets = sorted(job.work_instructions.all(), key=lambda sheet: sheet.day)
    return JobFacts(
        number=job.number,
        job_group=job.group.code,
        critical_job=job.critical_job,
        needs_colour_vision=job.needs_colour_vision,
        cautions=tuple(caution.code for caution in job.cautions.all()),
        needs_authorisation=tuple(job.needs_authorisation),
        revisions=tuple(
            standing_facts.Revision(
                code=sheet.revision,
                day=sheet.day,
                needs_check=sheet.replaces_with_check,
                needs={slug: LEVELS[level] for slug, level in sheet.needs.items()},
            )
            for sheet in sheets
        ),
        alerts=tuple(
            standing_facts.Alert(alert.number, Span(alert.from_day, alert.last_day))
            for alert in job.alerts.all()
            # One that was withdrawn before its first day never held.
            if alert.last_day >= alert.from_day
        ),
    )


def person_facts(people: Iterable[Person]) -> dict[UUID, PersonFacts]:
    """Return the facts of people by key, in the order given. Costs eleven queries."""
    keys = [person.pk for person in people]
    employments, certificates = _employments(keys), certificates_of(keys)
    checks, sight, leave = _observed_checks(keys), _vision_checks(keys), _authorisations(keys)
    work, readings = _work_days(keys), _readings(keys)
    lessons, requalifications = _lessons(keys), _requalifications(keys)
    return {
        key: PersonFacts(
            key=str(key),
            employments=tuple(employments[key]),
            certificates=tuple(certificates[key]),
            observed_checks=tuple(checks[key]),
            vision_checks=tuple(sight[key]),
            authorisations=tuple(leave[key]),
            work_days=tuple(work[key]),
            readings=tuple(readings[key]),
            lessons=tuple(lessons[key]),
            requalifications=tuple(requalifications[key]),
        )
        for key in keys
    }


def _employments(keys: Sequence[UUID]) -> dict[UUID, list[Span]]:
    found: dict[UUID, list[Span]] = defaultdict(list)
    for row in Employment.objects.filter(person_id__in=keys):
        found[row.person_id].append(Span(row.from_day, row.to_day))
    return found


def certificates_of(people: Iterable[UUID]) -> dict[UUID, list[standing_facts.Certificate]]:
    """Return people's certificates by key; nobody's is an empty list. Costs two queries."""
    keys = list(people)
    stops = _stops(keys)
    found: dict[UUID, list[standing_facts.Certificate]] = defaultdict(list)
    rows = models.Certificate.objects.filter(person_id__in=keys, corrections=None)
    for row in rows.select_related("family"):
        found[row.person_id].append(
            standing_facts.Certificate(
                family=row.family.slug,
                level=LEVELS[row.level],
                granted=row.granted_day,
                expires=row.expires_day,
                stops=tuple(stops[row.pk]),
                key=str(row.pk),
            )
        )
    return found


def _stops(keys: Sequence[UUID]) -> dict[UUID, list[Stop]]:
    """Pair each suspension with the restoration that ended it."""
    kinds = models.CertificateEvent.Kind
    found: dict[UUID, list[Stop]] = defaultdict(list)
    events = models.CertificateEvent.objects.filter(certificate__person_id__in=keys)
    for event in events.order_by("position"):
        stops = found[event.certificate_id]
        if event.kind == kinds.RESTORED:
            last = stops.pop()
            stops.append(Stop(last.kind, last.first, event.day, last.began, event.recorded_at))
        else:
            kind = StopKind.WITHDRAWN if event.kind == kinds.WITHDRAWN else StopKind.SUSPENDED
            stops.append(Stop(kind, event.day, None, event.recorded_at))
    return found


def _observed_checks(keys: Sequence[UUID]) -> dict[UUID, list[standing_facts.ObservedCheck]]:
    can_teach = models.ObservedCheck.Holds.CAN_TEACH
    found: dict[UUID, list[standing_facts.ObservedCheck]] = defaultdict(list)
    rows = models.ObservedCheck.objects.filter(person_id__in=keys, corrections=None)
    for row in rows.select_related("job_group"):
        found[row.person_id].append(
            standing_facts.ObservedCheck(
                row.job_group.code, row.observed_day, row.level == can_teach
            )
        )
    return found


def _vision_checks(keys: Sequence[UUID]) -> dict[UUID, list[standing_facts.VisionCheck]]:
    found: dict[UUID, list[standing_facts.VisionCheck]] = defaultdict(list)
    rows = VisionCheck.objects.filter(person_id__in=keys, corrections=None)
    # Of two checks on one day the one recorded later counts.
    for row in rows.select_related("result").order_by("position"):
        found[row.person_id].append(
            standing_facts.VisionCheck(
                Sight(row.kind), row.day, row.result.text in MEETS, row.due_day
            )
        )
    return found


def _authorisations(keys: Sequence[UUID]) -> dict[UUID, list[standing_facts.Authorisation]]:
    found: dict[UUID, list[standing_facts.Authorisation]] = defaultdict(list)
    for row in Authorisation.objects.filter(person_id__in=keys, corrections=None):
        found[row.person_id].append(standing_facts.Authorisation(row.kind, Span(row.day)))
    return found


def _work_days(keys: Sequence[UUID]) -> dict[UUID, list[standing_facts.WorkDay]]:
    """Days worked by job group: from turns, and the last one before the turns begin."""
    found: dict[UUID, list[standing_facts.WorkDay]] = defaultdict(list)
    turns = (
        Turn.objects.filter(person_id__in=keys, kind__in=WORKING_KINDS, corrections=None)
        .values_list("person_id", "job__group__code", "day")
        .annotate(began=Min("started_at"))
        .order_by()
    )
    for person, group, day, began in turns:
        found[person].append(standing_facts.WorkDay(group, day, began))
    earlier = models.ObservedCheck.objects.filter(person_id__in=keys, corrections=None)
    for check in earlier.exclude(last_worked_before=None).select_related("job_group"):
        if check.last_worked_before is not None:
            found[check.person_id].append(
                standing_facts.WorkDay(check.job_group.code, check.last_worked_before)
            )
    return found


def _readings(keys: Sequence[UUID]) -> dict[UUID, list[standing_facts.Reading]]:
    found: dict[UUID, list[standing_facts.Reading]] = defaultdict(list)
    zone = timezone.get_default_timezone()
    rows = Acknowledgement.objects.filter(person_id__in=keys, corrections=None).values_list(
        "person_id",
        "kind",
        "work_instruction__revision",
        "work_instruction__job__number",
        "alert__number",
        "caution__code",
        "day",
        "read_at",
        "check_right",
        "check_shown",
    )
    for person, kind, revision, job, alert, caution, day, read_at, right, shown in rows:
        found[person].append(
            standing_facts.Reading(
                kind=ReadingKind(kind),
                ref=revision or alert or caution or "",
                # A moment is of the plant day that it falls into; paper names the day itself.
                day=plant_day(read_at, zone) if read_at else day,
                job=job or "",
                moment=read_at,
                check_passed=bool(shown) and right == shown,
            )
        )
    return found


def _lessons(keys: Sequence[UUID]) -> dict[UUID, list[standing_facts.LessonRead]]:
    found: dict[UUID, list[standing_facts.LessonRead]] = defaultdict(list)
    rows = Reading.objects.filter(person_id__in=keys).values_list(
        "person_id", "family__slug", "day"
    )
    for person, family, day in rows:
        found[person].append(standing_facts.LessonRead(family, day))
    return found


def _requalifications(keys: Sequence[UUID]) -> dict[UUID, list[standing_facts.Requalification]]:
    found: dict[UUID, list[standing_facts.Requalification]] = defaultdict(list)
    rows = models.RequalificationNeed.objects.filter(person_id__in=keys)
    for row in rows.select_related("order", "closure"):
        closure = getattr(row, "closure", None)
        found[row.person_id].append(
            standing_facts.Requalification(
                order=row.order.number,
                families=frozenset(row.order.families),
                block=Block(row.block),
                raised=row.order.raised_day,
                due=row.due_day,
                closed=closure.closed_day if closure else None,
            )
        )
    return found
