"""A year of an exam plan: who passed, what was drawn, how alike it decides, what it cost."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Q

from training.people.models import Role
from training.quizzes.models import ExamPlan, Kind, PlanReview, Presented, Sitting, SittingEnd
from training.quizzes.risks import CAREFUL, length_law
from training.quizzes.scoring import Counts
from training.quizzes.selectors.specimen_statistics import SpecimenLine, specimen_statistics
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
    undecided = SittingEnd.Result.UNDECIDED
    decided = [each for each in ended if each.end.result != undecided]
    worked = {each.pk: WorkedPlan.from_json(each.worked_plan) for each in decided}
    drawn, synthetic = _drawn([each.pk for each in sittings])
    return PlanYear(
        plan=plan,
        from_day=from_day,
        to_day=to_day,
        revisions=tuple(sorted({each.plan.revision for each in sittings})),
        sittings=len(sittings),
        broken_off=len(ended) - len(decided),
        people=len({each.person_id for each in sittings}),
        everybody=_rate("", decided),
        by_language=_rates(decided, lambda each: each.language),
        by_crew=_rates(decided, lambda each: each.person.crew.code if each.person.crew else ""),
        drawn=drawn,
        seen=sum(int(each.worked_plan.get("draw", {}).get("seen", 0)) for each in sittings),
        synthetic=synthetic,
        judged=_mean([each.judged for each in decided]),
        expected=_expected(worked.values()),
        consistency=plan_consistency([(each, worked[each.pk]) for each in decided]),
        flagged=_flagged([each.pk for each in sittings], to_day, now),
    )


def _rates(sittings: Sequence[Sitting], key: Callable[[Sitting], str]) -> tuple[PassRate, ...]:
    found: dict[str, list[Sitting]] = defaultdict(list)
    for each in sittings:
        found[key(each)].append(each)
    return tuple(_rate(name, rows) for name, rows in sorted(found.items()))


def _rate(name: str, sittings: Sequence[Sitting]) -> PassRate:
    won = SittingEnd.Result.PASSED
    return PassRate(name, sum(each.end.result == won for each in sittings), len(sittings))


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


def plan_consistency(rows: Sequence[tuple[Sitting, WorkedPlan]]) -> DecisionConsistency:
    """Return accuracy and consistency of the rule that most people sat, from one sitting each.

    A person's newest sitting counts. Sittings that ended early keep their counts as they were when
    they ended; where a plan decides family by family its first family stands for it.
    """
    newest = {sitting.person_id: (sitting, plan) for sitting, plan in rows}
    by_shape: dict[tuple[object, ...], list[tuple[Counts, WorkedPlan]]] = defaultdict(list)
    for sitting, plan in newest.values():
        by_shape[_shape(plan)].append((Counts.from_json(sitting.end.counts), plan))
    sat = max(by_shape.values(), key=len, default=[])
    judged = [(counts, plan) for counts, plan in sat if _misses(counts, plan)[1] and counts.good]
    misses = [_misses(counts, plan) for counts, plan in judged]
    tables = _tables(sat[0][1]) if sat else (curtail(2, 0), curtail(2, 0))
    return joint_consistency(
        sequential_consistency([x for x, _n in misses], [n for _x, n in misses], tables[0]),
        sequential_consistency(
            [counts.false_rejects for counts, _plan in judged],
            [counts.good for counts, _plan in judged],
            tables[1],
        ),
    )


def _misses(counts: Counts, plan: WorkedPlan) -> tuple[int, int]:
    if plan.form is Form.GROUP:
        return counts.missed, counts.bad
    own = counts.families[next(iter(plan.bad))]
    return own.missed, own.bad


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
