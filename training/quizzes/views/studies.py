"""Agreement studies: their list, planning one, its rounds, and what it came to."""

import secrets
import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.floor.models import Family
from training.people.devices import device_of
from training.people.models import Device, Employment, Person, Role
from training.people.sessions import signed_in_person
from training.people.views.sign_in import get_or_post
from training.quizzes.agreement.design_words import design_warnings, precision_rows
from training.quizzes.agreement.drawing import Chosen, TooFewError, choose_parts
from training.quizzes.agreement.forms import StudyForm
from training.quizzes.agreement.page import result_context
from training.quizzes.agreement.precision import precision_of
from training.quizzes.models import AgreementStudy, StudyJudge
from training.quizzes.selectors.studies import (
    find_study,
    progress_of_study,
    study_rows,
)
from training.quizzes.selectors.study_pool import Pooled, pooled
from training.quizzes.services.studies import Design, add_study, open_round

SEE_RESULTS = frozenset({Role.QUALITY, Role.AUDITOR})


@require_safe
def study_list(request: HttpRequest) -> HttpResponse:
    """List every study, those that run first."""
    return render(request, "quizzes/study_list.html", {"rows": study_rows()})


@never_cache
@get_or_post
def study_add(request: HttpRequest) -> HttpResponse:
    """Plan a study: first show what the design can tell, then open it."""
    moment = timezone.now()
    sent = request.method == "POST"
    form = StudyForm(
        request.POST if sent else None,
        families=Family.objects.select_related("group").order_by("group__position", "position"),
        people=_employed(moment),
        initial={"seed": secrets.token_hex(16)},
    )
    context: dict[str, Any] = {"form": form}
    if sent and form.is_valid():
        found = _draw(form, moment)
        if found is not None:
            bank, chosen = found
            if "open" in request.POST:
                study = _open_study(request, form, bank, chosen, moment)
                return redirect("quizzes:study", pk=study.pk)
            context |= _preview(form, bank, chosen)
    status = 400 if sent and form.errors else 200
    return render(request, "quizzes/study_form.html", context, status=status)


def _employed(moment: Any) -> QuerySet[Person]:
    employed = Employment.objects.on(timezone.localdate(moment)).values("person")
    people = Person.objects.filter(pk__in=employed, is_active=True)
    return people.select_related("crew").order_by("name")


def _draw(form: StudyForm, moment: Any) -> tuple[Pooled, Chosen] | None:
    """Choose the parts, or put onto the form what the pool lacks and return None."""
    data = form.cleaned_data
    bank = pooled(
        pool=data["pool"],
        basis=data["basis"],
        families=list(data["families"]),
        people=data["people"],
        day=timezone.localdate(moment),
    )
    try:
        chosen = choose_parts(
            bank.offers,
            data["parts"],
            bad_share=data["bad_share"] / 100,
            near_share=data["near_share"] / 100,
            seed=data["seed"],
        )
    except TooFewError as error:
        form.add_error(
            "parts",
            _(
                "The pool lacks %(bad)d bad and %(good)d good decided parts of these families. Take fewer "
                "parts, another share, more families, or bring specimens in."
            )
            % {"bad": error.bad, "good": error.good},
        )
        return None
    return bank, chosen


def _open_study(
    request: HttpRequest, form: StudyForm, bank: Pooled, chosen: Chosen, moment: Any
) -> AgreementStudy:
    data = form.cleaned_data
    study = add_study(
        design=Design(
            data["name"], data["basis"], data["repeats"], data["gap_hours"], data["note"]
        ),
        people=list(data["people"]),
        chosen=chosen,
        bank=bank,
        seed=data["seed"],
        opened_by=signed_in_person(request),
        moment=moment,
    )
    messages.success(request, _("Study %(number)s is open.") % {"number": study.number})
    return study


def _preview(form: StudyForm, bank: Pooled, chosen: Chosen) -> dict[str, Any]:
    data = form.cleaned_data
    found = precision_of(
        bad=chosen.bad.wanted,
        good=chosen.good.wanted,
        people=len(data["people"]),
        repeats=data["repeats"],
    )
    return {
        "precision": precision_rows(found),
        "warnings": design_warnings(found, chosen),
        "chosen": chosen,
        "undecided": bank.undecided,
    }


@never_cache
@require_safe
def study(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show how far a study has come; once no more rounds come, what it says."""
    found = _study(pk)
    progress = progress_of_study(found, timezone.now())
    roles = signed_in_person(request).roles()
    context: dict[str, Any] = {
        "study": found,
        "progress": progress,
        "may_change": Role.QUALITY in roles,
        "devices": Device.objects.filter(withdrawn_at=None),
    }
    if progress.over:
        context |= result_context(progress)
    return render(request, "quizzes/study.html", context)


def _study(pk: uuid.UUID) -> AgreementStudy:
    found = find_study(pk)
    if found is None:
        raise Http404
    return found


@never_cache
@get_or_post
def study_round(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show somebody their next round and open it; quality opens one for somebody, on a tablet."""
    found, person, moment = _study(pk), signed_in_person(request), timezone.now()
    if request.method == "POST" and request.POST.get("judge"):
        return _open_for(request, found, person)
    judge = StudyJudge.objects.select_related("study", "person").filter(study=found, person=person)
    own = judge.first()
    if own is None:
        if person.roles() & SEE_RESULTS:
            return redirect("quizzes:study", pk=pk)
        raise Http404
    if request.method == "POST":
        try:
            sitting = open_round(
                judge=own, opened_by=person, moment=moment, device=device_of(request)
            )
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return redirect("quizzes:study_round", pk=pk)
        return redirect("quizzes:booth", pk=sitting.pk)
    progress = progress_of_study(found, moment)
    states = next(each for each in progress.judges if each.judge.pk == own.pk)
    context = {"study": found, "states": states, "next": states.next, "parts": progress.parts}
    return render(request, "quizzes/study_round.html", context)


def _open_for(request: HttpRequest, found: AgreementStudy, person: Person) -> HttpResponse:
    if Role.QUALITY not in person.roles():
        raise PermissionDenied(_("Quality opens rounds for others."))
    sent = request.POST
    try:
        key = uuid.UUID(sent["judge"])
        place = uuid.UUID(sent["device"]) if sent.get("device") else None
    except ValueError:
        raise Http404 from None
    judges = StudyJudge.objects.select_related("study", "person")
    judge = get_object_or_404(judges, pk=key, study=found)
    device = get_object_or_404(Device, pk=place, withdrawn_at=None) if place else None
    try:
        open_round(judge=judge, opened_by=person, moment=timezone.now(), device=device)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        name = judge.person.name if judge.person else judge.label
        messages.success(
            request, _("The round of %(name)s is open; it stands under My work.") % {"name": name}
        )
    return redirect("quizzes:study", pk=found.pk)
