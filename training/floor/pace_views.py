"""Setting the pace of a job: how long a part is usually looked at, for the quiet bar in the booth."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from training.floor.models import Job
from training.floor.services import set_pace

# From the two seconds of the shortest look to ten minutes at the bench.
LEAST, MOST = 2, 600


class PaceForm(forms.Form):
    """Seconds a part, or nothing for no pace."""

    pace_s = forms.IntegerField(required=False, min_value=LEAST, max_value=MOST)


@require_POST
def pace_set(request: HttpRequest, number: str) -> HttpResponse:
    """Set or take away a job's pace, and show the job again."""
    job = get_object_or_404(Job, number=number)
    form = PaceForm(request.POST)
    if not form.is_valid():
        messages.error(
            request,
            _("Pace: give whole seconds from %(least)s to %(most)s, or nothing for no pace.")
            % {"least": LEAST, "most": MOST},
        )
    else:
        set_pace(job=job, seconds=form.cleaned_data["pace_s"])
        messages.success(request, _("The pace of job %(number)s is set.") % {"number": job.number})
    return redirect("floor:job_sheet", number=job.number)
