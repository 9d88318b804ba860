"""Publishing exam plans: every change is a new revision with its reason."""

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from training.people.models import Person
from training.quizzes.models import ExamPlan
from training.quizzes.plan_rules import read_rules

GROUP, SHORT_BANK, PRACTICE = "group", "short-bank", "practice"
LIGHT_BOOTH, REQUALIFICATION = "light-booth", "requalification"

# Code, form, name and parameters that differ from the form's defaults.
DEFAULT_PLANS: Final[tuple[tuple[str, str, dict[str, str], dict[str, Any]], ...]] = (
    (GROUP, ExamPlan.Form.GROUP, {"en": "Group plan", "es": "Plan de grupo"}, {}),
    (
        SHORT_BANK,
        ExamPlan.Form.SHORT_BANK,
        {"en": "Short-bank plan", "es": "Plan de banco corto"},
        {},
    ),
    (PRACTICE, ExamPlan.Form.PRACTICE, {"en": "Practice round", "es": "Ronda de práctica"}, {}),
    (
        LIGHT_BOOTH,
        ExamPlan.Form.FIXED,
        {"en": "Parts in the light booth", "es": "Piezas en la cabina de luz"},
        {"pictured": False},
    ),
    (
        REQUALIFICATION,
        ExamPlan.Form.FIXED,
        {
            "en": "Requalification of one critical family",
            "es": "Recalificación de una familia crítica",
        },
        {
            "bad": 22,
            "misses_allowed": 0,
            "good": 30,
            "false_rejects_allowed": 3,
            "bad_is_critical": True,
            "pictured": False,
        },
    ),
)


@transaction.atomic
def publish_plan(
    *,
    code: str,
    form: str,
    name: dict[str, str],
    parameters: Mapping[str, Any],
    reason: str,
    day: dt.date,
    published_by: Person | None,
) -> ExamPlan:
    """Publish the next revision of a plan; sittings opened from its day on are under it."""
    try:
        read_rules(form, parameters)
    except ValueError as error:
        raise ValidationError({"parameters": str(error)}) from error
    newest = ExamPlan.objects.filter(code=code).aggregate(revision=Max("revision"), day=Max("day"))
    if newest["day"] is not None and newest["day"] > day:
        raise ValidationError(
            {"day": _("A revision of %(day)s is already published.") % {"day": newest["day"]}}
        )
    plan = ExamPlan(
        code=code,
        revision=(newest["revision"] or 0) + 1,
        name=name,
        form=form,
        parameters=dict(parameters),
        reason=reason,
        day=day,
        published_by=published_by,
    )
    plan.full_clean(exclude=["parameters", "published_by"])
    plan.save()
    return plan


def ensure_default_plans(*, day: dt.date, published_by: Person | None = None) -> list[ExamPlan]:
    """Publish the first revision of each default plan that does not exist yet; return those made."""
    known = set(ExamPlan.objects.values_list("code", flat=True))
    return [
        publish_plan(
            code=code,
            form=form,
            name=name,
            parameters=parameters,
            reason="Default plan",
            day=day,
            published_by=published_by,
        )
        for code, form, name, parameters in DEFAULT_PLANS
        if code not in known
    ]
