"""What somebody's own page knows: their shift, their jobs, what is due, and their certificates."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from certification.certificates.facts import job_facts, person_facts, rules_in_force
from certification.certificates.models import Arrangement, RequalificationNeed
from certification.certificates.selectors import Shift, asked_at, names, shift_for
from certification.certificates.standing import (
    Answer,
    Asked,
    FamilyStanding,
    JobFacts,
    PersonFacts,
    Rules,
    Standing,
    Verdict,
    explain,
    family_standing,
)
from certification.certificates.standing_facts import Level
from certification.certificates.waiting import Undecided, waiting_of
from certification.certificates.wording import Names
from certification.staffing.models import Assignment
from certification.staffing.selectors import open_turn_of
from certification.training_plans.selectors import Way, arrangements_of, buddies_of, way_to
from training.floor.models import Alert, Job, Turn
from training.people.models import Person
from training.quizzes.models import ScoreCorrection, SittingEnd
from training.quizzes.selectors.low_rate import LowRateDue, low_rate_due
from training.quizzes.selectors.results import SittingRow, waiting_exam
from training.quizzes.selectors.studies import OwnRound, own_rounds
from training.quizzes.selectors.turned import counted_each
from training.specimens.panel_turns import DueRound, due_rounds

# No first, then with a buddy, then alone.
ORDER = {Verdict.NO: 0, Verdict.BUDDY: 1, Verdict.ALONE: 2}


@dataclass(frozen=True)
class OwnJob:
    """One job of the person: the answer, who is beside them, how long the certificates last."""

    job: Job
    answer: Answer
    needs: JobFacts
    buddy: str
    press: str
    families: int
    soonest: str
    days_left: int | None


@dataclass(frozen=True)
class OwnCertificate:
    """What the person's certificates of one family are worth; `needed` where a job asks for it."""

    family: str
    standing: FamilyStanding
    needed: bool


@dataclass(frozen=True)
class LastResult:
    """The end of the last exam of a family, and what it counts as today."""

    end: SittingEnd
    counted: SittingEnd | ScoreCorrection


@dataclass(frozen=True)
class MyWork:
    """Everything of one person's page, before it is put into words."""

    person: Person
    moment: dt.datetime
    shift: Shift | None
    asked: Asked
    rules: Rules
    names: Names
    known: PersonFacts
    jobs: tuple[OwnJob, ...]
    certificates: tuple[OwnCertificate, ...]
    exam: SittingRow | None
    study_rounds: tuple[OwnRound, ...]
    low_rate: LowRateDue
    panels: tuple[DueRound, ...]
    undecided: tuple[Undecided, ...]
    last_results: dict[str, LastResult]
    needs: tuple[RequalificationNeed, ...]
    alerts: dict[str, Alert]
    turn: Turn | None
    way: Way | None

    def count(self, verdict: Verdict) -> int:
        return sum(own.answer.verdict is verdict for own in self.jobs)


@dataclass(frozen=True)
class _Record:
    """What is gathered once and read by several parts of the page."""

    person: Person
    known: PersonFacts
    rules: Rules
    asked: Asked
    arrangements: list[Arrangement]
    tonight: dict[UUID, Assignment]
    jobs: list[Job]
    needs: dict[UUID, JobFacts]
    undecided: list[Undecided]


def my_work(person: Person, moment: dt.datetime) -> MyWork:
    """Gather one person's page. The number of queries does not depend on what they hold."""
    shift = shift_for(person.crew, moment) if person.crew else None
    record = _gather(person, shift, asked_for(shift, moment))
    own = [_own_job(job, record) for job in record.jobs]
    return MyWork(
        person=person,
        moment=moment,
        shift=shift,
        asked=record.asked,
        rules=record.rules,
        names=names(),
        known=record.known,
        jobs=tuple(sorted(own, key=_urgency)),
        certificates=tuple(_certificates(record)),
        exam=waiting_exam(person),
        study_rounds=tuple(own_rounds(person, moment)),
        low_rate=low_rate_due(person, record.asked.day),
        panels=tuple(due_rounds(person, timezone.localdate(moment))),
        undecided=tuple(record.undecided),
        last_results=_last_results(person),
        needs=tuple(_open_needs(person)),
        alerts={alert.number: alert for alert in Alert.objects.on(record.asked.day)},
        turn=open_turn_of(person),
        way=_way(record),
    )


def _gather(person: Person, shift: Shift | None, asked: Asked) -> _Record:
    known, tonight = person_facts([person])[person.pk], _assignments(person, shift)
    arrangements = arrangements_of(person, asked.day)
    jobs = _jobs(known, arrangements, tonight, asked.day)
    return _Record(
        person=person,
        known=known,
        rules=rules_in_force(asked.day),
        asked=asked,
        arrangements=arrangements,
        tonight=tonight,
        jobs=jobs,
        needs=job_facts(jobs),
        undecided=waiting_of(person),
    )


