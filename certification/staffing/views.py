"""Pages at the press: the press check, taking a press over, leaving it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from certification.certificates.selectors import (
    asked_at,
    in_words,
    language_now,
    may_run,
    names,
    today_at_the_plant,
)
from certification.staffing.forms import PressCheckForm, TakePressForm
from certification.staffing.selectors import (
    open_turns,
    papers_at,
    possible_buddies,
    running_order,
    shift_end,
)
from certification.staffing.services import CheckResult, check_press, leave_press, take_press
from training.floor.models import Press
from training.people.devices import device_of
from training.people.selectors import current_badge
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.people.texts import in_language


@never_cache
@require_http_methods(["GET", "POST"])
def press_check(request: HttpRequest) -> HttpResponse:
    """May badge N run job J now? The verdict is readable from three metres."""
    form = PressCheckForm(request.POST or None, initial={"press": request.GET.get("press")})
    if request.method != "POST":
        return render(request, "staffing/press_check.html", {"form": form})
    moment = timezone.now()
    job = None
    if form.is_valid():
        press, job = form.cleaned_data["press"], form.cleaned_data["job"]
        if job is None:
            order = running_order(press, moment)
            job = order.job if order else None
            if job is None:
                form.add_error(
                    "press", _("%(press)s runs no job now. Name the job.") % {"press": press}
                )
    if job is None:
        return render(request, "staffing/press_check.html", {"form": form}, status=400)
    result = check_press(
        badge=form.cleaned_data["badge"].strip(),
        job=job,
        press=press,
        moment=moment,
        device=device_of(request),
        asked_by=signed_in_person(request),
    )
    return render(request, "staffing/verdict.html", _verdict_context(result))


def _verdict_context(result: CheckResult) -> dict[str, object]:
    """Put the answer into the few sentences that are read from three metres."""
    language = language_now()
    context: dict[str, object] = {
        "result": result,
        "part": in_language(result.job.part, language),
        "ending_title": _("Ends during this shift") if result.words and result.words.ending else "",
    }
    if result.words is None:
        return context
    if not result.words.reasons:
        return {**context, "reason": _("All families in date, everything read.")}
    reasons = [text for text, _remedy in result.words.reasons]
    remedies = list(dict.fromkeys(remedy for _text, remedy in result.words.reasons))
    buddies = ", ".join(person.name for person in result.buddies)
    return {
        **context,
        "reason": reasons[0],
        "lines": [*reasons[1:], *result.words.bars, *remedies],
        "buddy": buddies or _("nobody beside you now"),
    }


@never_cache
@require_http_methods(["GET", "POST"])
def take_press_over(request: HttpRequest, code: str) -> HttpResponse:
    """Take over a press: the rule is asked, the PIN signs, the turn is recorded."""
    press = get_object_or_404(Press.objects.select_related("next_press"), code=code)
    person, moment = signed_in_person(request), timezone.now()
    order = running_order(press, moment)
    if order is None:
        return render(request, "staffing/no_order.html", {"press": press}, status=404)
    asked = asked_at(moment, shift_end(moment))
    answer = may_run(person, order.job, asked)
    buddies = possible_buddies(person, order.job, press, asked)
    standing = [turn.person for turn in open_turns(press)]
    form = TakePressForm(request.POST or None, buddies=buddies, standing=standing)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            method = confirm_secret(request, given["secret"], moment=moment)
            turn = take_press(
                person=person,
                badge=current_badge(person, today_at_the_plant(moment)),
                press=press,
                job=order.job,
                moment=moment,
                device=device_of(request),
                relief=given["relief"],
                first_piece_seen=given["first_piece_seen"],
                buddy=given["buddy"],
                takes_over_from=given["takes_over_from"],
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            sign_request(
                request, meaning="took the press", subject=turn, method=method, moment=moment
            )
            messages.success(request, _("%(press)s is yours.") % {"press": press.code})
            return redirect("site:my_work")
    context = {
        "form": form,
        "press": press,
        "order": order,
        "papers": papers_at(order.job, asked.day),
        "answer": in_words(answer, day=asked.day, known=names(), language=language_now()),
        "standing": standing,
    }
    status = 400 if request.method == "POST" else 200
    return render(request, "staffing/take_press.html", context, status=status)


@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """End one's own turn."""
    try:
        turn = leave_press(person=signed_in_person(request), moment=timezone.now())
    except ValidationError as error:
        messages.error(request, error.messages[0])
    else:
        messages.success(request, _("You have left %(press)s.") % {"press": turn.press.code})
    return redirect("site:my_work")
