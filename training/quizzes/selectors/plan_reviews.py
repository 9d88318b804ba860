"""A year of an exam plan: who passed, what was drawn, how alike it decides, what it cost."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Q

from training.people.models import Role
from training.quizzes.models import ExamPlan, Kind, PlanReview, Presented, Sitting, SittingEnd
from training.quizzes.risks import CAREFUL, length_law
from training.quizzes.scoring import Counts
from training.quizzes.selectors.specimen_statistics import SpecimenLine, specimen_statistics
from training.quizzes.selectors.turned import counted_each
from training.quizzes.worked_plan import Form, WorkedPlan
from training.specimens.models import Specimen
from training.statistics.consistency import (
    DecisionConsistency,
    joint_consistency,
    sequential_consistency,
)
from training.statistics.proportions import Interval, clopper_pearson
from training.statistics.sampling_plan import DecisionTable, curtail

EXAMS = (Kind.QUALIFICATION, Kind.REQUALIFICATION)
YEAR = dt.timedelta(days=365)
# Fewer sittings than this are counted and not given as a rate; common practice, no source.
LEAST_FOR_RATE = 10


@dataclass(frozen=True)
class PassRate:
    """Sittings passed of those decided, of one language, one crew, or all.

    `interval` is the two-sided 95 % one of Clopper and Pearson; None where they are too few.
    """

    name: str
    passed: int
    of: int

    @property
    def interval(self) -> Interval | None:
        if self.of < LEAST_FOR_RATE:
            return None
        return clopper_pearson(self.passed, self.of)


@dataclass(frozen=True)
class PlanYear:
    """Everything that is known of a plan's sittings, all revisions, within a period.

    `judged` and `expected` are mean judgements of the sittings decided: made, and expected of
    somebody who errs in 2 % on either side. `seen` and `synthetic` count among the parts `drawn`.
    """

    plan: ExamPlan
    from_day: dt.date
    to_day: dt.date
    revisions: tuple[int, ...]
    sittings: int
    broken_off: int
    people: int
    everybody: PassRate
    by_language: tuple[PassRate, ...]
    by_crew: tuple[PassRate, ...]
    drawn: int
    seen: int
    synthetic: int
    judged: float | None
    expected: float | None
    consistency: DecisionConsistency
    flagged: tuple[SpecimenLine, ...]

    def as_figures(self) -> dict[str, object]:
        """Return what stood on the page in whole numbers and text, for the fact that is signed."""
        both = self.consistency
        return {
            "revisions": list(self.revisions),
            "sittings": self.sittings,
            "broken_off": self.broken_off,
            "people": self.people,
            "passed": self.everybody.passed,
            "decided": self.everybody.of,
            "by_language": {each.name: [each.passed, each.of] for each in self.by_language},
            "by_crew": {each.name: [each.passed, each.of] for each in self.by_crew},
            "drawn": self.drawn,
            "seen": self.seen,
            "synthetic": self.synthetic,
            "judged": "" if self.judged is None else f"{self.judged:.1f}",
            "expected": "" if self.expected is None else f"{self.expected:.1f}",
            "consistency": "" if both.consistency is None else f"{both.consistency:.3f}",
            "accuracy": "" if both.accuracy is None else f"{both.accuracy:.3f}",
            "flagged": [line.number for line in self.flagged],
        }


def plan_year(plan: ExamPlan, from_day: dt.date, to_day: dt.date, now: dt.datetime) -> PlanYear:
    """Return a plan's sittings that were opened from one day to another, both included.

    Costs a fixed number of queries.
    """
    sittings = list(
        Sitting.objects.filter(
            plan__code=plan.code,
            kind__in=EXAMS,
            opened_at__date__gte=from_day,
            opened_at__date__lte=to_day,
        )
        .select_related("end", "person__crew", "plan")
        .annotate(judged=Count("judgements", filter=Q(judgements__scored=True)))
        .order_by("opened_at")
    )
    ended = [each for each in sittings if hasattr(each, "end")]
    said = counted_each(each.end for each in ended)
    undecided = SittingEnd.Result.UNDECIDED
    decided = [each for each in ended if said[each.pk].result != undecided]
    won = {key for key, each in said.items() if each.result == SittingEnd.Result.PASSED}
    sat = [
        Sat(
            person=each.person_id,
            plan=WorkedPlan.from_json(each.worked_plan),
            counts=Counts.from_json(said[each.pk].counts),
        )
        for each in decided
    ]
    drawn, synthetic = _drawn([each.pk for each in sittings])
    return PlanYear(
        plan=plan,
        from_day=from_day,
        to_day=to_day,
        revisions=tuple(sorted({each.plan.revision for each in sittings})),
        sittings=len(sittings),
        broken_off=len(ended) - len(decided),
        people=len({each.person_id for each in sittings}),
        everybody=_rate("", decided, won),
        by_language=_rates(decided, won, lambda each: each.language),
        by_crew=_rates(decided, won, _crew),
        drawn=drawn,
        seen=sum(int(each.worked_plan.get("draw", {}).get("seen", 0)) for each in sittings),
        synthetic=synthetic,
        judged=_mean([each.judged for each in decided]),
        expected=_expected(each.plan for each in sat),
        consistency=plan_consistency(sat),
        flagged=_flagged([each.pk for each in sittings], to_day, now),
    )


def _crew(sitting: Sitting) -> str:
    return sitting.person.crew.code if sitting.person.crew else ""


def _rates(
    sittings: Sequence[Sitting], won: Container[uuid.UUID], key: Callable[[Sitting], str]
) -> tuple[PassRate, ...]:
    found: dict[str, list[Sitting]] = defaultdict(list)
    for each in sittings:
        found[key(each)].append(each)
    return tuple(_rate(name, rows, won) for name, rows in sorted(found.items()))


def _rate(name: str, sittings: Sequence[Sitting], won: Container[uuid.UUID]) -> PassRate:
    return PassRate(name, sum(each.pk in won for each in sittings), len(sittings))


def _drawn(sittings: Sequence[uuid.UUID]) -> tuple[int, int]:
    """Return how many specimens were drawn, and how many of them by program. One query."""
    counted = Presented.objects.filter(sitting__in=sittings).aggregate(
        drawn=Count("pk"), synthetic=Count("pk", filter=Q(specimen__synthetic=True))
    )
    return counted["drawn"], counted["synthetic"]


def _mean(values: Sequence[int]) -> float | None:
    return sum(values) / len(values) if values else None


def _expected(worked: Iterable[WorkedPlan]) -> float | None:
    """Return the mean judgements expected of an attentive eye under these plans as drawn."""
    means: dict[tuple[object, ...], float] = {}
    total, count = 0.0, 0
    for plan in worked:
        key = _shape(plan)
        if key not in means:
            means[key] = length_law(plan, CAREFUL, CAREFUL).mean
        total += means[key]
        count += 1
    return total / count if count else None


def _shape(plan: WorkedPlan) -> tuple[object, ...]:
    """Return what makes two sittings' rules the same, whatever their families."""
    return (
        plan.form,
        tuple(sorted(plan.bad.values())),
        plan.misses_allowed,
        tuple(sorted(plan.family_misses_allowed.values())),
        plan.good,
        plan.false_rejects_allowed,
        sum(plan.critical.values()),
        plan.own.misses.accept if plan.own is not None else None,
    )


