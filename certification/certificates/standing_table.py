"""The standing rule for many people and jobs at once: matrices and forecasts.

The facts are laid out once as columns; a day is then answered with a handful of array
operations. It gives what `standing.explain` gives without a moment; a property test holds
the two together.
"""

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from certification.certificates.standing_facts import (
    SITE_SAFETY,
    JobFacts,
    Level,
    PersonFacts,
    Reading,
    ReadingKind,
    Rules,
    Sight,
)
from certification.certificates.standing_spans import (
    Bools,
    Row,
    Spans,
    blocked,
    good_sight,
    last_day,
    suspended,
    worth,
)

NO, BUDDY, ALONE = 0, 1, 2

Paper = tuple[ReadingKind, str, str]
Thing = TypeVar("Thing", bound=Hashable)


def table(
    people: Sequence[PersonFacts], jobs: Sequence[JobFacts], rules: Rules, day: date
) -> NDArray[np.int8]:
    """Verdicts of all people on all jobs on one day, shape (people, jobs).

    `NO` = 0, `BUDDY` = 1, `ALONE` = 2. For several days make one `StandingTable` and ask it
    again and again.
    """
    return StandingTable(people, jobs, rules).on(day)


class StandingTable:
    """The facts of people and jobs laid out for fast questions about any day."""

    def __init__(
        self, people: Sequence[PersonFacts], jobs: Sequence[JobFacts], rules: Rules
    ) -> None:
        self._people, self._jobs, self._rules = tuple(people), tuple(jobs), rules
        self._lay_out_families()
        self._lay_out_practice()
        self._lay_out_conditions()
        self._lay_out_papers()

    def on(self, day: date) -> NDArray[np.int8]:
        """Verdicts on ``day``, shape (people, jobs): `NO`, `BUDDY` or `ALONE`."""
        today = day.toordinal()
        needed = self._needed(day)
        missing, barred = self._families(today, needed)
        authorised = self._authorised.on(today)
        missing |= self._out_of_practice(today) | _any(~authorised, self._authorisations_needed)
        barred |= self._barred(today) | self._unread(day)
        ready = ~_any(~self._lesson_read.on(today), needed[Level.ORDINARY])
        ready &= authorised[:, [self._site_safety]] & self._not_critical
        verdicts = np.full(missing.shape, NO, dtype=np.int8)
        verdicts[~barred & missing & ready] = BUDDY
        verdicts[~barred & ~missing] = ALONE
        return verdicts

    def _lay_out_families(self) -> None:
        asked_for = (needs for job in self._jobs for needs in _all_needs(job))
        self._family = names = _places(family for needs in asked_for for family in needs)
        shape = (len(self._people), len(names))
        held = [
            (p, names[certificate.family], certificate)
            for p, person in enumerate(self._people)
            for certificate in person.certificates
            if certificate.family in names
        ]
        self._certified = {
            level: Spans(
                shape,
                (Row(p, f, *span) for p, f, c in held if c.level >= level for span in worth(c)),
            )
            for level in Level
        }
        self._suspended = Spans(shape, (Row(p, f, *s) for p, f, c in held for s in suspended(c)))
        lessons = [Row(p, f, c.granted.toordinal()) for p, f, c in held]
        lessons += [
            Row(p, names[lesson.family], lesson.day.toordinal())
            for p, person in enumerate(self._people)
            for lesson in person.lessons
            if lesson.family in names
        ]
        self._lesson_read = Spans(shape, lessons)
        self._ordered = Spans(
            shape,
            (
                Row(p, names[family], *blocked(line))
                for p, person in enumerate(self._people)
                for line in person.requalifications
                for family in line.families & names.keys()
            ),
        )

    def _needed(self, day: date) -> dict[Level, Bools]:
        """Which family each job needs on ``day`` at least at a level, shape (families, jobs)."""
        needs = [job.needs_on(day) for job in self._jobs]
        return {
            level: _grid(
                len(self._family),
                (
                    (self._family[family], j)
                    for j, wanted in enumerate(needs)
                    for family, at_level in wanted.items()
                    if at_level >= level
                ),
                len(self._jobs),
            )
            for level in Level
        }

    def _families(self, today: int, needed: Mapping[Level, Bools]) -> tuple[Bools, Bools]:
        """Where a needed family is missing, and where no buddy makes up for it.

        None does for a suspension or an open requalification order.
        """
        missing = np.zeros((len(self._people), len(self._jobs)), dtype=np.bool_)
        barred = _any(self._ordered.on(today), needed[Level.ORDINARY])
        halted = self._suspended.on(today)
        for level, jobs in needed.items():
            lacking = ~self._certified[level].on(today)
            missing |= _any(lacking, jobs)
            barred |= _any(lacking & halted, jobs)
        return missing, barred

    def _lay_out_practice(self) -> None:
        groups = _places(job.job_group for job in self._jobs)
        self._group = np.array([groups[job.job_group] for job in self._jobs], dtype=np.int64)
        shape = (len(self._people), len(groups))
        checks = [
            Row(p, groups[check.job_group], check.day.toordinal())
            for p, person in enumerate(self._people)
            for check in person.observed_checks
            if check.job_group in groups
        ]
        work = [
            Row(p, groups[work.job_group], work.day.toordinal())
            for p, person in enumerate(self._people)
            for work in person.work_days
            if work.job_group in groups
        ]
        self._checked = Spans(shape, checks)
        self._worked = Spans(shape, checks + work)

    def _out_of_practice(self, today: int) -> Bools:
        away = today - self._worked.newest(today)
        wanting = ~self._checked.on(today) | (away > self._rules.worked_within_days)
        return np.asarray(wanting[:, self._group], dtype=np.bool_)

    def _lay_out_conditions(self) -> None:
        people, jobs = len(self._people), len(self._jobs)
        self._employed = Spans(
            (people, 1),
            (
                Row(p, 0, span.first.toordinal(), last_day(span.last))
                for p, person in enumerate(self._people)
                for span in person.employments
            ),
        )
        self._sees = Spans(
            (people, len(Sight)),
            (
                Row(p, s, *span)
                for p, person in enumerate(self._people)
                for s, sight in enumerate(Sight)
                for span in good_sight(person.vision_checks, sight)
            ),
        )
        self._sight_needed = np.array(
            [
                [sight is Sight.NEAR or job.needs_colour_vision for job in self._jobs]
                for sight in Sight
            ],
            dtype=np.bool_,
        ).reshape(len(Sight), jobs)
        self._not_critical = np.array([not job.critical_job for job in self._jobs], dtype=np.bool_)

    def _barred(self, today: int) -> Bools:
        """Where neither certificate nor buddy helps: not employed, sight."""
        return ~self._employed.on(today) | _any(~self._sees.on(today), self._sight_needed)

    def _lay_out_papers(self) -> None:
        jobs = self._jobs
        kinds = _places([SITE_SAFETY, *(k for job in jobs for k in job.needs_authorisation)])
        self._site_safety = kinds[SITE_SAFETY]
        self._authorised = Spans(
            (len(self._people), len(kinds)),
            (
                Row(p, kinds[held.kind], held.span.first.toordinal(), last_day(held.span.last))
                for p, person in enumerate(self._people)
                for held in person.authorisations
                if held.kind in kinds
            ),
        )
        self._authorisations_needed = _grid(
            len(kinds),
            ((kinds[k], j) for j, job in enumerate(jobs) for k in job.needs_authorisation),
            len(jobs),
        )
        self._papers = _places(paper for job in jobs for paper in _papers(job))
        self._checked_papers = {
            (ReadingKind.WORK_INSTRUCTION, job.number, revision.code)
            for job in jobs
            for revision in job.revisions
            if revision.needs_check
        }
        self._read = Spans((len(self._people), len(self._papers)), self._readings())

    def _readings(self) -> Iterator[Row]:
        for p, person in enumerate(self._people):
            for reading in person.readings:
                paper = _paper(reading)
                counts = reading.check_passed or paper not in self._checked_papers
                if paper in self._papers and counts:
                    yield Row(p, self._papers[paper], reading.day.toordinal())

    def _unread(self, day: date) -> Bools:
        """Where a paper in force that day is unread, or there is no work instruction."""
        in_force = _grid(
            len(self._papers),
            (
                (self._papers[paper], j)
                for j, job in enumerate(self._jobs)
                for paper in _papers(job, day)
            ),
            len(self._jobs),
        )
        lost = np.array([job.revision_on(day) is None for job in self._jobs], dtype=np.bool_)
        return _any(~self._read.on(day.toordinal()), in_force) | lost


