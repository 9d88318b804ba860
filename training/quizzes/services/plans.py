"""Publishing exam plans: every change is a new revision with its reason."""

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from training.people.models import Device, Person
from training.people.signing import sign
from training.quizzes.models import ExamPlan
from training.quizzes.plan_rules import read_rules

GROUP, SHORT_BANK, PRACTICE = "group", "short-bank", "practice"
WROTE, APPROVED = "wrote an exam plan", "approved an exam plan"
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
    plan = _next_revision(
        code=code, form=form, name=name, parameters=parameters, reason=reason, day=day
    )
    plan.published_by = published_by
    plan.save()
    return plan


@transaction.atomic
def write_plan(
    *,
    code: str,
    form: str,
    name: dict[str, str],
    parameters: Mapping[str, Any],
    reason: str,
    day: dt.date,
    written_by: Person,
    signature_method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> ExamPlan:
    """Write the next revision as a draft, signed; a second person's signature puts it in force."""
    plan = _next_revision(
        code=code, form=form, name=name, parameters=parameters, reason=reason, day=day
    )
    plan.is_draft, plan.written_by = True, written_by
    plan.save()
    sign(
        person=written_by,
        meaning=WROTE,
        subject=plan,
        method=signature_method,
        moment=moment,
        device=device,
    )
    return plan


@transaction.atomic
def approve_plan(
    *,
    plan: ExamPlan,
    approved_by: Person,
    signature_method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> ExamPlan:
    """Put a draft in force by the signature of somebody other than who wrote it.

    It is in force from its day on, but never from before the day it was approved.
    """
    plan = ExamPlan.objects.select_for_update().get(pk=plan.pk)
    if not plan.is_draft:
        raise ValidationError(_("This revision is published already."), code="published")
    if plan.written_by_id == approved_by.pk:
        raise ValidationError(
            _("You wrote this revision: somebody else of quality or a trainer approves it."),
            code="same_person",
        )
    plan.is_draft, plan.published_by = False, approved_by
    plan.day = max(plan.day, timezone.localdate(moment))
    plan.save(update_fields=["is_draft", "published_by", "day"])
    sign(
        person=approved_by,
        meaning=APPROVED,
        subject=plan,
        method=signature_method,
        moment=moment,
        device=device,
    )
    return plan


@transaction.atomic
def discard_draft(*, plan: ExamPlan) -> None:
    """Throw a draft away; what is published stays for good."""
    plan = ExamPlan.objects.select_for_update().get(pk=plan.pk)
    if not plan.is_draft:
        raise ValidationError(_("A published revision stays; write a new one."), code="published")
    plan.delete()


def _next_revision(
    *,
    code: str,
    form: str,
    name: dict[str, str],
    parameters: Mapping[str, Any],
    reason: str,
    day: dt.date,
) -> ExamPlan:
    """Return the next revision, checked and not saved yet."""
    try:
        read_rules(form, parameters)
    except ValueError as error:
        raise ValidationError({"parameters": str(error)}) from error
    known = ExamPlan.objects.filter(code=code)
    if known.filter(is_draft=True).exists():
        raise ValidationError(
            _("A draft of this plan waits for its second signature: approve or discard it first."),
            code="draft",
        )
    newest = known.aggregate(revision=Max("revision"), day=Max("day"))
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
    )
    plan.full_clean(exclude=["parameters", "published_by"])
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
