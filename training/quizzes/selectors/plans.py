"""Exam plans in force, and the risks they carry, for people to read."""

import datetime as dt

from training.quizzes.models import ExamPlan


def plan_in_force(code: str, day: dt.date) -> ExamPlan | None:
    """Return the newest revision of a plan published up to the day, or None. Costs one query."""
    return (
        ExamPlan.objects.filter(code=code, day__lte=day, is_draft=False)
        .order_by("-revision")
        .first()
    )


def plans_in_force(day: dt.date) -> list[ExamPlan]:
    """Return the newest revision of every plan published up to the day. Costs one query."""
    newest: dict[str, ExamPlan] = {}
    for plan in ExamPlan.objects.filter(day__lte=day, is_draft=False).order_by("code", "revision"):
        newest[plan.code] = plan
    return list(newest.values())


def revisions_of(code: str) -> list[ExamPlan]:
    """Return every revision of a plan, drafts too, newest first. Costs one query."""
    plans = ExamPlan.objects.filter(code=code).select_related("published_by", "written_by")
    return list(plans.order_by("-revision"))


def plan_drafts() -> list[ExamPlan]:
    """Return the drafts that wait for a second signature. Costs one query."""
    return list(ExamPlan.objects.filter(is_draft=True).select_related("written_by"))
