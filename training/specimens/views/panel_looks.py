"""The booth of the reference panel: a member's looks, one part after another, blind to the others."""

from http import HTTPStatus
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from training.people.sessions import signed_in_person
from training.specimens.forms.panels import LookForm
from training.specimens.models import Frame, PanelRound
from training.specimens.panel_booth import part_context
from training.specimens.panel_turns import MemberTurn, Place, turn_of
from training.specimens.services.panels import RefusedLookError, record_look
from training.specimens.serving import frame_response

# Parts a device may hold beyond the one that is judged, so that judging goes on unconnected.
AHEAD = 3
STATUS = {"conflict": HTTPStatus.CONFLICT, "closed": HTTPStatus.GONE}


@never_cache
@require_safe
def panel_look(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show the part whose look is due next; without one, the page of the round says when."""
    round_, turn = _own_turn(request, pk)
    today = timezone.localdate()
    due = turn.due(today)
    if not due or round_.closed_at is not None:
        return redirect("specimens:panel_round", pk=pk)
    given = sum(day == today for day in turn.given.values())
    context = part_context(round_, due[0]) | {
        "judged": given,
        "total": given + len(due),
        "handed_out": _handed_out(due),
        "still_open": [place.ordinal for place in due],
    }
    return render(request, "specimens/panel_look.html", context)


@never_cache
@require_safe
def panel_part(request: HttpRequest, pk: UUID, ordinal: int) -> HttpResponse:
    """Show one part that may be judged now, to be kept ready on the device."""
    round_, turn = _own_turn(request, pk)
    context = part_context(round_, _handed(round_, turn, ordinal))
    return render(request, "specimens/_panel_part.html", context)


@never_cache
@require_POST
def panel_answer(request: HttpRequest, pk: UUID) -> JsonResponse:
    """Keep one look; the same look may come again."""
    round_ = _own_round(request, pk)
    member, moment = signed_in_person(request), timezone.now()
    form = LookForm(request.POST)
    if not form.is_valid():
        return _refused(HTTPStatus.BAD_REQUEST, "answer", form.problems())
    try:
        record_look(round_=round_, member=member, given=form.given(), moment=moment)
    except RefusedLookError as error:
        code = str(error.code)
        return _refused(STATUS.get(code, HTTPStatus.BAD_REQUEST), code, str(error.messages[0]))
    due = turn_of(round_, member).due(timezone.localdate(moment))
    return JsonResponse(
        {
            "handed_out": _handed_out(due),
            "ended": not due,
            "result": reverse("specimens:panel_round", args=[pk]),
        }
    )


@require_safe
def panel_frame(
    request: HttpRequest, pk: UUID, ordinal: int, view: int, number: int
) -> HttpResponse:
    """Hand out a picture of a part that the member may judge now."""
    round_, turn = _own_turn(request, pk)
    place = _handed(round_, turn, ordinal)
    frames = Frame.objects.filter(view__specimen__panel_items=place.item, view__position=view)
    found = frames.order_by("position")[number : number + 1].first()
    if found is None:
        raise Http404
    return frame_response(found)


def _own_round(request: HttpRequest, pk: UUID) -> PanelRound:
    """Return a round the person is a member of; others do not exist for them."""
    return get_object_or_404(PanelRound, pk=pk, members=signed_in_person(request))


def _own_turn(request: HttpRequest, pk: UUID) -> tuple[PanelRound, MemberTurn]:
    round_ = _own_round(request, pk)
    return round_, turn_of(round_, signed_in_person(request))


def _handed_out(due: tuple[Place, ...]) -> int:
    """Return the last place in the order that a device may hold."""
    return due[: AHEAD + 1][-1].ordinal if due else 0


def _handed(round_: PanelRound, turn: MemberTurn, ordinal: int) -> Place:
    """Return a place that the device may hold: one of the next that are due."""
    due = turn.due(timezone.localdate())
    place = turn.place(ordinal)
    if place is None or place not in due[: AHEAD + 1] or round_.closed_at is not None:
        raise Http404
    return place


def _refused(status: HTTPStatus, code: str, error: str) -> JsonResponse:
    return JsonResponse({"code": code, "error": error or _("Not kept.")}, status=status)