@dataclass(frozen=True, slots=True)
class Sat:
    """Who sat, under which worked plan, and the counts as they stand today."""

    person: uuid.UUID
    plan: WorkedPlan
    counts: Counts

    @property
    def misses(self) -> tuple[int, int]:
        """Bad parts missed and judged: of the group, or of the family that stands for the plan."""
        if self.plan.form is Form.GROUP:
            return self.counts.missed, self.counts.bad
        own = self.counts.families[next(iter(self.plan.bad))]
        return own.missed, own.bad

    @property
    def false_rejects(self) -> tuple[int, int]:
        return self.counts.false_rejects, self.counts.good


def plan_consistency(rows: Iterable[Sat]) -> DecisionConsistency:
    """Return accuracy and consistency of the rule that most people sat, from one sitting each.

    Rows come oldest first; a person's newest sitting counts. Sittings that ended early keep their
    counts as they were when they ended; where a plan decides family by family its first family
    stands for it. One that was scored again, and so holds more parts of a side than the plan asks
    for, was sat under other numbers and is left out.
    """
    newest = {each.person: each for each in rows}
    by_shape: dict[tuple[object, ...], list[Sat]] = defaultdict(list)
    for each in newest.values():
        by_shape[_shape(each.plan)].append(each)
    sat = max(by_shape.values(), key=len, default=[])
    bad, good = _tables(sat[0].plan) if sat else (curtail(2, 0), curtail(2, 0))
    judged = [
        each
        for each in sat
        if 0 < each.misses[1] <= bad.cap and 0 < each.false_rejects[1] <= good.cap
    ]
    return joint_consistency(
        sequential_consistency(*_columns(each.misses for each in judged), bad),
        sequential_consistency(*_columns(each.false_rejects for each in judged), good),
    )


