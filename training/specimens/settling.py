"""How specimens without a decision under the limits in force can be settled: measured, or by a panel."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from uuid import UUID

from django.db.models import Exists, OuterRef, Q

from training.floor.models import Family
from training.floor.moving import NewLines
from training.specimens.limit_rows import measured_text, ratio_text
from training.specimens.models import (
    PanelItem,
    ReferenceDecision,
    Specimen,
    SpecimenQuerySet,
)
from training.specimens.standards import (
    CannotMeasureError,
    Measured,
    Standard,
    standard_of,
    standards_of,
    too_near,
)


class Way(StrEnum):
    """How a specimen is settled."""

    # Its measured severity lies clear of the limit.
    MEASURE = "measure"
    # Within 5 % of the limit: only a panel can say, and no exam rests on it.
    NEAR = "near"
    # Not measured, or the limit is none that a measurement answers.
    PANEL = "panel"
    # An open round has it.
    LOOKED_AT = "looked_at"


@dataclass(frozen=True)
class ToSettle:
    """One specimen that waits; `before` is what it was under the limits before, empty if never."""

    specimen: Specimen
    standard: Standard
    way: Way
    said: Measured | None
    code: str
    before: str

    @property
    def measured(self) -> str:
        return measured_text(self.specimen.severity, self.specimen.unit)

    @property
    def share(self) -> str:
        return ratio_text(self.said.ratio if self.said else None)

    @property
    def turns(self) -> bool:
        """Whether the measurement now says the opposite of the decision before."""
        return bool(self.said and self.before and self.said.decision != self.before)


def way_of(specimen: Specimen, standard: Standard) -> tuple[Way, Measured | None, str]:
    """Return how a specimen is settled, what the measurement says, and why it says nothing."""
    try:
        said = standard.measure(
            family=specimen.family.slug,
            zone=specimen.zone,
            severity=specimen.severity,
            unit=specimen.unit,
        )
    except CannotMeasureError as error:
        return Way.PANEL, None, error.code
    return (Way.NEAR if too_near(said.ratio) else Way.MEASURE), said, ""


def to_settle(
    day: dt.date, among: SpecimenQuerySet | None = None, *, decided_before: bool | None = None
) -> list[ToSettle]:
    """Return kept specimens that are undecided under the limits of a day. Costs seven queries.

    `decided_before` asks for those that were decided under other limits, or for those never decided.
    """
    specimens = Specimen.objects.all() if among is None else among
    found = specimens.kept().with_decision(day).filter(Q(decided=None))
    ever = Exists(ReferenceDecision.objects.filter(specimen=OuterRef("pk")))
    if decided_before is not None:
        found = found.filter(ever if decided_before else ~ever)
    rows = list(found.select_related("family", "job").order_by("number"))
    jobs = {each.job_id: each.job for each in rows}
    standards = standards_of(list(jobs.values()), day) if jobs else {}
    looked_at, before = in_open_rounds(), _before(rows)
    return [_row(each, standards[each.job_id], looked_at, before) for each in rows]


def decided_before_only(day: dt.date) -> int:
    """Return how many kept specimens are decided under limits that have moved. Costs one query."""
    ever = Exists(ReferenceDecision.objects.filter(specimen=OuterRef("pk")))
    return Specimen.objects.kept().with_decision(day).filter(Q(decided=None)).filter(ever).count()


def would_wait(new: NewLines) -> dict[Family, list[ToSettle]]:
    """Return what `to_settle` will show of a job once its sheet has these lines, family by family.

    A decision holds for one revision, so every specimen that is decided today will wait; how each
    can be settled is asked of the new lines. Costs seven queries.
    """
    decided = Specimen.objects.filter(job=new.job).kept().with_decision(new.today)
    rows = list(
        decided.filter(~Q(decided=None))
        .select_related("family", "job")
        .order_by("family__position", "number")
    )
    if not rows:
        return {}
    standard = replace(standard_of(new.job, new.day), lines=tuple(new.lines))
    looked_at, before = in_open_rounds(), _before(rows)
    found: dict[Family, list[ToSettle]] = defaultdict(list)
    for each in rows:
        found[each.family].append(_row(each, standard, looked_at, before))
    return dict(found)


def _row(
    specimen: Specimen, standard: Standard, looked_at: set[UUID], before: dict[UUID, str]
) -> ToSettle:
    way, said, code = way_of(specimen, standard)
    if specimen.pk in looked_at:
        way = Way.LOOKED_AT
    return ToSettle(specimen, standard, way, said, code, before.get(specimen.pk, ""))


def in_open_rounds() -> set[UUID]:
    """Return the specimens of all open rounds. Costs one query."""
    return set(
        PanelItem.objects.filter(round__closed_at=None).values_list("specimen_id", flat=True)
    )


def _before(specimens: Iterable[Specimen]) -> dict[UUID, str]:
    facts = ReferenceDecision.objects.filter(specimen__in=[each.pk for each in specimens])
    # The last one written stands.
    return dict(facts.order_by("recorded_at", "position").values_list("specimen_id", "decision"))
