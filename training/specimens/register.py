"""The register of numbered real parts as rows: each part, its copies, and what is to be done."""

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from uuid import UUID

from django.db.models import Exists, OuterRef

from training.floor.models import LimitSample
from training.specimens.models import Condition, Handling, PartCopy, SpecimenQuerySet
from training.specimens.real_parts import UNFIT

# Common practice, no source: time enough to have a new sample signed.
SOON = dt.timedelta(days=30)


class State(StrEnum):
    """What a copy of a real part is worth on a day, the worst first."""

    LOST = "lost"
    DAMAGED = "damaged"
    EXPIRED = "expired"
    LOOK_AT_IT = "look_at_it"
    ENDS_SOON = "ends_soon"
    WORN = "worn"
    VALID = "valid"
    WITHDRAWN = "withdrawn"

    @property
    def usable(self) -> bool:
        return self in (State.VALID, State.WORN, State.ENDS_SOON)


@dataclass(frozen=True, slots=True)
class CopyRow:
    """One copy: where it is, how it was found, how often it was handled since somebody looked."""

    id: UUID
    letter: str
    place: str
    condition: str
    handled: int
    most: int | None
    expires_day: dt.date | None
    withdrawn_day: dt.date | None
    out: bool
    state: State


@dataclass(frozen=True, slots=True)
class PartRow:
    """A numbered real part of the register: a specimen, or a limit sample of a group of jobs."""

    id: UUID
    number: str
    is_sample: bool
    family: dict[str, str]
    family_slug: str
    where: str
    zone: str
    kind: str
    copies: tuple[CopyRow, ...] = field(default=())

    @property
    def state(self) -> State:
        """The best of its copies: one usable copy makes the part usable."""
        used = [copy.state for copy in self.copies if copy.state is not State.WITHDRAWN]
        return max(used, key=list(State).index, default=State.WITHDRAWN)

    @property
    def wants_care(self) -> bool:
        """Whether any copy in use is anything but simply valid."""
        return any(copy.state not in (State.VALID, State.WITHDRAWN) for copy in self.copies) or all(
            copy.state is State.WITHDRAWN for copy in self.copies
        )


def copy_state(copy: PartCopy, day: dt.date) -> State:
    """Return what a copy, read `with_state`, is worth on a day."""
    if copy.withdrawn_day is not None and copy.withdrawn_day <= day:
        return State.WITHDRAWN
    if copy.condition in UNFIT:
        return State(copy.condition)
    if copy.expires_day is not None and copy.expires_day < day:
        return State.EXPIRED
    if copy.most_handlings is not None and copy.handled >= copy.most_handlings:
        return State.LOOK_AT_IT
    if copy.expires_day is not None and copy.expires_day < day + SOON:
        return State.ENDS_SOON
    return State.WORN if copy.condition == Condition.WORN else State.VALID


def register_rows(day: dt.date, among: SpecimenQuerySet) -> list[PartRow]:
    """Return limit samples and parts among these, what wants care first. Costs three queries."""
    copies = copies_by_part(PartCopy.objects.all(), day)
    rows = [*_specimen_rows(copies, among), *_sample_rows(copies)]
    return sorted(rows, key=lambda row: (list(State).index(row.state), row.number))


def copies_by_part(copies: "Iterable[PartCopy]", day: dt.date) -> dict[UUID, tuple[CopyRow, ...]]:
    """Return copies as rows by the part they are of. Costs one query."""
    found: dict[UUID, list[CopyRow]] = defaultdict(list)
    for copy in copies.with_state().order_by("letter"):  # type: ignore[attr-defined]
        part = copy.specimen_id or copy.limit_sample_id
        found[part].append(
            CopyRow(
                id=copy.pk,
                letter=copy.letter,
                place=copy.place,
                condition=str(Condition(copy.condition).label),
                handled=copy.handled,
                most=copy.most_handlings,
                expires_day=copy.expires_day,
                withdrawn_day=copy.withdrawn_day,
                out=copy.last_way == Handling.What.OUT,
                state=copy_state(copy, day),
            )
        )
    return {part: tuple(rows) for part, rows in found.items()}


def _specimen_rows(
    copies: dict[UUID, tuple[CopyRow, ...]], among: SpecimenQuerySet
) -> list[PartRow]:
    kept = among.kept().filter(Exists(PartCopy.objects.filter(specimen=OuterRef("pk"))))
    return [
        PartRow(
            id=row.pk,
            number=row.number,
            is_sample=False,
            family=row.family.name,
            family_slug=row.family.slug,
            where=row.job.number,
            zone=row.zone,
            kind=row.pool,
            copies=copies.get(row.pk, ()),
        )
        for row in kept.select_related("family", "job")
    ]


def _sample_rows(copies: dict[UUID, tuple[CopyRow, ...]]) -> list[PartRow]:
    return [
        PartRow(
            id=row.pk,
            number=row.code,
            is_sample=True,
            family=row.family.name,
            family_slug=row.family.slug,
            where=row.job_group.code,
            zone=row.zone,
            kind=row.kind,
            copies=copies.get(row.pk, ()),
        )
        for row in LimitSample.objects.select_related("family", "job_group")
    ]


def usable_parts(day: dt.date) -> set[UUID]:
    """Return the specimens of which a real copy may be judged on the day. Costs one query."""
    return set(
        PartCopy.objects.usable(day)
        .filter(specimen__isnull=False)
        .values_list("specimen_id", flat=True)
    )


@dataclass(frozen=True, slots=True)
class ToLayOut:
    """A part to be taken from its place for a sitting."""

    letter: str
    place: str


def copies_to_lay_out(specimens: Collection[UUID], day: dt.date) -> dict[UUID, ToLayOut]:
    """Return the copy that is used of each specimen, "A" before "B". Costs one query."""
    usable = PartCopy.objects.usable(day).filter(specimen__in=specimens).order_by("-letter")
    # The last one written for a specimen stands.
    return {
        copy.specimen_id: ToLayOut(copy.letter, copy.place)
        for copy in usable
        if copy.specimen_id is not None
    }


@dataclass(frozen=True, slots=True)
class HandlingRow:
    """One line of the log of a part."""

    copy: str
    what: str
    at: dt.datetime
    times: int
    condition: str
    place: str
    expires_day: dt.date | None
    words: str
    by: str


def handling_log(copies: Collection[UUID], most: int = 60) -> list[HandlingRow]:
    """Return the newest handlings of these copies, newest first. Costs one query."""
    entries = (
        Handling.objects.filter(copy__in=copies)
        .select_related("copy", "recorded_by", "words")
        .order_by("-position")[:most]
    )
    return [
        HandlingRow(
            copy=entry.copy.letter,
            what=entry.get_what_display(),
            at=entry.at,
            times=entry.times,
            condition=entry.get_condition_display(),
            place=entry.place,
            expires_day=entry.expires_day,
            words=entry.words.text if entry.words else "",
            by=str(entry.recorded_by) if entry.recorded_by else "",
        )
        for entry in entries
    ]
