"""Practice: what there is to practise, starting a round, and what each answer came to."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from training.people.devices import device_of
from training.people.sessions import signed_in_person
from training.quizzes.family_pictures import family_response
from training.quizzes.feedback_words import feedback_context
from training.quizzes.kinds import AT_ONCE
from training.quizzes.low_rate_words import due_words
from training.quizzes.page_rows import practice_rows
from training.quizzes.selectors.booth import booth_parts
from training.quizzes.selectors.booth import family_picture as family_tile
from training.quizzes.selectors.low_rate import low_rate_due
from training.quizzes.selectors.plans import plan_in_force
from training.quizzes.selectors.practice import answered, families_to_practise, practice_groups
from training.quizzes.selectors.progress import progress_of
from training.quizzes.selectors.repeatability import over_all
from training.quizzes.selectors.results import waiting_exam
from training.quizzes.selectors.studies import own_rounds
from training.quizzes.services.opening import start_practice
from training.quizzes.services.plans import PRACTICE as PRACTICE_PLAN
from training.quizzes.views.access import own_sitting


@require_safe
def practice_list(request: HttpRequest) -> HttpResponse:
    """List what can be practised, and the exam that waits for this person, if there is one."""
    person = signed_in_person(request)
    day = timezone.localdate(timezone.now())
    groups = practice_groups(person, day)
    context = {
        "groups": practice_rows(groups),
        "exam": waiting_exam(person),
        "study_rounds": own_rounds(person, timezone.now()),
        "kinds": {kind for group in groups for row in group.rows for kind in row.sets},
        "low_rate": due_words(low_rate_due(person, day)),
        "repeatability": over_all(person),
    }
    return render(request, "quizzes/practice_list.html", context)


@require_POST
def practice_start(request: HttpRequest) -> HttpResponse:
    """Start a round with a family, several, or a group."""
    moment = timezone.now()
    families = families_to_practise(request.POST.getlist("family"), request.POST.get("group", ""))
    plan = plan_in_force(PRACTICE_PLAN, timezone.localdate(moment))
    if not families or plan is None:
        messages.error(
            request,
            _("Choose a family to practise.") if plan else _("No practice plan is published yet."),
        )
        return redirect("quizzes:practice_list")
    try:
        sitting = start_practice(
            person=signed_in_person(request),
            families=families,
            plan=plan,
            moment=moment,
            device=device_of(request),
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("quizzes:practice_list")
    return redirect("quizzes:booth", pk=sitting.pk)


@never_cache
@require_safe
def feedback(request: HttpRequest, pk: uuid.UUID, ordinal: int) -> HttpResponse:
    """Say what a practice answer came to; an exam says nothing of single parts."""
    sitting = own_sitting(request, pk)
    if sitting.kind not in AT_ONCE:
        raise Http404
    progress = progress_of(sitting)
    found = answered(progress, ordinal)
    if found is None:
        raise Http404
    (part,) = booth_parts(sitting, [ordinal])
    context = feedback_context(sitting, progress, part, found)
    return render(request, "quizzes/_feedback.html", context)


@require_safe
def family_picture(request: HttpRequest, slug: str) -> HttpResponse:
    """Hand out the picture that stands for a family: a teaching specimen's."""
    found = family_tile(slug)
    if found is None:
        raise Http404
    return family_response(found)
