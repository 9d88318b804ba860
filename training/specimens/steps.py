"""The way of a specimen from photograph to use: which step is done, which is next, which is left out."""

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Protocol, cast
from uuid import UUID

from django.db.models import Exists, OuterRef

from training.floor.limits import Measure
from training.floor.models import Family, Job
from training.specimens.models import (
    Frame,
    PanelItem,
    PartCopy,
    Pool,
    ReferenceDecision,
    Region,
    Specimen,
    SpecimenQuerySet,
)
from training.specimens.settling import Way, way_of
from training.specimens.standards import Standard, standards_of, too_near

WHOLE_PART = "whole_part"


class Step(StrEnum):
    PHOTO = "photo"
    OUTLINE = "outline"
    RATE = "rate"
    SETTLE = "settle"
    USE = "use"


class State(StrEnum):
    """What a step is for one specimen; one step at most is next."""

    DONE = "done"
    NEXT = "next"
    LATER = "later"
    SKIPPED = "skipped"


class Why(StrEnum):
    """Why a step is left out, or waits."""

    NONE = ""
    REAL_PART = "real_part"
    NO_PICTURE = "no_picture"
    WHOLE_PART = "whole_part"
    GOOD_PART = "good_part"
    NO_NUMBER = "no_number"
    BY_PEOPLE = "by_people"
    IN_A_ROUND = "in_a_round"
    BY_MEASUREMENT = "by_measurement"
    BY_PANEL = "by_panel"
    NEAR = "near"


