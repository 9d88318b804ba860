"""The way to one press: what comes first, what is done, and what waits for somebody else."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from certification.certificates.standing import (
    Asked,
    JobFacts,
    PersonFacts,
    Reason,
    ReasonCode,
    Rules,
    Verdict,
    explain,
)
from certification.certificates.standing_facts import SITE_SAFETY
from certification.certificates.standing_reasons import FAMILY_CODES

READING_CODES = frozenset(
    {ReasonCode.WI_UNREAD, ReasonCode.ALERT_UNREAD, ReasonCode.CAUTION_UNREAD}
)
SIGHT_CODES = frozenset({ReasonCode.NEAR_VISION_OVERDUE, ReasonCode.COLOUR_VISION})
CHECK_CODES = frozenset({ReasonCode.NO_OBSERVED_CHECK, ReasonCode.OBSERVED_CHECK_LAPSED})


class Kind(StrEnum):
    """Steps on the way to running a job alone, in their order."""

    SAFETY = "safety"
    VISION = "vision"
    LESSON = "lesson"
    PRACTICE = "practice"
    SITTING = "sitting"
    DECISION = "decision"
    REQUALIFY = "requalify"
    READING = "reading"
    AUTHORISATION = "authorisation"
    BUDDY = "buddy"
    OBSERVED_CHECK = "observed_check"
    REFRESHER = "refresher"
    ALONE = "alone"


class State(StrEnum):
    """Done, open for the person, or waiting for somebody else."""

    DONE = "done"
    OPEN = "open"
    WAITING = "waiting"


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `families` are what is left of it; `subject` an order, a buddy or authorisations."""

    kind: Kind
    state: State
    families: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()
    subject: str = ""


@dataclass(frozen=True, slots=True)
class Trail:
    """What a person has done on the way that the standing rule does not ask about.

    `practised` are families with a practice round, `undecided` those passed and not decided yet,
    `worked` whether the person has worked a job of the group, `buddy` who is named for the job.
    """

    practised: frozenset[str] = frozenset()
    undecided: frozenset[str] = frozenset()
    worked: bool = False
    buddy: str = ""


def steps_to(
    person: PersonFacts, job: JobFacts, rules: Rules, asked: Asked, trail: Trail
) -> tuple[Step, ...]:
    """Return the steps to running a job alone, in order, those done included."""
    answer = explain(person, job, rules, asked)
    reasons = answer.reasons
    steps = [
        *_before_the_floor(person, reasons, asked),
        *_learning(person, job, reasons, asked, trail),
        *_at_the_press(job, reasons, trail),
    ]
    alone = State.DONE if answer.verdict is Verdict.ALONE else State.OPEN
    return (*steps, Step(Kind.ALONE, alone, subject=job.number))


def _of(reasons: tuple[Reason, ...], codes: frozenset[ReasonCode]) -> tuple[Reason, ...]:
    return tuple(reason for reason in reasons if reason.code in codes)


def _step(kind: Kind, reasons: tuple[Reason, ...], subject: str = "") -> Step:
    return Step(kind, State.OPEN if reasons else State.DONE, reasons=reasons, subject=subject)


def _before_the_floor(
    person: PersonFacts, reasons: tuple[Reason, ...], asked: Asked
) -> Iterator[Step]:
    safe = any(
        held.kind == SITE_SAFETY and held.span.covers(asked.day) for held in person.authorisations
    )
    yield Step(Kind.SAFETY, State.DONE if safe else State.OPEN)
    yield _step(Kind.VISION, _of(reasons, SIGHT_CODES))


def _learning(
    person: PersonFacts,
    job: JobFacts,
    reasons: tuple[Reason, ...],
    asked: Asked,
    trail: Trail,
) -> Iterator[Step]:
    """Lesson, practice, sitting and decision, each with the families that are left of it."""
    missing = tuple(reason.subject for reason in _of(reasons, FAMILY_CODES))
    known = {lesson.family for lesson in person.lessons if lesson.day <= asked.day}
    known |= {held.family for held in person.certificates if held.granted <= asked.day}
    unread = tuple(sorted(set(job.needs_on(asked.day)) - known))
    to_sit = tuple(family for family in missing if family not in trail.undecided)
    for kind, families in (
        (Kind.LESSON, unread),
        (Kind.PRACTICE, tuple(each for each in to_sit if each not in trail.practised)),
        (Kind.SITTING, to_sit),
    ):
        yield Step(kind, State.OPEN if families else State.DONE, families)
    undecided = tuple(family for family in missing if family in trail.undecided)
    if undecided:
        yield Step(Kind.DECISION, State.WAITING, undecided)
    for order in _of(reasons, frozenset({ReasonCode.REQUALIFICATION})):
        yield _step(Kind.REQUALIFY, (order,), order.subject)


def _at_the_press(job: JobFacts, reasons: tuple[Reason, ...], trail: Trail) -> Iterator[Step]:
    yield _step(Kind.READING, _of(reasons, READING_CODES), job.number)
    if job.needs_authorisation:
        yield _step(Kind.AUTHORISATION, _of(reasons, frozenset({ReasonCode.NO_AUTHORISATION})))
    check = _of(reasons, CHECK_CODES)
    # On a critical job nobody runs beside a buddy: learning beside somebody is all there is.
    if check and not job.critical_job:
        yield Step(Kind.BUDDY, State.DONE if trail.worked else State.OPEN, subject=trail.buddy)
    yield _step(Kind.OBSERVED_CHECK, check)
    refresher = _of(reasons, frozenset({ReasonCode.REFRESHER_WANTED}))
    if refresher:
        yield _step(Kind.REFRESHER, refresher)
