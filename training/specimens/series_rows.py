"""Sets of specimens as they stand today: their members in order, and what keeps one from use."""

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from training.specimens.models import (
    Frame,
    Pool,
    Region,
    SetMember,
    Specimen,
    SpecimenSet,
)
from training.specimens.series_rules import Fit, set_problem


@dataclass(frozen=True)
class SetRow:
    """A set, its members in order with their decisions of the day, and its problem if it has one."""

    set: SpecimenSet
    members: tuple[Specimen, ...]
    problem: str

    @property
    def usable(self) -> bool:
        return not self.problem and self.set.retired_day is None

    @property
    def families(self) -> tuple[str, ...]:
        """Slugs of the members' families, each once, in their order."""
        return tuple(dict.fromkeys(each.family.slug for each in self.members))


def with_fitness(specimens: "QuerySet[Specimen]", day: dt.date) -> "QuerySet[Specimen]":
    """Add the day's decision, and whether there is a picture and an outline."""
    columns = {
        "pictured": Exists(Frame.objects.filter(view__specimen=OuterRef("pk"))),
        "outlined": Exists(Region.objects.filter(view__specimen=OuterRef("pk"))),
    }
    decided = specimens.with_decision(day).annotate(**columns)  # type: ignore[attr-defined]
    found: QuerySet[Specimen] = decided.select_related("family", "job")
    return found


def fit_of(specimen: Specimen) -> Fit:
    """Return what decides whether a specimen of `with_fitness` may stand in a set."""
    whole_part = specimen.family.place.get("kind") == "whole_part"
    return Fit(
        number=specimen.number,
        job=specimen.job.number,
        zone=specimen.zone,
        family=specimen.family.slug,
        severity=specimen.severity,
        unit=specimen.unit,
        pool=specimen.pool,
        decided=specimen.decided,
        pictured=specimen.pictured,  # type: ignore[attr-defined]
        outlined=specimen.outlined or whole_part,  # type: ignore[attr-defined]
        retired=specimen.retired_day is not None,
    )


def set_rows(sets: "Iterable[SpecimenSet] | QuerySet[SpecimenSet]", day: dt.date) -> list[SetRow]:
    """Return sets with their members as they stand on the day. Costs three queries."""
    rows = list(sets)
    places: dict[UUID, list[UUID]] = defaultdict(list)
    for of_set, specimen in SetMember.objects.filter(set__in=rows).values_list("set", "specimen"):
        places[of_set].append(specimen)
    wanted = {pk for members in places.values() for pk in members}
    specimens = with_fitness(Specimen.objects.filter(pk__in=wanted), day)
    found = {specimen.pk: specimen for specimen in specimens}
    made = []
    for each in rows:
        members = tuple(found[pk] for pk in places[each.pk])
        problem = set_problem(each.kind, [fit_of(specimen) for specimen in members])
        made.append(SetRow(each, members, problem))
    return made


def usable_sets(
    kind: str, day: dt.date, *, families: Collection[str] | None = None
) -> list[SetRow]:
    """Return the sets of a kind that can be shown on the day. Costs three queries.

    `families` are slugs: a set is of a family when one of its members is.
    """
    sets = SpecimenSet.objects.filter(kind=kind, retired_day=None).select_related("family", "job")
    return [
        row
        for row in set_rows(sets, day)
        if row.usable and (families is None or set(row.families) & set(families))
    ]


def choices_for(*, job: str, zone: str, families: Collection[str], day: dt.date) -> list[Specimen]:
    """Return the teaching specimens a set could be made of, smallest severity first. One query."""
    specimens = Specimen.objects.kept().filter(
        pool=Pool.TEACHING, job__number=job, zone=zone, family__slug__in=families
    )
    found = with_fitness(specimens, day).order_by("family__position", "severity", "number")
    return sorted(found, key=lambda each: (each.family.position, each.severity or 0))


def contrasts_of(specimen: UUID, day: dt.date) -> list[SetRow]:
    """Return the usable contrasts and ladders a specimen stands in. Costs four queries."""
    kinds = (SpecimenSet.Kind.CONTRAST, SpecimenSet.Kind.LADDER)
    sets = SpecimenSet.objects.filter(
        kind__in=kinds, retired_day=None, members__specimen=specimen
    ).select_related("family", "job")
    return [row for row in set_rows(sets.order_by("kind", "created_at"), day) if row.usable]
