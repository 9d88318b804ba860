"""Recording coaching after an exam that was not passed."""

import uuid

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from training.floor.models import Family
from training.people.devices import device_of
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret
from training.people.views.sign_in import get_or_post
from training.quizzes.booth_words import exam_title
from training.quizzes.coaching_forms import CoachingForm
from training.quizzes.models import Sitting
from training.quizzes.page_rows import family_rows
from training.quizzes.selectors.results import result_of
from training.quizzes.selectors.tries import coachings_after, families_not_passed
from training.quizzes.services.coaching import record_coaching
from training.quizzes.words import here


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def coaching_add(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Say which families of an exam were gone through, and sign."""
    sitting = get_object_or_404(Sitting.objects.select_related("person", "plan"), pk=pk)
    if sitting.person_id == signed_in_person(request).pk:
        raise PermissionDenied(_("Nobody coaches themselves: ask another trainer, or quality."))
    missed = families_not_passed(sitting)
    if not missed:
        raise Http404
    names = {
        family.slug: here(family.name)
        for family in Family.objects.filter(slug__in=missed).order_by("group", "position")
    }
    today = timezone.localdate(timezone.now())
    form = CoachingForm(request.POST or None, families=names, today=today)
    if request.method == "POST" and form.is_valid() and _record(request, form, sitting):
        messages.success(
            request, _("Coaching of %(name)s is recorded.") % {"name": sitting.person.name}
        )
        return redirect("quizzes:result", pk=sitting.pk)
    context = {
        "sitting": sitting,
        "title": exam_title(sitting),
        "form": form,
        "families": [row for row in family_rows(result_of(sitting)) if row["slug"] in names],
        "coachings": coachings_after(sitting),
    }
    status = 400 if request.method == "POST" else 200
    return render(request, "quizzes/coaching_form.html", context, status=status)


def _record(request: HttpRequest, form: CoachingForm, sitting: Sitting) -> bool:
    """Record the coaching, or put what is wrong on the form and return False."""
    moment, data = timezone.now(), form.cleaned_data
    try:
        method = confirm_secret(request, data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return False
    try:
        record_coaching(
            sitting=sitting,
            families=data["families"],
            coach=signed_in_person(request),
            day=data["day"],
            minutes=data["minutes"],
            words=data["words"],
            signature_method=method,
            moment=moment,
            device=device_of(request),
        )
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True
