"""An exam plan withdrawn by its review in words: who, when, what becomes of it, what is left."""

from collections.abc import Sequence

from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from training.quizzes.models import ExamPlan, PlanReview
from training.quizzes.selectors.plans import Withdrawing
from training.quizzes.words import here


def withdrawn_text(review: PlanReview) -> str:
    """Say which review withdrew a plan: its day and who signed it."""
    day = timezone.localdate(review.recorded_at)
    return _("Withdrawn by the review of %(day)s, signed by %(who)s.") % {
        "day": format_date(day, pgettext("pattern of a day with its year", "j M Y")),
        "who": review.recorded_by.name if review.recorded_by else "–",
    }


def instead_text(plans: Sequence[ExamPlan]) -> str:
    """Say under which plans exams are opened instead."""
    if not plans:
        return _("No other exam plan is in force: quality publishes a new revision first.")
    names = ", ".join(here(plan.name) for plan in plans)
    return _(
        "Exams are opened under these instead: %(plans)s; or quality publishes a revision."
    ) % {"plans": names}


def refused_text(plan: ExamPlan, review: PlanReview, instead: Sequence[ExamPlan]) -> str:
    """Say why no exam is opened under a plan, and what to do."""
    return " ".join(
        (
            _("%(plan)s, revision %(n)s, is not in force any more.")
            % {"plan": here(plan.name), "n": plan.revision},
            withdrawn_text(review),
            instead_text(instead),
        )
    )


def consequence_lines(plan: ExamPlan, left: Withdrawing) -> list[str]:
    """Say what withdrawing a plan does, before it is signed."""
    return [
        _("From your signature on no exam is opened under revision %(n)s or one before it.")
        % {"n": plan.revision},
        running_text(left),
        instead_text(left.instead),
        _("Results and certificates that rest on it stay as they are."),
        _(
            "It is not taken back: the plan comes into force again as a new revision, by two people."
        ),
    ]


def running_text(left: Withdrawing) -> str:
    """Say which exams still run under a plan, and that they go on."""
    if not left.running:
        return _("No exam is running under it.")
    numbers = ", ".join(sitting.number for sitting in left.running)
    return ngettext(
        "%(numbers)s is running and goes on to its end, under this plan.",
        "%(numbers)s are running and go on to their end, under this plan.",
        len(left.running),
    ) % {"numbers": numbers}
