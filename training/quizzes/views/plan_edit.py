"""Writing exam plans: a draft with its figures, the second signature, throwing a draft away."""

import datetime as dt
from typing import Any, Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from training.people.devices import device_of
from training.people.forms import SignatureFields
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret
from training.people.views.sign_in import get_or_post
from training.quizzes.models import ExamPlan
from training.quizzes.plan_figures import plan_figures
from training.quizzes.plan_forms import KINDS, PlanForm
from training.quizzes.plan_rules import read_rules
from training.quizzes.services.plans import approve_plan, discard_draft, write_plan
from training.quizzes.words import here
from training.quizzes.worked_plan import Form

PREVIEW: Final = "preview"


@sensitive_post_parameters("secret")
@get_or_post
def plan_add(request: HttpRequest) -> HttpResponse:
    """Write the first revision of a new plan of the kind asked for."""
    data = request.POST if request.method == "POST" else request.GET
    asked = data.get("kind", Form.GROUP)
    if asked not in KINDS:
        raise Http404
    return _write(request, Form(asked), None)


@sensitive_post_parameters("secret")
@get_or_post
def plan_revise(request: HttpRequest, code: str) -> HttpResponse:
    """Write the next revision of a plan, beginning with the newest."""
    newest = ExamPlan.objects.filter(code=code, is_draft=False).order_by("-revision").first()
    if newest is None or newest.form not in KINDS:
        raise Http404
    return _write(request, Form(newest.form), newest)


def _write(request: HttpRequest, kind: Form, revised: ExamPlan | None) -> HttpResponse:
    moment = timezone.now()
    today = timezone.localdate(moment)
    preview = request.method == "POST" and request.POST.get("do") == PREVIEW
    form = PlanForm(request.POST or None, kind=kind, today=today, revised=revised, preview=preview)
    if form.is_valid() and not preview:
        plan = _signed(request, form, moment)
        if plan is not None:
            messages.success(
                request, _("The draft is kept. Somebody else signs it, then it is in force.")
            )
            address = reverse("quizzes:plan_detail", args=[plan.code])
            return redirect(f"{address}?revision={plan.revision}")
    rules, size = form.rules, form.size() if form.rules is not None else 0
    if not form.is_bound:
        rules = read_rules(kind, revised.parameters if revised is not None else {})
    context = {
        "form": form,
        "kind": kind,
        "kinds": [] if revised is not None else kind_rows(),
        "revised": revised,
        "name": here(revised.name) if revised is not None else "",
        "figures": plan_figures(rules, size, today) if rules is not None else None,
    }
    status = 400 if form.errors and not preview else 200
    return render(request, "quizzes/plan_form.html", context, status=status)


def kind_rows() -> list[dict[str, Any]]:
    """Return the kinds of plan to choose from, with what each is for."""
    words = {
        Form.GROUP: (_("Group plan"), _("look-alike families together; the usual one")),
        Form.OWN: (_("Own plan"), _("one family until both sides are decided")),
        Form.FIXED: (_("Fixed plan"), _("fixed numbers for each family, for auditors")),
        Form.SHORT_BANK: (_("Short bank"), _("few specimens; six months")),
    }
    return [{"key": kind, "name": words[kind][0], "note": words[kind][1]} for kind in KINDS]


def _signed(request: HttpRequest, form: PlanForm, moment: dt.datetime) -> ExamPlan | None:
    """Write the draft, or put what is wrong on the form and return None."""
    given = form.cleaned_data
    try:
        method = confirm_secret(request, given["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    code = form.revised.code if form.revised is not None else given["code"]
    if form.revised is None and ExamPlan.objects.filter(code=code).exists():
        form.add_error("code", _("A plan has this code: revise it, or choose another code."))
        return None
    try:
        return write_plan(
            code=code,
            form=form.kind,
            name=form.name(),
            parameters=form.parameters,
            reason=given["reason"],
            day=given["day"],
            written_by=signed_in_person(request),
            signature_method=method,
            moment=moment,
            device=device_of(request),
        )
    except ValidationError as error:
        form.add_error(None, " ".join(error.messages))
        return None


@sensitive_post_parameters("secret")
@require_POST
def plan_approve(request: HttpRequest, code: str) -> HttpResponse:
    """Put the draft of a plan in force by a second person's signature."""
    moment = timezone.now()
    plan = get_object_or_404(ExamPlan, code=code, is_draft=True)
    form = SignatureFields(request.POST)
    try:
        if not form.is_valid():
            raise ValidationError(_("Give your password or PIN, to sign."))
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
        approve_plan(
            plan=plan,
            approved_by=signed_in_person(request),
            signature_method=method,
            moment=moment,
            device=device_of(request),
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        address = reverse("quizzes:plan_detail", args=[code])
        return redirect(f"{address}?revision={plan.revision}")
    messages.success(request, _("Revision %(n)s is in force.") % {"n": plan.revision})
    return redirect("quizzes:plan_detail", code=code)


@require_POST
def plan_discard(request: HttpRequest, code: str) -> HttpResponse:
    """Throw the draft of a plan away."""
    plan = get_object_or_404(ExamPlan, code=code, is_draft=True)
    discard_draft(plan=plan)
    messages.success(request, _("The draft is thrown away."))
    if ExamPlan.objects.filter(code=code).exists():
        return redirect("quizzes:plan_detail", code=code)
    return redirect("quizzes:plan_list")
