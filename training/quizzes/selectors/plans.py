"""Exam plans on a day: which are in force, which a review has withdrawn, and what that leaves."""

import datetime as dt
from dataclasses import dataclass

from training.quizzes.kinds import EXAMS
from training.quizzes.models import ExamPlan, PlanReview, Sitting

# Forms that end in a result; practice and rounds of studies decide nothing.
EXAM_FORMS = (
    ExamPlan.Form.GROUP,
    ExamPlan.Form.SHORT_BANK,
    ExamPlan.Form.FIXED,
    ExamPlan.Form.OWN,
)


@dataclass(frozen=True, slots=True)
class PlanStanding:
    """The newest published revision of a plan on a day, and the signed review that withdrew it."""

    plan: ExamPlan
    withdrawn: PlanReview | None

    @property
    def in_force(self) -> bool:
        return self.withdrawn is None


def plan_standings(day: dt.date, code: str = "") -> list[PlanStanding]:
    """Return how every published plan stands on a day, or one of them. Costs two queries.

    This is where it is decided whether a plan is in force. A review that withdraws a revision
    withdraws those before it too, from the day it was signed; only a later revision puts the plan
    in force again.
    """
    plans = ExamPlan.objects.filter(day__lte=day, is_draft=False)
    reviews = PlanReview.objects.filter(
        decision=PlanReview.Decision.WITHDRAW, corrections=None, recorded_at__date__lte=day
    )
    if code:
        plans, reviews = plans.filter(code=code), reviews.filter(plan__code=code)
    newest = {plan.code: plan for plan in plans.order_by("code", "revision")}
    ended = {
        review.plan.code: review
        for review in reviews.select_related("plan", "recorded_by", "words").order_by(
            "plan__revision"
        )
    }
    return [
        PlanStanding(plan, review if _withdraws(review, plan) else None)
        for plan in newest.values()
        for review in [ended.get(plan.code)]
    ]


def _withdraws(review: PlanReview | None, plan: ExamPlan) -> bool:
    return review is not None and review.plan.revision >= plan.revision


def plan_standing(code: str, day: dt.date) -> PlanStanding | None:
    """Return how a plan stands on a day, or None before its first revision. Costs two queries."""
    return next(iter(plan_standings(day, code)), None) if code else None


def plan_in_force(code: str, day: dt.date) -> ExamPlan | None:
    """Return the revision of a plan that is in force on a day, or None. Costs two queries."""
    found = plan_standing(code, day)
    return found.plan if found is not None and found.in_force else None


def plans_in_force(day: dt.date) -> list[ExamPlan]:
    """Return the revision of every plan that is in force on a day. Costs two queries."""
    return [each.plan for each in plan_standings(day) if each.in_force]


def withdrawal_of(plan: ExamPlan, day: dt.date) -> PlanReview | None:
    """Return the review that has withdrawn a revision by a day, or None. Costs one query."""
    return (
        PlanReview.objects.filter(
            plan__code=plan.code,
            plan__revision__gte=plan.revision,
            decision=PlanReview.Decision.WITHDRAW,
            corrections=None,
            recorded_at__date__lte=day,
        )
        .select_related("plan", "recorded_by")
        .order_by("recorded_at", "position")
        .first()
    )


@dataclass(frozen=True, slots=True)
class Withdrawing:
    """What withdrawing a plan leaves: the exams that run under it, and the exam plans left."""

    running: tuple[Sitting, ...]
    instead: tuple[ExamPlan, ...]


def withdrawing(plan: ExamPlan, day: dt.date) -> Withdrawing:
    """Return what is left where a plan is withdrawn. Costs three queries."""
    running = Sitting.objects.filter(plan__code=plan.code, kind__in=EXAMS, end=None)
    return Withdrawing(
        running=tuple(running.select_related("person").order_by("opened_at")),
        instead=tuple(exam_plans_besides(plan.code, day)),
    )


def exam_plans_besides(code: str, day: dt.date) -> list[ExamPlan]:
    """Return the other plans under which an exam can be opened on a day. Costs two queries."""
    return [plan for plan in plans_in_force(day) if plan.code != code and plan.form in EXAM_FORMS]


def revisions_of(code: str) -> list[ExamPlan]:
    """Return every revision of a plan, drafts too, newest first. Costs one query."""
    plans = ExamPlan.objects.filter(code=code).select_related("published_by", "written_by")
    return list(plans.order_by("-revision"))


def plan_drafts() -> list[ExamPlan]:
    """Return the drafts that wait for a second signature. Costs one query."""
    return list(ExamPlan.objects.filter(is_draft=True).select_related("written_by"))
