"""The low-rate round: why it is done, starting it, and its result, which is reported apart."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from training.people.devices import device_of
from training.people.sessions import signed_in_person
from training.quizzes.low_rate_words import (
    due_words,
    lacking_words,
    looked_again,
    worth_a_look,
)
from training.quizzes.models import Kind
from training.quizzes.selectors.bank import bank_for
from training.quizzes.selectors.booth import booth_parts
from training.quizzes.selectors.low_rate import (
    group_for,
    low_rate_due,
    low_rate_rounds,
    missed_in,
    missed_in_practice,
    plant_low_rate,
    rate_of,
    running_low_rate,
)
from training.quizzes.selectors.plans import plan_in_force
from training.quizzes.selectors.progress import progress_of
from training.quizzes.services.low_rate import start_low_rate
from training.quizzes.services.plans import PRACTICE as PRACTICE_PLAN
from training.quizzes.views.access import end_of, visible_sitting
from training.specimens.models import Pool


@require_http_methods(["GET", "POST"])
def low_rate_start(request: HttpRequest) -> HttpResponse:
    """Say what a low-rate round is for, when it is due and what it came to; start one."""
    person = signed_in_person(request)
    moment = timezone.now()
    day = timezone.localdate(moment)
    if request.method == "POST":
        return _start(request)
    bank = bank_for(person, pool=Pool.TEACHING, day=day)
    rounds = low_rate_rounds(person)
    context = {
        "due": due_words(low_rate_due(person, day)),
        "running": running_low_rate(person),
        "lacking": lacking_words(group_for(person, bank, day)),
        "rounds": rounds,
        "own": missed_in(each.counts for each in rounds),
        "mixed": missed_in_practice(person, day),
        "plant": plant_low_rate(day),
    }
    return render(request, "quizzes/low_rate.html", context)


def _start(request: HttpRequest) -> HttpResponse:
    moment = timezone.now()
    plan = plan_in_force(PRACTICE_PLAN, timezone.localdate(moment))
    try:
        if plan is None:
            raise ValidationError(_("No practice plan is published yet."))
        sitting = start_low_rate(
            person=signed_in_person(request),
            plan=plan,
            moment=moment,
            device=device_of(request),
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("quizzes:low_rate_start")
    return redirect("quizzes:booth", pk=sitting.pk)


@never_cache
@require_safe
def low_rate_result(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show what a round came to, apart from every other result, with what was missed in it."""
    sitting = visible_sitting(request, pk)
    if sitting.kind != Kind.LOW_RATE:
        return redirect("quizzes:result", pk=sitting.pk)
    own = sitting.person_id == signed_in_person(request).pk
    end = end_of(sitting)
    progress = progress_of(sitting)
    context = {
        "sitting": sitting,
        "own": own,
        "end": end,
        "judged": len(progress.scored),
        "total": progress.plan.total,
    }
    if end is not None:
        counts = progress.counts
        rounds = low_rate_rounds(sitting.person)
        day = timezone.localdate(timezone.now())
        # Its pictures are the person's own to look at again.
        parts = booth_parts(sitting, worth_a_look(progress)) if own else []
        context |= {
            "missed": rate_of(counts.missed, counts.bad),
            "refused": rate_of(counts.false_rejects, counts.good),
            "rounds": rounds,
            "all": missed_in(each.counts for each in rounds),
            "mixed": missed_in_practice(sitting.person, day),
            "again": looked_again(sitting, progress, parts),
        }
    return render(request, "quizzes/low_rate_result.html", context)
