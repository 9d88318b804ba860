"""The booth: one part after another, its pictures, and the answers that come back."""

import json
import uuid
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from training.quizzes.booth_words import exam_title, part_context
from training.quizzes.forms import JudgementForm
from training.quizzes.kinds import AT_ONCE
from training.quizzes.models import Sitting
from training.quizzes.selectors.booth import (
    booth_parts,
    first_piece_for,
    frame_numbered,
)
from training.quizzes.selectors.progress import progress_of
from training.quizzes.services.judging import Recorded, RefusedError, Stored, record_judgements
from training.quizzes.views.access import (
    check_device,
    end_of,
    own_sitting,
    sitting_in_use,
    waits_for_screen,
)
from training.specimens.serving import frame_response

STATUS = {
    "conflict": HTTPStatus.CONFLICT,
    "ended": HTTPStatus.GONE,
}


@never_cache
@require_safe
def booth(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show the part to be judged next; a sitting that has ended shows its result."""
    sitting = own_sitting(request, pk)
    if end_of(sitting) is not None:
        return redirect("quizzes:result", pk=sitting.pk)
    check_device(request, sitting)
    if waits_for_screen(sitting):
        return render(request, "quizzes/not_begun.html", {"sitting": sitting})
    progress = progress_of(sitting)
    if progress.plan.exercise:
        return redirect("quizzes:exercise", pk=sitting.pk)
    still_open = [n for n in range(1, progress.plan.total + 1) if n not in progress.scored]
    (part,) = booth_parts(sitting, still_open[:1])
    context = part_context(sitting, progress.plan, part) | {
        "title": exam_title(sitting),
        "judged": len(progress.scored),
        "total": progress.plan.total,
        "handed_out": progress.handed_out,
        "still_open": still_open,
    }
    return render(request, "quizzes/booth.html", context)


@never_cache
@require_safe
def part(request: HttpRequest, pk: uuid.UUID, ordinal: int) -> HttpResponse:
    """Show one part that has been handed out, to be kept ready on the device."""
    sitting = sitting_in_use(request, pk)
    progress = progress_of(sitting)
    if not 1 <= ordinal <= progress.handed_out:
        raise Http404
    (found,) = booth_parts(sitting, [ordinal])
    return render(request, "quizzes/_part.html", part_context(sitting, progress.plan, found))


@never_cache
@require_POST
def judge(request: HttpRequest, pk: uuid.UUID) -> JsonResponse:
    """Take one answer, as a form or as JSON; the same answer may come again."""
    sitting = own_sitting(request, pk)
    check_device(request, sitting)
    if waits_for_screen(sitting):
        raise PermissionDenied(_("The invigilator checks the screen before the first part."))
    try:
        form = JudgementForm(_sent(request))
    except ValueError:
        return _refuse(HTTPStatus.BAD_REQUEST, "answer", _("The answer is not readable JSON."))
    if not form.is_valid():
        return _refuse(HTTPStatus.BAD_REQUEST, "answer", form.problems())
    recorded = record_judgements(sitting=sitting, answers=[form.given()], moment=timezone.now())
    error = recorded.receipts[0].error
    if error is not None:
        return _refuse(
            STATUS.get(str(error.code), HTTPStatus.BAD_REQUEST), str(error.code), _first(error)
        )
    return JsonResponse(_reply(sitting, recorded))


@require_safe
def frame(request: HttpRequest, pk: uuid.UUID, ordinal: int, number: int) -> HttpResponse:
    """Hand out a picture of a part that the device may hold."""
    sitting = sitting_in_use(request, pk)
    presented = handed_out_part(sitting, ordinal)
    found = frame_numbered({"specimen": presented.specimen_id}, number)
    if found is None:
        raise Http404
    return frame_response(found)


@require_safe
def first_piece_frame(
    request: HttpRequest, pk: uuid.UUID, ordinal: int, number: int
) -> HttpResponse:
    """Hand out a picture of the first piece that stands beside a part."""
    sitting = sitting_in_use(request, pk)
    presented = handed_out_part(sitting, ordinal)
    piece = first_piece_for(presented.specimen.job_id, sitting)
    found = frame_numbered({"first_piece": piece.pk}, number) if piece is not None else None
    if found is None:
        raise Http404
    return frame_response(found)


def handed_out_part(sitting: Sitting, ordinal: int) -> Any:
    """Return what was presented under a number that the device may hold, or raise 404."""
    progress = progress_of(sitting)
    if not 1 <= ordinal <= progress.handed_out:
        raise Http404
    return progress.by_ordinal[ordinal]


def _sent(request: HttpRequest) -> Any:
    if request.content_type != "application/json":
        return request.POST
    sent = json.loads(request.body)
    if not isinstance(sent, dict):
        raise ValueError("not an object")
    return {name: value for name, value in sent.items() if value is not None}


def _first(error: RefusedError) -> str:
    return str(error.messages[0])


def _refuse(status: HTTPStatus, code: str, error: str) -> JsonResponse:
    return JsonResponse({"error": error, "code": code}, status=status)


def _reply(sitting: Sitting, recorded: Recorded) -> dict[str, Any]:
    """Say what became of the answer and what the device may hold now; never whether it was right."""
    receipt = recorded.receipts[0]
    reply: dict[str, Any] = {
        "kept": receipt.stored is not Stored.UNSCORED,
        "judged": recorded.judged,
        "total": recorded.total,
        "handed_out": recorded.handed_out,
        "ended": recorded.end is not None,
        "result": reverse("quizzes:result", args=[sitting.pk]),
    }
    if sitting.kind in AT_ONCE:
        reply["feedback"] = reverse("quizzes:feedback", args=[sitting.pk, receipt.given.ordinal])
    return reply