def _columns(pairs: Iterable[tuple[int, int]]) -> tuple[list[int], list[int]]:
    """Return the errors, and the parts judged."""
    held = list(pairs)
    return [errors for errors, _of in held], [of for _errors, of in held]


def _tables(plan: WorkedPlan) -> tuple[DecisionTable, DecisionTable]:
    """Return the tables of both sides: a family's own ones, or the fixed numbers."""
    if plan.own is not None:
        return plan.own.misses, plan.own.false_rejects
    first = next(iter(plan.bad))
    n, c = plan.bad[first], plan.family_misses_allowed[first]
    if plan.misses_allowed is not None:
        n, c = plan.total_bad, plan.misses_allowed
    return curtail(n, c), curtail(plan.good, plan.false_rejects_allowed)


def _flagged(
    sittings: Sequence[uuid.UUID], day: dt.date, now: dt.datetime
) -> tuple[SpecimenLine, ...]:
    """Return the specimens shown in these sittings that something casts doubt on."""
    shown = set(
        Specimen.objects.filter(presented__sitting__in=sittings).values_list("pk", flat=True)
    )
    lines = specimen_statistics(roles={Role.QUALITY}, now=now, day=day).lines
    found = [line for line in lines if line.figures.doubts and line.id in shown]
    return tuple(sorted(found, key=lambda line: line.number))


def reviews_of(code: str) -> list[PlanReview]:
    """Return the reviews of a plan, newest first. Costs one query."""
    rows = PlanReview.objects.filter(plan__code=code).select_related("plan", "words", "recorded_by")
    return list(rows.order_by("-to_day", "-position"))


@dataclass(frozen=True, slots=True)
class ReviewDue:
    """When a plan was last looked at, or began, and whether that is more than a year ago."""

    since: dt.date
    reviewed: bool
    due: bool


def reviews_due(plans: Sequence[ExamPlan], day: dt.date) -> dict[str, ReviewDue]:
    """Return for each plan's code whether its yearly review is due. Costs two queries."""
    codes = [plan.code for plan in plans if plan.form not in (Form.PRACTICE, Form.STUDY)]
    began: dict[str, dt.date] = {}
    for code, first in ExamPlan.objects.filter(code__in=codes, is_draft=False).values_list(
        "code", "day"
    ):
        began[code] = min(first, began.get(code, first))
    last: dict[str, dt.date] = {}
    for code, to_day in PlanReview.objects.filter(plan__code__in=codes).values_list(
        "plan__code", "to_day"
    ):
        last[code] = max(to_day, last.get(code, to_day))
    return {
        code: ReviewDue(
            since=last.get(code, first),
            reviewed=code in last,
            due=day - last.get(code, first) >= YEAR,
        )
        for code, first in began.items()
    }


def period_to_review(plan: ExamPlan, day: dt.date) -> tuple[dt.date, dt.date]:
    """Return from the day after the last review, or a year back, to the day. Costs one query."""
    last = (
        PlanReview.objects.filter(plan__code=plan.code, to_day__lt=day)
        .order_by("-to_day")
        .values_list("to_day", flat=True)
        .first()
    )
    return (last + dt.timedelta(days=1) if last else day - YEAR), day
