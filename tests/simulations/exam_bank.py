"""The bank and the plant of the simulated exams, written straight into the database."""

import datetime as dt
import uuid
from collections.abc import Sequence
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from training.floor.models import Family, FamilyGroup, Job, JobGroup, WorkInstruction
from training.people.models import Crew, Employment, Person
from training.people.record.chain import append
from training.quizzes.models import ExamPlan
from training.quizzes.services.plans import ensure_default_plans, publish_plan
from training.specimens.models import Frame, Pool, ReferenceDecision, Specimen, View

DAY = dt.date(2026, 11, 25)
LONG_AGO = DAY - dt.timedelta(days=400)
# Severity ÷ limit over all strata of the blueprint.
BAD = ("1.1", "1.2", "1.5", "1.6", "1.8", "2.2", "2.6")
BAD_EACH, OWN_BAD, OWN_GOOD = 28, 190, 100
GOOD = ("0.6", "0.7", "0.85", None, None, None)


def simulated_plant(groups: Sequence[int]) -> SimpleNamespace:
    """Return a plant with groups of so many families and a bank for all of them.

    The first family holds enough for an own plan at critical level, twice 91 bad ones. The plant has `families` (one list for each group), `plans` by code, an `invigilator`, somebody of
    `quality` and the `crew`.
    """
    plans = {plan.code: plan for plan in ensure_default_plans(day=LONG_AGO)}
    plans["own"] = _own_plan()
    crew = Crew.objects.create(
        code="S", name={"en": "Simulated"}, starts=dt.time(6), ends=dt.time(14)
    )
    job = Job.objects.create(
        number="900", part={"en": "Plate"}, group=JobGroup.objects.create(code="G9")
    )
    families = [_group(place, size) for place, size in enumerate(groups)]
    sheet = WorkInstruction.objects.create(
        job=job,
        revision="A",
        day=LONG_AGO,
        steps={"en": ["Look."]},
        needs={family.slug: "ordinary" for group in families for family in group},
    )
    for family in (family for group in families for family in group):
        own = family == families[0][0]
        _fill(job, sheet, family, bad=OWN_BAD if own else BAD_EACH, good=OWN_GOOD if own else 14)
    return SimpleNamespace(
        families=families,
        plans=plans,
        crew=crew,
        invigilator=new_person(crew, "Invigilator", "trainer"),
        quality=new_person(crew, "Quality", "quality"),
    )


def _own_plan() -> ExamPlan:
    return publish_plan(
        code="own",
        form="own",
        name={"en": "Own plan"},
        parameters={},
        reason="simulation",
        day=LONG_AGO,
        published_by=None,
    )


def _group(place: int, size: int) -> list[Family]:
    group = FamilyGroup.objects.create(
        code=f"g{place}", name={"en": f"Group {place}"}, position=place
    )
    return [
        Family.objects.create(
            slug=f"g{place}-f{n}",
            name={"en": f"Family {place}.{n}"},
            group=group,
            position=n,
            tested_with=["pictures"],
            place={"kind": "whole_part"},
        )
        for n in range(size)
    ]


def new_person(crew: Crew, name: str, *roles: str) -> Person:
    """Return somebody employed for two years, with these roles."""
    from django.contrib.auth.models import Group

    row = Person.objects.create(personnel_no=f"S{uuid.uuid4().hex[:10]}", name=name, crew=crew)
    Employment.objects.create(person=row, from_day=DAY - dt.timedelta(days=700))
    row.groups.add(*Group.objects.filter(name__in=roles))
    return row


def _fill(job: Job, sheet: WorkInstruction, family: Family, *, bad: int, good: int) -> None:
    made = [
        (is_bad, ratios[place % len(ratios)], place)
        for is_bad, ratios, count in ((True, BAD, bad), (False, GOOD, good))
        for place in range(count)
    ]
    specimens = [
        Specimen(
            # Draws go by the specimen's identifier: with fixed ones a seed gives the same draw again.
            pk=uuid.uuid5(uuid.NAMESPACE_OID, f"{family.slug} {is_bad} {place}"),
            number=f"{family.slug}-{'b' if is_bad else 'g'}{place:03d}",
            job=job,
            zone="A",
            family=family,
            pool=Pool.EXAM,
            synthetic=True,
            created_at=dt.datetime.combine(LONG_AGO, dt.time(12), dt.UTC),
        )
        for is_bad, _ratio, place in made
    ]
    Specimen.objects.bulk_create(specimens)
    views = View.objects.bulk_create([View(specimen=row) for row in specimens])
    Frame.objects.bulk_create(
        [
            Frame(view=view, file=f"{view.pk.hex}.webp", width=800, height=600, sha256="0" * 64)
            for view in views
        ]
    )
    decisions = zip(specimens, made, strict=True)
    append(
        *(_decision(row, sheet, family, is_bad, ratio) for row, (is_bad, ratio, _n) in decisions),
        moment=dt.datetime.combine(LONG_AGO, dt.time(12), dt.UTC),
    )


def _decision(
    row: Specimen, sheet: WorkInstruction, family: Family, is_bad: bool, ratio: str | None
) -> Any:
    return ReferenceDecision(
        specimen=row,
        work_instruction=sheet,
        decision="reject" if is_bad else "accept",
        family=family if is_bad else None,
        action="segregate" if is_bad else "keep_running",
        basis="measured",
        severity_ratio=None if ratio is None else Decimal(ratio),
        clear=is_bad and ratio is not None and Decimal(ratio) >= Decimal("1.5"),
    )