def _all_needs(job: JobFacts) -> Iterator[Mapping[str, Level]]:
    """The needs of a job in any of its revisions."""
    yield job.needs
    for revision in job.revisions:
        yield revision.needs or {}


def _papers(job: JobFacts, day: date | None = None) -> Iterator[Paper]:
    """What has to be read for a job: on one day, or ever."""
    if day is None:
        revisions = list(job.revisions)
    else:
        current = job.revision_on(day)
        revisions = [] if current is None else [current]
    for revision in revisions:
        yield ReadingKind.WORK_INSTRUCTION, job.number, revision.code
    for alert in job.alerts:
        if day is None or alert.span.covers(day):
            yield ReadingKind.ALERT, "", alert.number
    for caution in job.cautions:
        yield ReadingKind.CAUTION, "", caution


def _paper(reading: Reading) -> Paper:
    return reading.kind, reading.job, reading.ref


def _places(things: Iterable[Thing]) -> dict[Thing, int]:
    """The column of each different thing, in order of first appearance."""
    return {thing: place for place, thing in enumerate(dict.fromkeys(things))}


def _grid(rows: int, marks: Iterable[tuple[int, int]], columns: int) -> Bools:
    """A grid that is true at the marks, shape (rows, columns)."""
    grid = np.zeros((rows, columns), dtype=np.bool_)
    for row, column in marks:
        grid[row, column] = True
    return grid


def _any(of_people: Bools, of_jobs: Bools) -> Bools:
    """Whether any shared thing is true for both, shape (people, jobs)."""
    return np.asarray(of_people.astype(np.float32) @ of_jobs.astype(np.float32) > 0, dtype=np.bool_)
