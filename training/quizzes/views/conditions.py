"""The page before an exam begins: the screen it is sat on, and what the person is granted."""

import secrets
import uuid
from dataclasses import asdict
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from training.people.devices import device_of
from training.people.models import Person, VisionCheck
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret
from training.people.views.sign_in import get_or_post
from training.quizzes.booth_words import exam_title
from training.quizzes.conditions_forms import ANYWAY, ConditionsForm, first_values
from training.quizzes.conditions_words import fault_words
from training.quizzes.kinds import EXAMS
from training.quizzes.models import Sitting
from training.quizzes.screen_check import (
    CARD_MM,
    LINE_PLACES,
    ScreenAnswer,
    ScreenTest,
    faults,
    make_test,
)
from training.quizzes.services.conditions import record_conditions
from training.quizzes.views.access import end_of

KEY = "screen_check"


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def screen_check(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Let the person count squares and find a line, and the invigilator say what is granted."""
    sitting = get_object_or_404(
        Sitting.objects.select_related("person", "device", "conditions"), pk=pk
    )
    if sitting.kind not in EXAMS or sitting.device is None:
        raise Http404
    if sitting.person_id == signed_in_person(request).pk:
        raise PermissionDenied(_("Nobody opens an exam for themselves: ask another invigilator."))
    if hasattr(sitting, "conditions") or end_of(sitting) is not None:
        return redirect("quizzes:opened", pk=sitting.pk)
    if device_of(request) != sitting.device:
        raise PermissionDenied(
            _("The screen of %(device)s is checked on %(device)s: sign in there.")
            % {"device": sitting.device}
        )
    near, colour = _eye_checks(sitting.person)
    anyway = request.POST.get("go") == ANYWAY
    form = ConditionsForm(request.POST or None, initial=first_values(near), anyway=anyway)
    if request.method == "POST" and form.is_valid() and _record(request, sitting, form):
        messages.success(request, _("The screen is checked. Hand the tablet over."))
        return redirect("quizzes:opened", pk=sitting.pk)
    held = _held(request, sitting)
    failed = [] if held.get("failed") is None else faults(make_test(held["seed"]), _seen(held))
    context = {
        "sitting": sitting,
        "title": exam_title(sitting),
        "form": form,
        "test": _new_test(request, sitting, held),
        "places": range(1, LINE_PLACES + 1),
        "card_mm": CARD_MM,
        "advice": fault_words(failed),
        "eye_checks": [check for check in (near, colour) if check is not None],
        "today": timezone.localdate(timezone.now()),
    }
    status = 400 if request.method == "POST" else 200
    return render(request, "quizzes/screen_check.html", context, status=status)


def _record(request: HttpRequest, sitting: Sitting, form: ConditionsForm) -> bool:
    """Record the conditions, or say on the form what is missing and return False."""
    held = _held(request, sitting)
    if form.anyway:
        if held.get("failed") is None:
            form.add_error(None, _("Check the screen first."))
            return False
        shown, seen = make_test(held["seed"]), _seen(held)
    else:
        if not held.get("next"):
            form.add_error(None, _("The page was open for too long: count again."))
            return False
        shown, seen = make_test(held["next"]), form.seen()
        wrong = faults(shown, seen)
        held |= {"seed": held["next"], "failed": asdict(seen) if wrong else None}
        request.session[KEY] = held
        if wrong:
            return False
    return _write(request, sitting, form, (shown, seen))


def _write(
    request: HttpRequest,
    sitting: Sitting,
    form: ConditionsForm,
    check: tuple[ScreenTest, ScreenAnswer],
) -> bool:
    data, method, moment = form.cleaned_data, "", timezone.now()
    if form.anyway:
        try:
            method = confirm_secret(request, data["secret"], moment=moment)
        except ValidationError as error:
            form.add_error("secret", error)
            return False
    try:
        record_conditions(
            sitting=sitting,
            shown=check[0],
            seen=check[1],
            glasses=data["glasses"],
            extra_time_percent=data["extra_time_percent"],
            read_aloud=data["read_aloud"],
            note=data["note"],
            invigilator=signed_in_person(request),
            moment=moment,
            signature_method=method,
            device=device_of(request),
        )
    except ValidationError as error:
        form.add_error(None, error)
        return False
    request.session.pop(KEY, None)
    return True


def _held(request: HttpRequest, sitting: Sitting) -> dict[str, Any]:
    """Return what this session knows of the check: the test on the page, and the last that failed."""
    held: dict[str, Any] = request.session.get(KEY, {})
    return held if held.get("sitting") == str(sitting.pk) else {"sitting": str(sitting.pk)}


def _seen(held: dict[str, Any]) -> ScreenAnswer:
    return ScreenAnswer(**held["failed"])


def _new_test(request: HttpRequest, sitting: Sitting, held: dict[str, Any]) -> ScreenTest:
    """Put a new test on the page: what was on it before may be known by now."""
    seed = secrets.token_hex(8)
    request.session[KEY] = {**held, "next": seed}
    return make_test(seed)


def _eye_checks(person: Person) -> tuple[VisionCheck | None, VisionCheck | None]:
    """Return the person's newest checks of near and of colour vision. One query."""
    newest: dict[str, VisionCheck] = {}
    for check in person.vision_checks.select_related("result").order_by("day", "recorded_at"):
        newest[check.kind] = check
    return newest.get(VisionCheck.Kind.NEAR), newest.get(VisionCheck.Kind.COLOUR)
