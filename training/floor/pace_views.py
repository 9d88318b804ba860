"""The pace of a job: how long a part is usually looked at; changed by signature, with the history."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.debug import sensitive_post_parameters

from training.floor.models import Job
from training.floor.pace_selectors import pace_changes
from training.floor.services import set_pace
from training.people.devices import device_of
from training.people.forms import SignatureFields
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret
from training.people.views.sign_in import get_or_post

# From the two seconds of the shortest look to ten minutes at the bench.
LEAST, MOST = 2, 600


class PaceForm(SignatureFields):
    """Seconds a part, or nothing for no pace, and why; signed."""

    pace_s = forms.IntegerField(
        label=gettext_lazy("Seconds a part; empty for no pace"),
        required=False,
        min_value=LEAST,
        max_value=MOST,
    )
    reason = forms.CharField(label=gettext_lazy("Why"), max_length=200)

    field_order = ("pace_s", "reason", "secret")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False


@sensitive_post_parameters("secret")
@get_or_post
def pace_set(request: HttpRequest, number: str) -> HttpResponse:
    """Show a job's pace and how it was changed; set it or take it away on signature."""
    job = get_object_or_404(Job, number=number)
    form = PaceForm(request.POST or None, initial={"pace_s": job.pace_s})
    if form.is_valid() and _signed(request, form, job):
        messages.success(request, _("The pace of job %(number)s is set.") % {"number": job.number})
        return redirect("floor:job_sheet", number=job.number)
    context = {"job": job, "form": form, "changes": pace_changes(job)}
    return render(request, "floor/pace.html", context, status=400 if form.errors else 200)


def _signed(request: HttpRequest, form: PaceForm, job: Job) -> bool:
    """Change the pace, or put what is wrong on the form."""
    given, moment = form.cleaned_data, timezone.now()
    try:
        method = confirm_secret(request, given["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return False
    try:
        set_pace(
            job=job,
            seconds=given["pace_s"],
            reason=given["reason"],
            by=signed_in_person(request),
            signature_method=method,
            moment=moment,
            device=device_of(request),
        )
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True
