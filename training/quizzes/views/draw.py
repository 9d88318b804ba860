"""How an exam's specimens were drawn, explained to quality and auditors."""

import uuid

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.people.models import Role
from training.people.sessions import signed_in_person
from training.quizzes.booth_words import exam_title
from training.quizzes.draw_words import (
    family_rows,
    figure_of,
    findings,
    missing_words,
    remade_words,
)
from training.quizzes.kinds import EXAMS
from training.quizzes.models import Sitting
from training.quizzes.selectors.draw import explain_draw
from training.quizzes.views.access import end_of
from training.quizzes.words import here


@never_cache
@require_safe
def draw(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Explain a draw and make it again; while the exam runs only to quality, and no parts."""
    sitting = get_object_or_404(Sitting.objects.select_related("person", "plan"), pk=pk)
    person = signed_in_person(request)
    if sitting.kind not in EXAMS:
        raise Http404
    running = end_of(sitting) is None
    if running and (Role.QUALITY not in person.roles() or sitting.person_id == person.pk):
        raise PermissionDenied(_("The draw of an exam is shown when the exam has ended."))
    found = explain_draw(sitting)
    shape, word, sentence = remade_words(found)
    context = {
        "sitting": sitting,
        "title": exam_title(sitting),
        "plan_name": here(sitting.plan.name),
        "draw": found,
        "total": len(found.parts),
        "shape": shape,
        "word": word,
        "sentence": sentence,
        "missing": missing_words(found),
        "findings": findings(found),
        "rows": family_rows(found),
        "figure": figure_of(found),
        "running": running,
    }
    return render(request, "quizzes/draw.html", context)
