"""What a moved limit has taken out of the exams: decided again by measurement, or sent to a panel."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.specimens.forms.deciding_again import DecideAgainForm
from training.specimens.forms.fields import spread
from training.specimens.models import ReferenceDecision
from training.specimens.services.deciding import cannot_measure, too_near_words
from training.specimens.services.deciding_again import decide_again_by_measurement
from training.specimens.settling import ToSettle, Way, to_settle
from training.specimens.standards import CannotMeasureError

MEANING = "decides specimen"


@never_cache
@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def decide_again(request: HttpRequest) -> HttpResponse:
    """Every decision is shown before it is signed, those that turn round first."""
    moment = timezone.now()
    day = timezone.localdate(moment)
    waiting = to_settle(day, decided_before=True)
    ready = sorted(
        (each for each in waiting if each.way is Way.MEASURE),
        key=lambda each: (not each.turns, each.specimen.number),
    )
    keys = [each.specimen.pk for each in ready]
    sent = request.method == "POST"
    form = DecideAgainForm(request.POST if sent else None, offered=keys)
    if sent and form.is_valid():
        facts = _signed(request, form)
        if facts is not None:
            said = ngettext(
                "Signed: %(n)d specimen is decided again.",
                "Signed: %(n)d specimens are decided again.",
                len(facts),
            )
            messages.success(request, said % {"n": len(facts)})
            return redirect("specimens:decide_again")
    others = [each for each in waiting if each.way is not Way.MEASURE]
    context = {
        "form": form,
        "ready": ready,
        "turning": sum(each.turns for each in ready),
        "ticked": set(request.POST.getlist("specimens")) if sent else {str(key) for key in keys},
        "others": [(each, why_not(each)) for each in others],
        "for_panel": [each.specimen.pk for each in others if each.way is not Way.LOOKED_AT],
    }
    return render(request, "specimens/decide_again.html", context, status=400 if sent else 200)


def why_not(each: ToSettle) -> str:
    """Say why a measurement does not decide a specimen."""
    if each.way is Way.LOOKED_AT:
        return _("A panel round is looking at it.")
    if each.way is Way.NEAR:
        return too_near_words()
    return cannot_measure(CannotMeasureError(each.code))


def _signed(request: HttpRequest, form: DecideAgainForm) -> list[ReferenceDecision] | None:
    """Write all decisions, each with the signature, or none; problems stand in the form."""
    moment = timezone.now()
    try:
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            facts = decide_again_by_measurement(
                specimens=form.cleaned_data["specimens"],
                by=signed_in_person(request),
                moment=moment,
                day=timezone.localdate(moment),
                reason=form.cleaned_data["reason"],
            )
            for fact in facts:
                sign_request(request, meaning=MEANING, subject=fact, method=method, moment=moment)
    except ValidationError as error:
        spread(form, error)
        return None
    return facts
