"""The bank as one person would meet it: usable specimens of a pool, and what keeps others out."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final, Protocol, cast

from django.db.models import Count, Exists, OuterRef, Q
from django.utils import timezone

from training.floor.models import Family, Turn
from training.people.models import Person
from training.quizzes.drawing import Candidate
from training.quizzes.kinds import EXAMS, PRACTICE
from training.quizzes.models import ExamConditions, Presented, Sitting
from training.quizzes.plan_rules import AHEAD
from training.specimens.models import (
    Frame,
    PanelLook,
    Pool,
    ReferenceDecision,
    Region,
    Specimen,
)
from training.specimens.register import usable_parts
from training.specimens.standards import too_near

# Kinds of sitting that show a specimen together with its answer.
WITH_ANSWER = PRACTICE
WHOLE_PART: Final = "whole_part"
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
    # Real parts of which the register has no copy that may be used.
    without_copy: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    without_outline: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    undecided: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    # Within 5 % of their limit: whatever they are decided, no exam rests on them.
    too_near: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    # The jobs counted as the person's own.
    jobs: frozenset[uuid.UUID] = frozenset()


@dataclass(frozen=True)
class _Met:
    """What a person has met: days since each specimen was shown, and more that bars some of them."""

    days_ago: dict[uuid.UUID, int]
    with_answer: frozenset[uuid.UUID]
    last_by_family: dict[str, frozenset[uuid.UUID]]


def bank_for(
    person: Person | None,
    *,
    pool: Pool,
    day: dt.date,
    own_jobs: Collection[uuid.UUID] | None = None,
    pictured_only: bool = True,
    limits_of: dt.date | None = None,
    before: dt.datetime | None = None,
) -> Bank:
    """Return what the pool holds for a person on a day. Costs six queries, seven for real parts.

    With `pictured_only` these are pictures; without it numbered real parts, of which the register
    has a copy that may be used that day.
    `own_jobs` are the jobs the person holds or is meant for; without them, the jobs the person has
    stood at within a year. A specimen counts under its decision for the limits in force: when a limit
    moves it stays out until it is decided again. `limits_of` is the day whose limits decide, where
    that is not the day itself. What the person judged on the reference panel never examines them.
    Without a person it is the bank of somebody who has met nothing. With `before` only what the
    person met before that moment counts, to see the bank as an earlier sitting found it.
    """
    jobs, met = set(own_jobs or ()), _Met({}, frozenset(), {})
    if person is not None:
        jobs = jobs if own_jobs is not None else _jobs_worked(person, day)
        met = _met(person, day, before)
    usable = set() if pictured_only else usable_parts(day)
    bank = Bank(jobs=frozenset(jobs))
    for row in _specimens(pool, day, limits_of or day, before):
        family = row.family.slug
        if pool == Pool.EXAM and row.pk in met.with_answer:
            continue
        if row.decided is None or row.decision_id is None:
            bank.undecided[family] += 1
            continue
        if pool == Pool.EXAM and too_near(row.decided_ratio):
            bank.too_near[family] += 1
            continue
        bad = row.decided == ReferenceDecision.Decision.REJECT
        if not row.pictured and pictured_only:
            bank.without_picture[family] += 1
            continue
        if row.pictured and not pictured_only:
            # A sitting is on pictures or on real parts: a change between them would tell.
            continue
        if not row.pictured and row.pk not in usable:
            bank.without_copy[family] += 1
            continue
        if bad and row.pictured and not row.outlined and row.family.place.get("kind") != WHOLE_PART:
            bank.without_outline[family] += 1
            continue
        key = str(row.pk)
        bank.rows[key] = BankRow(row.pk, row.decision_id, row.sheet_id)
        bank.candidates.append(
            Candidate(
                key=key,
                family=family,
                bad=bad,
                ratio=None if row.decided_ratio is None else float(row.decided_ratio),
                clear=bool(row.decided_clear),
                own_job=row.job_id in jobs,
                seen_days_ago=met.days_ago.get(row.pk),
                in_last_sitting=row.pk in met.last_by_family.get(family, ()),
                synthetic=row.synthetic,
            )
        )
    return bank


class _Specimen(Protocol):
    """A specimen with what `_specimens` adds to it."""

    pk: uuid.UUID
    job_id: uuid.UUID
    family: Family
    synthetic: bool
    sheet_id: uuid.UUID | None
    decision_id: uuid.UUID | None
    decided: str | None
    decided_ratio: Decimal | None
    decided_clear: bool | None
    pictured: bool
    outlined: bool


def _specimens(
    pool: Pool, day: dt.date, limits_of: dt.date, before: dt.datetime | None
) -> list[_Specimen]:
    there = Q() if before is None else Q(created_at__lt=before)
    columns = {
        "pictured": Exists(Frame.objects.filter(view__specimen=OuterRef("pk"))),
        "outlined": Exists(Region.objects.filter(view__specimen=OuterRef("pk"))),
    }
    found = (
        Specimen.objects.filter(Q(retired_day=None) | Q(retired_day__gt=day), there, pool=pool)
        .with_decision(limits_of, before=before)
        .annotate(**columns)
        .select_related("family")
        .order_by("pk")
    )
    return cast(list[_Specimen], list(found))


def _jobs_worked(person: Person, day: dt.date) -> set[uuid.UUID]:
    since = day - OWN_JOBS_WITHIN
    return set(
        Turn.objects.filter(person=person, day__gt=since, day__lte=day).values_list(
            "job", flat=True
        )
    )


def _met(person: Person, day: dt.date, before: dt.datetime | None) -> _Met:
    """Return what the person was shown up to the day; what was drawn and never handed out is new."""
    opened = Sitting.objects.filter(person=person, opened_at__date__lte=day)
    in_time = Q()
    if before is not None:
        opened = opened.filter(opened_at__lt=before)
        in_time = Q(judgements__recorded_at__lt=before)
    sittings = {
        sitting.pk: sitting
        for sitting in opened.annotate(
            judged=Count("judgements", filter=in_time),
            begun=Exists(ExamConditions.objects.filter(sitting=OuterRef("pk"))),
        ).order_by("opened_at")
    }
    shown: dict[uuid.UUID, set[uuid.UUID]] = defaultdict(set)
    days_ago: dict[uuid.UUID, int] = {}
    # Whoever looked for the panel learns what it settled.
    with_answer: set[uuid.UUID] = set(
        PanelLook.objects.filter(member=person, looked_at__date__lte=day).values_list(
            "item__specimen", flat=True
        )
    )
    for specimen_id, sitting_id, ordinal in Presented.objects.filter(
        sitting__in=sittings
    ).values_list("specimen", "sitting", "ordinal"):
        sitting = sittings[sitting_id]
        if ordinal > sitting.judged + 1 + int(sitting.worked_plan.get("ahead", AHEAD)):
            continue
        if _never_begun(sitting):
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


def _never_begun(sitting: Sitting) -> bool:
    """Return whether an exam's screen was never checked, so that no part was handed out."""
    begun: bool = sitting.begun or sitting.judged > 0  # type: ignore[attr-defined]
    return sitting.kind in EXAMS and sitting.device_id is not None and not begun
