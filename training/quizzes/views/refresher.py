"""The refresher: which families it would be made of and why, and starting it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from training.floor.models import Family
from training.people.devices import device_of
from training.people.sessions import signed_in_person
from training.quizzes.refresher_words import chosen_rows
from training.quizzes.selectors.bank import bank_for
from training.quizzes.selectors.plans import plan_in_force
from training.quizzes.selectors.refresher import offer_of
from training.quizzes.services.plans import PRACTICE as PRACTICE_PLAN
from training.quizzes.services.refresher import start_refresher
from training.specimens.models import Pool


@require_http_methods(["GET", "POST"])
def refresher_start(request: HttpRequest) -> HttpResponse:
    """Say which families are chosen and why; start the round."""
    person = signed_in_person(request)
    moment = timezone.now()
    day = timezone.localdate(moment)
    if request.method != "POST":
        offer = offer_of(person, bank_for(person, pool=Pool.TEACHING, day=day), day)
        slugs = [each.state.family for each in offer.chosen]
        families = {family.slug: family for family in Family.objects.filter(slug__in=slugs)}
        context = {"rows": chosen_rows(offer.chosen, families)}
        return render(request, "quizzes/refresher.html", context)
    plan = plan_in_force(PRACTICE_PLAN, day)
    try:
        if plan is None:
            raise ValidationError(_("No practice plan is published yet."))
        sitting = start_refresher(
            person=person, plan=plan, moment=moment, device=device_of(request)
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("quizzes:practice_list")
    return redirect("quizzes:booth", pk=sitting.pk)
