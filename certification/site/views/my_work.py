"""Everybody's own page: what I may run today, what to do for the rest, my certificates."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from certification.certificates.selectors import language_now
from certification.certificates.standing import Verdict
from certification.site.my_work import my_work as gather
from certification.site.my_work_due import due_rows
from certification.site.my_work_eyes import eye_rows
from certification.site.my_work_rows import (
    certificate_rows,
    greeting,
    job_rows,
    shift_line,
    way_rows,
)
from training.people.sessions import signed_in_person

# So many at first sight; the rest of each list opens on request.
MOST_DUE, MOST_JOBS, MOST_CERTIFICATES, MOST_EYES = 3, 9, 6, 2


@never_cache
@require_safe
def my_work(request: HttpRequest) -> HttpResponse:
    """Show the person's jobs with their answer, the most urgent first, and what to do next."""
    work, language = gather(signed_in_person(request), timezone.now()), language_now()
    due, jobs = due_rows(work, language), job_rows(work, language)
    certificates, eyes = certificate_rows(work, language), eye_rows(work, language)
    context = {
        "work": work,
        "greeting": greeting(work),
        "shift": shift_line(work.shift, language),
        "counts": [
            ("yes", work.count(Verdict.ALONE)),
            ("buddy", work.count(Verdict.BUDDY)),
            ("not_yet", work.count(Verdict.NO)),
        ],
        "due": due[:MOST_DUE],
        "more_due": due[MOST_DUE:],
        "jobs": jobs[:MOST_JOBS],
        "pressing_job": next((row.number for row in jobs if row.presses), ""),
        "job_count": len(jobs),
        "certificates": certificates[:MOST_CERTIFICATES],
        "more_certificates": certificates[MOST_CERTIFICATES:],
        "certificate_count": len(certificates),
        "stopped_count": sum(row.stopped for row in certificates),
        "ending_count": sum(row.ending for row in certificates),
        "eyes": eyes[:MOST_EYES],
        "more_eyes": eyes[MOST_EYES:],
        "way": way_rows(work, language),
        "way_job": work.way.job.number if work.way else "",
    }
    return render(request, "site/my_work.html", context)