def asked_for(shift: Shift | None, moment: dt.datetime) -> Asked:
    """Return the question of the shift that runs or comes next; without a crew, of this moment."""
    if shift is None:
        return asked_at(moment)
    return asked_at(max(moment, shift.starts), shift.ends)


def _assignments(person: Person, shift: Shift | None) -> dict[UUID, Assignment]:
    """Return where the person is put in the shift, by job; the newest for a place counts."""
    if shift is None:
        return {}
    rows = Assignment.objects.filter(day=shift.day, crew=shift.crew, corrections=None)
    newest = {
        (row.press_id, row.place): row
        for row in rows.select_related("job__group", "press", "buddy").order_by("position")
    }
    return {row.job_id: row for row in newest.values() if row.person_id == person.pk}


def _jobs(
    known: PersonFacts,
    arrangements: Sequence[Arrangement],
    assignments: dict[UUID, Assignment],
    day: dt.date,
) -> list[Job]:
    """Return the person's jobs: of groups observed for, of arrangements, and tonight's. One query."""
    groups = {check.job_group for check in known.observed_checks}
    keys = {each.job_id for each in arrangements} | set(assignments)
    mine = Q(group__code__in=groups) | Q(pk__in=keys)
    jobs = Job.objects.filter(mine, Q(ended_day=None) | Q(ended_day__gte=day))
    return list(jobs.select_related("group", "press"))


def _own_job(job: Job, record: _Record) -> OwnJob:
    needs, day = record.needs[job.pk], record.asked.day
    wanted = needs.needs_on(day)
    left: dict[str, int] = {}
    for family, level in wanted.items():
        standing = family_standing(record.known.certificates, family, level, day, record.rules)
        if standing.days_left is not None:
            left[family] = standing.days_left
    soonest = min(left, key=lambda family: left[family], default="")
    put = record.tonight.get(job.pk)
    named = put.buddy.name if put is not None and put.buddy is not None else ""
    return OwnJob(
        job=job,
        answer=explain(record.known, needs, record.rules, record.asked),
        needs=needs,
        buddy=named or buddies_of(record.arrangements).get(job.pk, ""),
        press=put.press.code if put is not None else "",
        families=len(wanted),
        soonest=soonest,
        days_left=left.get(soonest),
    )


def _urgency(own: OwnJob) -> tuple[int, bool, int, str]:
    """Put what is not allowed yet first; among equals tonight's job, then what ends soonest."""
    left = own.days_left if own.days_left is not None else 9999
    return ORDER[own.answer.verdict], not own.press, left, own.job.number


def _certificates(record: _Record) -> list[OwnCertificate]:
    """Return each family the person was ever certified for, at the level their jobs ask for."""
    held, day, rules = record.known.certificates, record.asked.day, record.rules
    levels: dict[str, Level] = {}
    for job in record.needs.values():
        for family, level in job.needs_on(day).items():
            levels[family] = max(level, levels.get(family, level))
    rows = []
    for family in sorted({each.family for each in held if each.granted <= day}):
        level = levels.get(family, Level.ORDINARY)
        standing = family_standing(held, family, level, day, rules)
        if standing.standing is Standing.NOT_CERTIFIED:
            # Held below the level that a job asks for: it is shown as what it is.
            standing = family_standing(held, family, Level.ORDINARY, day, rules)
        rows.append(OwnCertificate(family, standing, family in levels))
    return rows


def _last_results(person: Person) -> dict[str, LastResult]:
    """Return the person's last decided exam of each family. Two queries."""
    ends = list(
        SittingEnd.objects.filter(sitting__person=person)
        .select_related("sitting")
        .order_by("ended_at")
    )
    counted = counted_each(ends)
    return {
        family: LastResult(end, said)
        for end in ends
        if (said := counted[end.sitting_id]).result != SittingEnd.Result.UNDECIDED
        for family in end.sitting.families
    }


def _open_needs(person: Person) -> list[RequalificationNeed]:
    needs = RequalificationNeed.objects.filter(person=person, closure=None, corrections=None)
    return list(needs.select_related("order").order_by("due_day"))


def _way(record: _Record) -> Way | None:
    """Return the way to the job the person is brought up to: by arrangement, or their first one."""
    learning = [each.job_id for each in record.arrangements]
    if not learning and not record.known.observed_checks:
        learning = list(record.tonight)
    goal = next((job for job in record.jobs if learning and job.pk == learning[-1]), None)
    if goal is None:
        return None
    return way_to(
        goal,
        person=record.person,
        known=record.known,
        needs=record.needs[goal.pk],
        rules=record.rules,
        asked=record.asked,
        arrangements=record.arrangements,
        undecided=record.undecided,
    )
