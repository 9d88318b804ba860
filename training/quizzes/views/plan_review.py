"""The yearly review of an exam plan: its figures over a period, and quality's signed decision."""

import datetime as dt
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Column, Layout, Row
from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.debug import sensitive_post_parameters

from training.people.devices import device_of
from training.people.forms import SignatureFields
from training.people.models import Role
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret
from training.people.views.sign_in import get_or_post
from training.quizzes.models import ExamPlan, PlanReview
from training.quizzes.plan_forms import KINDS
from training.quizzes.review_words import review_context
from training.quizzes.selectors.plan_reviews import (
    PlanYear,
    period_to_review,
    plan_year,
    reviews_of,
)
from training.quizzes.selectors.plans import revisions_of, withdrawal_of, withdrawing
from training.quizzes.services.plan_reviews import review_plan
from training.quizzes.withdrawn_words import consequence_lines, withdrawn_text
from training.quizzes.words import here


class PeriodForm(forms.Form):
    """The period looked at, both days included."""

    from_day = forms.DateField(label=gettext_lazy("From"))
    to_day = forms.DateField(label=gettext_lazy("To"))

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        first, last = given.get("from_day"), given.get("to_day")
        if first and last and last < first:
            self.add_error("to_day", _("The period would end before it begins."))
        return given


class ReviewForm(SignatureFields):
    """What quality decides about a plan after a year of it; signed."""

    from_day = forms.DateField(widget=forms.HiddenInput)
    to_day = forms.DateField(widget=forms.HiddenInput)
    decision = forms.ChoiceField(
        label=gettext_lazy("Decision"),
        choices=PlanReview.Decision.choices,
        widget=forms.RadioSelect,
    )
    words = forms.CharField(
        label=gettext_lazy("What it rests on"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("what was noticed, and what is done about it"),
    )

    withdraw = forms.BooleanField(
        label=gettext_lazy("I withdraw the plan with my signature"),
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            "from_day",
            "to_day",
            Row(Column("decision", css_class="col-md-4"), Column("words", css_class="col-md-8")),
            HTML('{% include "quizzes/_withdrawing.html" %}'),
            "secret",
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if given.get("decision") == PlanReview.Decision.WITHDRAW and not given.get("withdraw"):
            self.add_error(
                "withdraw", _("Read what withdrawing does, and tick that you withdraw the plan.")
            )
        return given


@sensitive_post_parameters("secret")
@get_or_post
def plan_review(request: HttpRequest, code: str) -> HttpResponse:
    """Show a plan's sittings over a period, and take quality's decision about it."""
    moment = timezone.now()
    plan = _reviewed_plan(code)
    reviewer = Role.QUALITY in signed_in_person(request).roles()
    if request.method == "POST" and not reviewer:
        raise PermissionDenied
    today = timezone.localdate(moment)
    withdrawn = withdrawal_of(plan, today)
    form = ReviewForm(request.POST or None)
    if form.is_valid():
        year = plan_year(plan, form.cleaned_data["from_day"], form.cleaned_data["to_day"], moment)
        if _signed(request, form, year, moment):
            messages.success(request, _said(form))
            return redirect("quizzes:plan_review", code=code)
    else:
        year = plan_year(plan, *_period(request, plan, today), moment)
    if not form.is_bound:
        form.initial = {"from_day": year.from_day, "to_day": year.to_day}
    context = review_context(year, reviews_of(code)) | {
        "form": form if reviewer and withdrawn is None else None,
        "withdrawn": withdrawn_text(withdrawn) if withdrawn is not None else "",
        "consequences": consequence_lines(plan, withdrawing(plan, today)) if reviewer else [],
        "plan": plan,
        "name": here(plan.name),
        "period": PeriodForm(request.GET) if "from_day" in request.GET else None,
    }
    status = 400 if form.is_bound else 200
    return render(request, "quizzes/plan_review.html", context, status=status)


def _said(form: ReviewForm) -> str:
    if form.cleaned_data["decision"] == PlanReview.Decision.WITHDRAW:
        return _("The review is signed and kept. The plan is withdrawn.")
    return _("The review is signed and kept.")


def _reviewed_plan(code: str) -> ExamPlan:
    """Return the newest published revision of an exam plan, or raise 404."""
    for plan in revisions_of(code):
        if not plan.is_draft and plan.form in KINDS:
            return plan
    raise Http404


def _period(request: HttpRequest, plan: ExamPlan, day: dt.date) -> tuple[dt.date, dt.date]:
    asked = PeriodForm(request.GET)
    if asked.is_valid():
        return asked.cleaned_data["from_day"], asked.cleaned_data["to_day"]
    return period_to_review(plan, day)


def _signed(request: HttpRequest, form: ReviewForm, year: PlanYear, moment: dt.datetime) -> bool:
    """Record the review, or put what is wrong on the form."""
    given = form.cleaned_data
    try:
        method = confirm_secret(request, given["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return False
    try:
        review_plan(
            plan=year.plan,
            from_day=year.from_day,
            to_day=year.to_day,
            figures=year.as_figures(),
            decision=given["decision"],
            words=given["words"],
            reviewed_by=signed_in_person(request),
            signature_method=method,
            moment=moment,
            device=device_of(request),
        )
    except ValidationError as error:
        form.add_error(None, " ".join(error.messages))
        return False
    return True
