"""Sittings that are over, written straight into the record, for tests of what follows from them."""

import datetime as dt
import itertools
from collections.abc import Mapping, Sequence

from tests.conftest import NOON, TODAY
from training.floor.models import Family
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import ExamPlan, Kind, Sitting, SittingEnd
from training.quizzes.own_plan import OwnTables
from training.quizzes.scoring import Counts, FamilyCount
from training.quizzes.worked_plan import Form, WorkedPlan
from training.statistics.sampling_plan import curtail

numbers = itertools.count(1)


def exam_plan(form: str = ExamPlan.Form.GROUP) -> ExamPlan:
    plan, _ = ExamPlan.objects.get_or_create(
        code=form.replace("_", "-"),
        revision=4,
        defaults={
            "name": {"en": f"{form} plan", "es": f"plan {form}"},
            "form": form,
            "reason": "first",
            "day": dt.date(2026, 1, 5),
        },
    )
    return plan


def sat(
    person: Person,
    families: Sequence[Family],
    *,
    passed: Sequence[Family] | None = None,
    critical: Sequence[Family] = (),
    block: bool | None = None,
    missed: Mapping[str, int] | None = None,
    false_rejects: int = 0,
    invigilator: Person | None = None,
    ended_at: dt.datetime = NOON - dt.timedelta(hours=3),
    kind: str = Kind.QUALIFICATION,
    form: str = ExamPlan.Form.GROUP,
    ended: bool = True,
    groups: Sequence[str] = ("spots",),
) -> Sitting:
    """Return a sitting of the families; all passed, nothing missed, unless told otherwise."""
    worked = _worked(families, critical, form)
    sitting = Sitting(
        number=f"T-{next(numbers):04d}",
        person=person,
        kind=kind,
        plan=exam_plan(form),
        worked_plan=worked.as_json(),
        groups=list(groups),
        families=list(worked.bad),
        critical_families=list(worked.critical),
        opened_at=ended_at - dt.timedelta(minutes=15),
        invigilator=invigilator,
        seed="s",
    )
    append(sitting, moment=sitting.opened_at)
    if ended:
        won = list(worked.bad) if passed is None else [family.slug for family in passed]
        counts = Counts(
            {
                slug: FamilyCount(bad, (missed or {}).get(slug, 0))
                for slug, bad in worked.bad.items()
            },
            worked.good,
            false_rejects,
            {slug: FamilyCount(n, 0 if block else 1) for slug, n in worked.critical.items()},
        )
        end = SittingEnd(
            sitting=sitting,
            ended_at=ended_at,
            reason=SittingEnd.Reason.DECIDED if worked.own else SittingEnd.Reason.COMPLETE,
            result=SittingEnd.Result.PASSED if won else SittingEnd.Result.NOT_PASSED,
            counts=counts.as_json(),
            families_passed=won,
            critical_block_passed=block,
            links=1,
            head="0" * 64,
        )
        append(end, moment=ended_at)
    return sitting


def _worked(families: Sequence[Family], critical: Sequence[Family], form: str) -> WorkedPlan:
    slugs = [family.slug for family in families]
    if form == ExamPlan.Form.OWN:
        return _own(slugs[0], critical=bool(critical))
    marked = [family.slug for family in critical]
    per_family = 12 if form == ExamPlan.Form.SHORT_BANK else max(8, -(-40 // len(slugs)))
    return WorkedPlan(
        form=Form(form),
        bad=dict.fromkeys(slugs, per_family),
        misses_allowed=4 if form == ExamPlan.Form.GROUP else None,
        family_misses_allowed=dict.fromkeys(slugs, 1),
        good=30,
        false_rejects_allowed=3,
        critical=dict.fromkeys(marked, 29 // len(marked)) if marked else {},
    )


def _own(slug: str, *, critical: bool) -> WorkedPlan:
    """Return a family's own plan whose sides are passed without an error after 34 parts."""
    table = curtail(38, 4)
    return WorkedPlan(
        form=Form.OWN,
        bad={slug: 34},
        misses_allowed=None,
        family_misses_allowed={slug: 4},
        good=34,
        false_rejects_allowed=4,
        own=OwnTables(table, table, critical),
    )


__all__ = ["NOON", "TODAY", "exam_plan", "sat"]
