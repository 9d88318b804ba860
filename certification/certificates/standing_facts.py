"""The facts the standing rule reads: plain dated records, no database behind them.

Days are plant days unless a field says otherwise: the day a shift began, which changes at
06:00 plant time. First and last days both count. Keys are whatever text the caller uses
(family slug, job number, job group code, alert number), as long as person and job agree.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta, tzinfo
from enum import IntEnum, StrEnum

from training.floor.plant_days import DAY_STARTS, plant_day

__all__ = [
    "DAY_STARTS",
    "SITE_SAFETY",
    "Alert",
    "Asked",
    "Authorisation",
    "Block",
    "Certificate",
    "JobFacts",
    "LessonRead",
    "Level",
    "ObservedCheck",
    "PersonFacts",
    "Reading",
    "ReadingKind",
    "Requalification",
    "Revision",
    "Rules",
    "Sight",
    "Span",
    "Stop",
    "StopKind",
    "VisionCheck",
    "WorkDay",
    "plant_day",
]

SITE_SAFETY = "site_safety"


class Level(IntEnum):
    """How strictly a family must be certified; a critical certificate also counts as ordinary."""

    ORDINARY = 1
    CRITICAL = 2


class StopKind(StrEnum):
    """What takes the worth out of a certificate before its last day."""

    SUSPENDED = "suspended"
    SUPERVISED = "supervised"
    WITHDRAWN = "withdrawn"


class Sight(StrEnum):
    """Which of the two vision checks."""

    NEAR = "near"
    COLOUR = "colour"


class ReadingKind(StrEnum):
    """What was read and acknowledged."""

    WORK_INSTRUCTION = "wi"
    ALERT = "alert"
    CAUTION = "caution"


class Block(StrEnum):
    """From when a requalification order takes the right away."""

    AT_ONCE = "at_once"
    AFTER_DUE_DAY = "after_due_day"


@dataclass(frozen=True, slots=True)
class Span:
    """Days from ``first`` to ``last``, both included; no ``last`` means still running."""

    first: date
    last: date | None = None

    def __post_init__(self) -> None:
        if self.last is not None and self.last < self.first:
            raise ValueError(f"a span cannot end ({self.last}) before it begins ({self.first})")

    def covers(self, day: date) -> bool:
        """Whether ``day`` lies inside."""
        return self.first <= day and (self.last is None or day <= self.last)


@dataclass(frozen=True, slots=True)
class Stop:
    """A suspension, a time under supervision, or a withdrawal of one certificate.

    A withdrawal has no last day. ``began`` is the moment it was decided, where known: a
    question asked of an earlier moment of the same day does not see it yet. ``ended`` is the
    moment it was lifted, where known, on its last day: that day counts again as a whole, and
    only a question asked of an earlier moment of it still sees the stop.
    """

    kind: StopKind
    first: date
    last: date | None = None
    began: datetime | None = None
    ended: datetime | None = None


@dataclass(frozen=True, slots=True)
class Certificate:
    """One granted certificate of one family; a renewal is another certificate."""

    family: str
    level: Level
    granted: date
    expires: date
    stops: tuple[Stop, ...] = ()
    key: str = ""


@dataclass(frozen=True, slots=True)
class ObservedCheck:
    """A passed observed check at the press; it holds for the whole job group."""

    job_group: str
    day: date
    can_teach: bool = False


@dataclass(frozen=True, slots=True)
class VisionCheck:
    """One vision check; ``due`` is the last day it is good for, none for colour."""

    sight: Sight
    day: date
    meets: bool
    due: date | None = None


@dataclass(frozen=True, slots=True)
class Authorisation:
    """Leave to do one thing (site safety course, cutter, insert, lift)."""

    kind: str
    span: Span


@dataclass(frozen=True, slots=True)
class WorkDay:
    """A day on which the person worked a job group: turn, relief, turn under supervision.

    ``began`` is the first beginning that day, where known, so that a turn is not taken as
    proof of the practice it needed itself. A signed refresher is a ``WorkDay`` too; learning
    beside somebody is not.
    """

    job_group: str
    day: date
    began: datetime | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """An acknowledgement: work instruction (``job`` and revision), alert or caution.

    ``moment`` is empty for a reading carried over from paper: it counts from the start of
    its day. ``check_passed`` is the five-specimen check that follows a changed instruction.
    """

    kind: ReadingKind
    ref: str
    day: date
    job: str = ""
    moment: datetime | None = None
    check_passed: bool = False


@dataclass(frozen=True, slots=True)
class LessonRead:
    """The lesson of a family was read on a day."""

    family: str
    day: date


@dataclass(frozen=True, slots=True)
class Requalification:
    """One person's line of a requalification order.

    The families decide which jobs are blocked. From ``closed`` on the person is free.
    """

    order: str
    families: frozenset[str]
    block: Block
    raised: date
    due: date
    closed: date | None = None

    def blocks(self, day: date) -> bool:
        """Whether the line takes the right away on ``day``."""
        if self.closed is not None and self.closed <= day:
            return False
        return self.raised <= day if self.block is Block.AT_ONCE else self.due < day


@dataclass(frozen=True, slots=True)
class PersonFacts:
    """Everything the rule asks of one person, all dates kept so that "as of then" works."""

    key: str
    employments: tuple[Span, ...] = ()
    certificates: tuple[Certificate, ...] = ()
    observed_checks: tuple[ObservedCheck, ...] = ()
    vision_checks: tuple[VisionCheck, ...] = ()
    authorisations: tuple[Authorisation, ...] = ()
    work_days: tuple[WorkDay, ...] = ()
    readings: tuple[Reading, ...] = ()
    lessons: tuple[LessonRead, ...] = ()
    requalifications: tuple[Requalification, ...] = ()


@dataclass(frozen=True, slots=True)
class Revision:
    """One revision of a job's work instruction, current from ``day`` until the next one.

    ``needs_check``: it changed limits or looks, so reading it counts only with the
    five-specimen check passed. ``needs``: the families it asks for; without them the job's.
    """

    code: str
    day: date
    needs_check: bool = False
    needs: Mapping[str, Level] | None = None


@dataclass(frozen=True, slots=True)
class Alert:
    """A quality alert that names the job."""

    number: str
    span: Span


@dataclass(frozen=True, slots=True)
class JobFacts:
    """Everything the rule asks of one job.

    ``needs`` are the families where the current revision brings none of its own.
    """

    number: str
    job_group: str
    needs: Mapping[str, Level] = field(default_factory=dict)
    critical_job: bool = False
    needs_colour_vision: bool = False
    cautions: tuple[str, ...] = ()
    needs_authorisation: tuple[str, ...] = ()
    revisions: tuple[Revision, ...] = ()
    alerts: tuple[Alert, ...] = ()

    def revision_on(self, day: date) -> Revision | None:
        """The revision current on ``day``: the latest that does not begin after it."""
        begun = [revision for revision in self.revisions if revision.day <= day]
        return max(begun, key=lambda revision: revision.day) if begun else None

    def needs_on(self, day: date) -> Mapping[str, Level]:
        """The families needed on ``day`` and at which level."""
        current = self.revision_on(day)
        return self.needs if current is None or current.needs is None else current.needs


@dataclass(frozen=True, slots=True)
class Rules:
    """The plant's published numbers of the standing rule, in days unless named otherwise.

    All defaults are common practice, no source; a plant publishes its own revision.
    """

    revision: str = "1"
    due_soon_days: int = 30
    worked_within_days: int = 90
    observed_check_after_days: int = 180
    reading_grace_minutes: int = 15
    certificate_days: int = 365
    early_renewal_days: int = 30
    # Whether a passed sitting is certified at ordinary level at once, without a named person.
    ordinary_by_rule: bool = True

    def __post_init__(self) -> None:
        for name in self.__slots__:
            value = getattr(self, name)
            if isinstance(value, int) and value < 0:
                raise ValueError(f"{name} cannot be negative: give 0 or more")
        if self.observed_check_after_days < self.worked_within_days:
            raise ValueError(
                "observed_check_after_days must be at least worked_within_days: "
                "a refresher comes before a new observed check"
            )

    def renewed_until(self, granted: date, old_end: date | None) -> date:
        """Last day of a certificate granted on ``granted``.

        Renewed early, up to ``early_renewal_days`` before the old one ends, it keeps the old
        end day and nothing is lost by coming early.
        """
        start = granted
        if old_end is not None and 0 <= (old_end - granted).days <= self.early_renewal_days:
            start = old_end
        return start + timedelta(days=self.certificate_days)


@dataclass(frozen=True, slots=True)
class Asked:
    """When the question is asked.

    ``day`` is the plant day. ``moment``, if any, is when the turn began or is to begin: what
    was true then stands until the turn ends. ``ends_on`` is the calendar day on which the
    shift ends, so that what runs out during it can be named.
    """

    day: date
    moment: datetime | None = None
    ends_on: date | None = None

    @classmethod
    def at(
        cls,
        began: datetime,
        zone: tzinfo,
        *,
        ends: datetime | None = None,
        day_starts: time = DAY_STARTS,
    ) -> "Asked":
        """The question for a turn that began (or is to begin) at ``began``."""
        last = None
        if ends is not None:
            # A shift that ends at midnight sharp does not reach the next day.
            last = (ends - timedelta(microseconds=1)).astimezone(zone).date()
        return cls(plant_day(began, zone, day_starts), began, last)