@dataclass(frozen=True, slots=True)
class Facts:
    """What the steps of a specimen depend on."""

    pictured: bool
    real: bool
    outlined: bool
    asks_place: bool
    severity: Decimal | None
    in_numbers: bool
    decided: str
    near: bool
    in_round: bool
    by_measurement: bool
    pool: str


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step of one specimen."""

    step: Step
    state: State
    why: Why = Why.NONE


def steps_of(facts: Facts) -> tuple[StepRow, ...]:
    """Return the five steps in order; the first that is not done and not left out is next."""
    raw = [_photo(facts), _outline(facts), _rate(facts), _settle(facts), _use(facts)]
    rows: list[StepRow] = []
    for step, (state, why) in zip(Step, raw, strict=True):
        if state is State.NEXT and any(row.state is State.NEXT for row in rows):
            rows.append(StepRow(step, State.LATER))
        else:
            rows.append(StepRow(step, state, why))
    return tuple(rows)


def next_step(facts: Facts) -> StepRow | None:
    """Return the step that is next, or None where the specimen is in use."""
    return next((row for row in steps_of(facts) if row.state is State.NEXT), None)


def _photo(facts: Facts) -> tuple[State, Why]:
    if facts.pictured:
        return State.DONE, Why.NONE
    if facts.real or facts.decided:
        return State.SKIPPED, Why.REAL_PART
    return State.NEXT, Why.NONE


def _outline(facts: Facts) -> tuple[State, Why]:
    if facts.outlined:
        return State.DONE, Why.NONE
    if not facts.asks_place:
        return State.SKIPPED, Why.WHOLE_PART
    if facts.decided == ReferenceDecision.Decision.ACCEPT or facts.severity == 0:
        return State.SKIPPED, Why.GOOD_PART
    if not facts.pictured and (facts.real or facts.decided):
        return State.SKIPPED, Why.NO_PICTURE
    return State.NEXT, Why.NONE


def _rate(facts: Facts) -> tuple[State, Why]:
    if facts.severity is not None:
        return State.DONE, Why.NONE
    if not facts.in_numbers:
        return State.SKIPPED, Why.NO_NUMBER
    if facts.decided:
        return State.SKIPPED, Why.BY_PEOPLE
    return State.NEXT, Why.NONE


def _settle(facts: Facts) -> tuple[State, Why]:
    if facts.in_round:
        return State.NEXT, Why.IN_A_ROUND
    if facts.decided:
        return State.DONE, Why.NONE
    if facts.by_measurement:
        return State.NEXT, Why.BY_MEASUREMENT
    return State.NEXT, Why.NEAR if facts.near else Why.BY_PANEL


def _use(facts: Facts) -> tuple[State, Why]:
    if facts.pool == Pool.EXAM and facts.near:
        return State.NEXT, Why.NEAR
    if facts.pool == Pool.NEITHER:
        return State.NEXT, Why.NONE
    return State.DONE, Why.NONE


class _Row(Protocol):
    """A specimen with what `_annotated` adds to it."""

    pk: UUID
    job_id: UUID
    job: Job
    family: Family
    zone: str
    severity: Decimal | None
    unit: str
    pool: str
    decided: str | None
    decided_ratio: Decimal | None
    pictured: bool
    real: bool
    outlined: bool
    in_round: bool


def facts_of(
    found: SpecimenQuerySet, day: dt.date, standards: Mapping[UUID, Standard] | None = None
) -> dict[UUID, Facts]:
    """Return what the steps of specimens depend on. Costs five queries, one with the limits given."""
    rows = cast(list[_Row], list(_annotated(found, day)))
    if standards is None:
        jobs = {row.job_id: row.job for row in rows}
        standards = standards_of(list(jobs.values()), day) if jobs else {}
    known: dict[tuple[UUID, str, str], bool] = {}
    facts = {}
    for row in rows:
        place = (row.job_id, row.family.slug, row.zone)
        if place not in known:
            known[place] = in_numbers(standards[row.job_id], row.family.slug, row.zone)
        facts[row.pk] = _facts(row, standards[row.job_id], in_numbers=known[place])
    return facts


def in_numbers(standard: Standard, family: str, zone: str) -> bool:
    """Return whether some line of the limit is a number that a severity is measured against."""
    scaled = (Measure.AT_MOST, Measure.COUNT_AT_MOST, Measure.BETWEEN)
    return any(
        ruling.line.measure in scaled and ruling.line.unit is not None
        for ruling in standard.rulings(family, zone)
    )


def _facts(row: _Row, standard: Standard, *, in_numbers: bool) -> Facts:
    near, by_measurement = too_near(row.decided_ratio), False
    if row.decided is None and row.severity is not None:
        way, _said, _code = way_of(cast(Specimen, row), standard)
        near, by_measurement = way is Way.NEAR, way is Way.MEASURE
    return Facts(
        pictured=row.pictured,
        real=row.real,
        outlined=row.outlined,
        asks_place=row.family.place.get("kind") != WHOLE_PART,
        severity=row.severity,
        in_numbers=in_numbers,
        decided=row.decided or "",
        near=near,
        in_round=row.in_round,
        by_measurement=by_measurement,
        pool=row.pool,
    )


def _annotated(found: SpecimenQuerySet, day: dt.date) -> SpecimenQuerySet:
    columns = {
        "pictured": Exists(Frame.objects.filter(view__specimen=OuterRef("pk"))),
        "outlined": Exists(Region.objects.filter(view__specimen=OuterRef("pk"))),
        "real": Exists(PartCopy.objects.filter(specimen=OuterRef("pk"), withdrawn_day=None)),
        "in_round": Exists(
            PanelItem.objects.filter(specimen=OuterRef("pk"), round__closed_at=None)
        ),
    }
    return found.with_decision(day).annotate(**columns).select_related("family", "job")


@dataclass(frozen=True)
class Waiting:
    """Which specimens wait at which step."""

    at: Mapping[UUID, Step]

    @property
    def counts(self) -> dict[Step, int]:
        """How many wait at each step, in order; steps nobody waits at are left out."""
        counted = Counter(self.at.values())
        return {step: counted[step] for step in Step if counted[step]}

    def keys(self, step: str) -> list[UUID]:
        return [key for key, each in self.at.items() if each == step]


def waiting_at(day: dt.date, among: SpecimenQuerySet | None = None) -> Waiting:
    """Return at which step each kept specimen waits. Costs five queries."""
    kept = (Specimen.objects.all() if among is None else among).kept()
    found = {key: next_step(facts) for key, facts in facts_of(kept, day).items()}
    return Waiting({key: row.step for key, row in found.items() if row is not None})


def open_round_of(specimen: Specimen) -> PanelItem | None:
    """Return the place of a specimen in the open round that has it. Costs one query."""
    items = PanelItem.objects.filter(specimen=specimen, round__closed_at=None)
    return items.select_related("round").first()
