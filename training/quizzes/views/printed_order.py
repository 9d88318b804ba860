"""The order in which numbered real parts are laid out for an exam, printed for the examiner."""

import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.people.sessions import signed_in_person
from training.quizzes.models import Sitting
from training.quizzes.selectors.printed_order import order_of


@never_cache
@require_safe
def printed_order(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Numbers and places in the order of the sitting; nothing of what the parts are."""
    sitting = get_object_or_404(Sitting.objects.select_related("person", "plan"), pk=pk)
    if sitting.person_id == signed_in_person(request).pk:
        # Who sits the exam does not see the parts before their turn.
        raise Http404
    rows = order_of(sitting, timezone.localdate())
    if not rows:
        raise Http404
    context = {"sitting": sitting, "rows": rows, "missing": sum(not row.place for row in rows)}
    return render(request, "quizzes/printed_order.html", context)
