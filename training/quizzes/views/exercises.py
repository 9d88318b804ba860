"""Exercises on parts shown together: what there is, starting one, its steps, and what they came to."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.people.devices import device_of
from training.people.sessions import signed_in_person
from training.quizzes.exercise_forms import StepForm
from training.quizzes.exercise_words import (
    ask_context,
    exercise_name,
    pair_context,
    summary_context,
)
from training.quizzes.exercises import Exercise, steps_of
from training.quizzes.models import Sitting
from training.quizzes.own_line_words import own_line_context
from training.quizzes.page_rows import exercise_rows
from training.quizzes.selectors.booth import booth_parts
from training.quizzes.selectors.exercises import exercise_options, set_of, step_results
from training.quizzes.selectors.plans import plan_in_force
from training.quizzes.selectors.practice import families_to_practise
from training.quizzes.selectors.progress import Progress, progress_of
from training.quizzes.services.exercises import record_step, start_exercise
from training.quizzes.services.plans import PRACTICE as PRACTICE_PLAN
from training.quizzes.views.access import own_sitting


@require_http_methods(["GET", "POST"])
def contrast(request: HttpRequest) -> HttpResponse:
    """Offer pairs of the same part on either side of the limit; start with those chosen."""
    return _offer(request, Exercise.CONTRAST)


@require_http_methods(["GET", "POST"])
def look_alikes(request: HttpRequest) -> HttpResponse:
    """Offer pairs of families that get mixed up; start with those chosen."""
    return _offer(request, Exercise.LOOK_ALIKE)


@require_http_methods(["GET", "POST"])
def find_limit(request: HttpRequest) -> HttpResponse:
    """Offer ladders on which the line is set; start with one of the family chosen."""
    return _offer(request, Exercise.FIND_LIMIT)


def _offer(request: HttpRequest, exercise: Exercise) -> HttpResponse:
    person = signed_in_person(request)
    day = timezone.localdate(timezone.now())
    options = exercise_options(person, exercise, day)
    if request.method != "POST":
        context = {
            "exercise": str(exercise),
            "title": exercise_name(exercise),
            "rows": exercise_rows(options),
        }
        return render(request, "quizzes/exercise_list.html", context)
    chosen = request.POST.getlist("family")
    families = families_to_practise(chosen, "") if chosen else [option.family for option in options]
    plan = plan_in_force(PRACTICE_PLAN, day)
    try:
        if plan is None:
            raise ValidationError(_("No practice plan is published yet."))
        sitting = start_exercise(
            person=person,
            exercise=exercise,
            families=families,
            plan=plan,
            moment=timezone.now(),
            device=device_of(request),
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(request.path)
    return redirect("quizzes:exercise", pk=sitting.pk)


@never_cache
@require_safe
def exercise(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show the next step of an exercise; of one that is finished, how it went."""
    sitting, progress = _own_exercise(request, pk)
    steps = steps_of(progress.plan.draw)
    results = step_results(progress)
    kind = Exercise(progress.plan.exercise)
    number = next((n for n in range(1, len(steps) + 1) if n not in results), 0)
    context = {
        "sitting": sitting,
        "exercise": str(kind),
        "title": exercise_name(kind),
        "number": number,
        "steps": len(steps),
    }
    if not number:
        return _finished(request, progress, kind, context)
    step = steps[number - 1]
    parts = booth_parts(sitting, step.ordinals)
    presented = [progress.by_ordinal[ordinal] for ordinal in step.ordinals]
    context |= ask_context(sitting, kind, step, parts, presented) | {
        "answer_id": uuid.uuid4(),
        "start": step.start,
    }
    return render(request, "quizzes/exercise.html", context)


def _finished(
    request: HttpRequest, progress: Progress, kind: Exercise, context: dict[str, object]
) -> HttpResponse:
    results = step_results(progress)
    sitting = progress.sitting
    if kind is Exercise.FIND_LIMIT:
        parts = booth_parts(sitting, results[1].step.ordinals)
        context |= own_line_context(sitting, results, parts)
    else:
        context |= summary_context(sitting, results)
    return render(request, "quizzes/exercise_result.html", context)


@never_cache
@require_safe
def step(request: HttpRequest, pk: uuid.UUID, number: int) -> HttpResponse:
    """Show what the answer to a pair came to; a ladder's settings are shown together at the end."""
    sitting, progress = _own_exercise(request, pk)
    kind = Exercise(progress.plan.exercise)
    result = step_results(progress).get(number)
    if result is None or kind is Exercise.FIND_LIMIT:
        raise Http404
    steps = steps_of(progress.plan.draw)
    parts = booth_parts(sitting, result.step.ordinals)
    context = pair_context(sitting, kind, result, set_of(result.step), parts) | {
        "sitting": sitting,
        "title": exercise_name(kind),
        "number": number,
        "steps": len(steps),
        "done": len(step_results(progress)),
        "is_last": len(step_results(progress)) == len(steps),
    }
    return render(request, "quizzes/exercise_step.html", context)


@never_cache
@require_POST
def answer(request: HttpRequest, pk: uuid.UUID, number: int) -> HttpResponse:
    """Keep the answer to a step, from the page's script as JSON or from the form alone."""
    sitting, progress = _own_exercise(request, pk)
    form = StepForm(request.POST)
    try:
        if not form.is_valid():
            raise ValidationError(form.problems())
        record_step(sitting=sitting, number=number, moment=timezone.now(), **form.given())
    except ValidationError as error:
        return _refused(request, sitting, error)
    following = _following(sitting, progress, number)
    if request.accepts("text/html"):
        return redirect(following)
    return JsonResponse({"kept": True, "next": following})


def _following(sitting: Sitting, progress: Progress, number: int) -> str:
    """A pair is told at once; of a ladder the next setting comes before anything is told."""
    if progress.plan.exercise == Exercise.FIND_LIMIT:
        return reverse("quizzes:exercise", args=[sitting.pk])
    return reverse("quizzes:exercise_step", args=[sitting.pk, number])


def _refused(request: HttpRequest, sitting: Sitting, error: ValidationError) -> HttpResponse:
    said = " ".join(error.messages)
    if not request.accepts("text/html"):
        return JsonResponse({"error": said}, status=400)
    messages.error(request, said)
    return redirect("quizzes:exercise", pk=sitting.pk)


def _own_exercise(request: HttpRequest, pk: uuid.UUID) -> tuple[Sitting, Progress]:
    """Return the person's own exercise with how far it has come, or raise 404."""
    sitting = own_sitting(request, pk)
    progress = progress_of(sitting)
    if not progress.plan.exercise:
        raise Http404
    return sitting, progress
