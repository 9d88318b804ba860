"""The bank as one person would meet it: usable specimens of a pool, and what keeps others out."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import NamedTuple

from django.db.models import Count, Exists, Max, OuterRef, Q
from django.db.models.functions import Coalesce
from django.utils import timezone

from training.floor.models import Family, GeneralLimits, Turn, WorkInstruction
from training.people.models import Person
from training.quizzes.drawing import Candidate
from training.quizzes.models import Kind, Presented, Sitting
from training.quizzes.plan_rules import AHEAD
from training.specimens.models import Frame, Pool, ReferenceDecision, Region

# Kinds of sitting that show a specimen together with its answer.
WITH_ANSWER = (Kind.PRACTICE, Kind.REFRESHER)
OWN_JOBS_WITHIN = dt.timedelta(days=365)


@dataclass(frozen=True, slots=True)
class BankRow:
    """What a specimen would be presented under."""

    specimen_id: uuid.UUID
    decision_id: uuid.UUID
    work_instruction_id: uuid.UUID | None


@dataclass
class Bank:
    """Candidates of a pool, their rows by key, and how many of each family are left out and why."""

    candidates: list[Candidate] = field(default_factory=list)
    rows: dict[str, BankRow] = field(default_factory=dict)
    without_picture: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    without_outline: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    limit_moved: dict[str, int] = field(default_factory=lambda: defaultdict(int))


class _Row(NamedTuple):
    """One decision with what is needed of its specimen, newest last."""

    specimen_id: uuid.UUID
    pk: uuid.UUID
    work_instruction_id: uuid.UUID | None
    sheet_day: dt.date | None
    general_day: dt.date | None
    job_id: uuid.UUID
    family_id: uuid.UUID
    decision: str
    severity_ratio: float | None
    clear: bool
    pictured: bool
    outlined: bool


@dataclass(frozen=True)
class _Met:
    """What a person has met: days since each specimen was shown, and more that bars some of them."""

    days_ago: dict[uuid.UUID, int]
    with_answer: frozenset[uuid.UUID]
    last_by_family: dict[str, frozenset[uuid.UUID]]


def bank_for(
    person: Person,
    *,
    pool: Pool,
    day: dt.date,
    own_jobs: Collection[uuid.UUID] | None = None,
    pictured_only: bool = True,
) -> Bank:
    """Return what the pool holds for a person on a day. Costs seven queries at most, whatever its size.

    `own_jobs` are the jobs the person holds or is meant for; without them, the jobs the person has
    stood at within a year. A specimen counts under its newest decision, unless the job's limits have
    been revised since: then it stays out until it is decided again.
    """
    kinds = list(Family.objects.values_list("pk", "slug", "place__kind"))
    families = {pk: slug for pk, slug, _place in kinds}
    places = {slug: place for _pk, slug, place in kinds}
    jobs = set(own_jobs) if own_jobs is not None else _jobs_worked(person, day)
    met = _met(person, day)
    newest_sheet = dict(
        WorkInstruction.objects.filter(day__lte=day).values_list("job").annotate(day=Max("day"))
    )
    newest_general = GeneralLimits.objects.filter(day__lte=day).aggregate(day=Max("day"))["day"]
    bank = Bank()
    for row in _newest_decisions(pool, day):
        family = families[row.family_id]
        if pool == Pool.EXAM and row.specimen_id in met.with_answer:
            continue
        if _moved(row, newest_sheet.get(row.job_id), newest_general):
            bank.limit_moved[family] += 1
            continue
        bad = row.decision == ReferenceDecision.Decision.REJECT
        if pictured_only and not row.pictured:
            bank.without_picture[family] += 1
            continue
        if bad and row.pictured and not row.outlined and places[family] != "whole_part":
            bank.without_outline[family] += 1
            continue
        key = str(row.specimen_id)
        bank.rows[key] = BankRow(row.specimen_id, row.pk, row.work_instruction_id)
        bank.candidates.append(
            Candidate(
                key=key,
                family=family,
                bad=bad,
                ratio=None if row.severity_ratio is None else float(row.severity_ratio),
                clear=row.clear,
                own_job=row.job_id in jobs,
                seen_days_ago=met.days_ago.get(row.specimen_id),
                in_last_sitting=row.specimen_id in met.last_by_family.get(family, ()),
            )
        )
    return bank


def _newest_decisions(pool: Pool, day: dt.date) -> list[_Row]:
    frames = Frame.objects.filter(view__specimen=OuterRef("specimen"))
    regions = Region.objects.filter(view__specimen=OuterRef("specimen"))
    rows = (
        ReferenceDecision.objects.filter(
            Q(specimen__retired_day=None) | Q(specimen__retired_day__gt=day), specimen__pool=pool
        )
        .order_by("recorded_at", "position")
        .values_list(
            "specimen_id",
            "pk",
            "work_instruction_id",
            "work_instruction__day",
            "general__day",
            "specimen__job_id",
            Coalesce("family_id", "specimen__family_id"),
            "decision",
            "severity_ratio",
            "clear",
            Exists(frames),
            Exists(regions),
        )
    )
    newest = {row[0]: _Row(*row) for row in rows}
    return sorted(newest.values(), key=lambda row: str(row.specimen_id))


def _moved(row: _Row, sheet_day: dt.date | None, general_day: dt.date | None) -> bool:
    """Return whether the limits that decided this specimen have been replaced."""
    if row.sheet_day is not None:
        return sheet_day is not None and row.sheet_day < sheet_day
    if row.general_day is not None:
        return general_day is not None and row.general_day < general_day
    return False


def _jobs_worked(person: Person, day: dt.date) -> set[uuid.UUID]:
    since = day - OWN_JOBS_WITHIN
    return set(
        Turn.objects.filter(person=person, day__gt=since, day__lte=day).values_list(
            "job", flat=True
        )
    )


def _met(person: Person, day: dt.date) -> _Met:
    """Return what the person was shown up to the day; what was drawn and never handed out is new."""
    sittings = {
        sitting.pk: sitting
        for sitting in Sitting.objects.filter(person=person, opened_at__date__lte=day)
        .annotate(judged=Count("judgements"))
        .order_by("opened_at")
    }
    shown: dict[uuid.UUID, set[uuid.UUID]] = defaultdict(set)
    days_ago: dict[uuid.UUID, int] = {}
    with_answer: set[uuid.UUID] = set()
    for specimen_id, sitting_id, ordinal in Presented.objects.filter(
        sitting__in=sittings
    ).values_list("specimen", "sitting", "ordinal"):
        sitting = sittings[sitting_id]
        if ordinal > sitting.judged + 1 + int(sitting.worked_plan.get("ahead", AHEAD)):
            continue
        shown[sitting_id].add(specimen_id)
        ago = (day - timezone.localdate(sitting.opened_at)).days
        days_ago[specimen_id] = min(ago, days_ago.get(specimen_id, ago))
        if sitting.kind in WITH_ANSWER:
            with_answer.add(specimen_id)
    last: dict[str, frozenset[uuid.UUID]] = {}
    for sitting in sittings.values():
        if sitting.kind not in WITH_ANSWER:
            last.update(dict.fromkeys(sitting.families, frozenset(shown[sitting.pk])))
    return _Met(days_ago, frozenset(with_answer), last)
