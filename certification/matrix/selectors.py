"""The skills matrix of a crew at a moment: rows, cover, and the days it loses people."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from uuid import UUID

import numpy as np
from django.db.models import Q

from certification.certificates.facts import job_facts, person_facts, rules_in_force
from certification.certificates.selectors import (
    Explained,
    asked_at,
    in_words,
    language_now,
    names,
    shift_on,
    today_at_the_plant,
)
from certification.certificates.standing import JobFacts, Rules, StandingTable, explain
from certification.certificates.standing_table import ALONE
from certification.certificates.wording import Language
from certification.matrix.cells import Cell, make_cell
from training.floor.models import Job
from training.people.models import Crew, Person, Role
from training.people.texts import in_language

FORECAST_DAYS = 90
URGENT = {"suspended": 0, "lapsed": 1, "no": 2, "due": 3, "buddy": 4}


@dataclass(frozen=True)
class Column:
    """One job of the matrix; `first` where a group of twin jobs begins."""

    job: Job
    name: str
    first: bool
    span: int
    alone: int
    thin: bool


@dataclass(frozen=True)
class Row:
    """One person of the matrix, with the most urgent word beside the name."""

    person: Person
    cells: tuple[Cell, ...]
    note_kind: str
    note_count: int
    away: str


@dataclass(frozen=True)
class Loss:
    """The day on which jobs have nobody left, or nobody to spare, and whose day it is."""

    jobs: str
    day: dt.date
    people: tuple[str, ...]


@dataclass(frozen=True)
class Matrix:
    """A crew's matrix at a moment."""

    moment: dt.datetime
    day: dt.date
    rules: Rules
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    loses_last: tuple[Loss, ...]
    becomes_thin: tuple[Loss, ...]
    counts: dict[str, int] = field(default_factory=dict)


def matrix_people(crew: Crew | None, day: dt.date) -> list[Person]:
    """Return the operators employed on the day, of one crew or all, by name. One query."""
    people = Person.objects.filter(groups__name=Role.OPERATOR, employments__from_day__lte=day)
    people = people.filter(Q(employments__to_day=None) | Q(employments__to_day__gte=day))
    if crew is not None:
        people = people.filter(crew=crew)
    return list(people.select_related("crew").order_by("name").distinct())


def make_matrix(
    *,
    moment: dt.datetime,
    crew: Crew | None = None,
    group: str = "",
    absences: dict[UUID, str] | None = None,
    forecast: bool = True,
) -> Matrix:
    """Return who may run which job at the moment. The number of queries is fixed."""
    day = today_at_the_plant(moment)
    people = matrix_people(crew, day)
    jobs = list(_jobs(day, group))
    facts, needs = person_facts(people), job_facts(jobs)
    rules, known, language = rules_in_force(day), names(), language_now()
    ends = shift_on(crew, day).ends if crew is not None else None
    asked = asked_at(moment, ends if ends and ends > moment else None)
    away = absences or {}
    rows = []
    for person in people:
        cells = tuple(
            make_cell(
                explain(facts[person.pk], needs[job.pk], rules, asked),
                facts[person.pk],
                needs[job.pk],
                rules=rules,
                day=day,
                away=away.get(person.pk, ""),
                names=known,
                language=language,
            )
            for job in jobs
        )
        rows.append(_row(person, cells, away.get(person.pk, "")))
    rows.sort(key=lambda row: (URGENT.get(row.note_kind, 9), row.person.name))
    held = [facts[person.pk] for person in people]
    known_jobs = [_as_known(needs[job.pk], day) for job in jobs]
    table = StandingTable(held, known_jobs, rules)
    alone_now = [
        sum(row.cells[place].kind in ("alone", "due") for row in rows) for place in range(len(jobs))
    ]
    losses = _losses(table, people, jobs, day) if forecast and people else ((), ())
    return Matrix(
        moment=moment,
        day=day,
        rules=rules,
        columns=_columns(jobs, alone_now, language),
        rows=tuple(rows),
        loses_last=losses[0],
        becomes_thin=losses[1],
        counts={kind: sum(c.kind == kind for r in rows for c in r.cells) for kind in KINDS},
    )


KINDS = ("alone", "due", "away", "buddy", "lapsed", "suspended", "no", "none")


def explain_cell(person: Person, job: Job, moment: dt.datetime) -> Explained:
    """Return one cell's answer in sentences, with what to do about each reason."""
    asked = asked_at(moment)
    answer = explain(
        person_facts([person])[person.pk],
        job_facts([job])[job.pk],
        rules_in_force(asked.day),
        asked,
    )
    return in_words(answer, day=asked.day, known=names(), language=language_now())


def _jobs(day: dt.date, group: str) -> Sequence[Job]:
    jobs = Job.objects.filter(Q(ended_day=None) | Q(ended_day__gte=day)).select_related(
        "group", "press"
    )
    return list(jobs.filter(group__code=group) if group else jobs)


def _row(person: Person, cells: tuple[Cell, ...], away: str) -> Row:
    kinds = [cell.kind for cell in cells if cell.kind in URGENT]
    first = min(kinds, key=lambda kind: URGENT[kind], default="")
    return Row(person, cells, first, kinds.count(first) if first else 0, away)


def _columns(jobs: Sequence[Job], alone: Sequence[int], language: Language) -> tuple[Column, ...]:
    columns = []
    for place, job in enumerate(jobs):
        first = place == 0 or jobs[place - 1].group_id != job.group_id
        span = sum(1 for other in jobs if other.group_id == job.group_id)
        count = alone[place]
        columns.append(
            Column(job, in_language(job.part, language), first, span, count, count <= job.persons)
        )
    return tuple(columns)


def _losses(
    table: StandingTable, people: Sequence[Person], jobs: Sequence[Job], day: dt.date
) -> tuple[tuple[Loss, ...], tuple[Loss, ...]]:
    """Walk the next weeks and note the first day a job is left with nobody, or nobody to spare."""
    before = table.on(day) == ALONE
    last: dict[int, Loss] = {}
    thin: dict[int, Loss] = {}
    for offset in range(1, FORECAST_DAYS + 1):
        then = day + dt.timedelta(days=offset)
        now = table.on(then) == ALONE
        for place in np.flatnonzero((before & ~now).any(axis=0)):
            column, job = int(place), jobs[int(place)]
            gone = tuple(
                people[int(p)].name for p in np.flatnonzero(before[:, place] & ~now[:, place])
            )
            left, had = int(now[:, place].sum()), int(before[:, place].sum())
            loss = Loss(job.number, then, gone)
            if left == 0 < had:
                last.setdefault(column, loss)
            elif left <= job.persons < had:
                thin.setdefault(column, loss)
        before = now
    return _soonest(last), _soonest(thin)


def _as_known(job: JobFacts, day: dt.date) -> JobFacts:
    """Leave out what begins later and will be read then: a forecast is about what runs out."""
    return replace(
        job,
        alerts=tuple(alert for alert in job.alerts if alert.span.first <= day),
        revisions=tuple(revision for revision in job.revisions if revision.day <= day),
    )


def _soonest(found: dict[int, Loss]) -> tuple[Loss, ...]:
    """Put jobs that lose the same people on the same day into one line, soonest first."""
    together: dict[tuple[dt.date, tuple[str, ...]], list[str]] = {}
    for loss in found.values():
        together.setdefault((loss.day, loss.people), []).append(loss.jobs)
    return tuple(
        Loss(", ".join(sorted(jobs)), day, people)
        for (day, people), jobs in sorted(together.items())
    )
