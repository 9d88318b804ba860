"""How often a person answers the same about a specimen met again, in one round and over all."""

from collections.abc import Iterable
from typing import Final

from django.db.models import Q

from training.people.models import Person
from training.quizzes.exercises import Exercise
from training.quizzes.kinds import PRACTICE
from training.quizzes.models import Judgement
from training.quizzes.repeats import Repeatability, repeatability
from training.quizzes.selectors.progress import Progress

# The newest of a person's practice judgements; older ones tell little about today's eye.
MOST_JUDGEMENTS: Final = 2000
# Parts judged one by one, and rungs of a ladder.
BY_ITSELF: Final = ~Q(sitting__worked_plan__draw__has_key="exercise") | Q(
    sitting__worked_plan__draw__exercise=str(Exercise.FIND_LIMIT)
)


def within(progress: Progress) -> Repeatability:
    """Return how often a specimen shown again in this sitting got the same answer."""
    return repeatability(
        (str(progress.by_ordinal[ordinal].specimen_id), judgement.answer)
        for ordinal, judgement in sorted(progress.scored.items())
    )


def over_all(person: Person) -> Repeatability:
    """Return the same over all practice of a person, from round to round too. Costs one query.

    Exercises on parts shown together are left out, except the ladder, where each rung is judged
    over again by itself.
    """
    rows = (
        Judgement.objects.filter(sitting__person=person, sitting__kind__in=PRACTICE, scored=True)
        .filter(BY_ITSELF)
        .order_by("-answered_at", "-presented__ordinal")
        .values_list("presented__specimen", "answer")[:MOST_JUDGEMENTS]
    )
    newest_first: Iterable[tuple[object, str]] = list(rows)
    return repeatability(
        (str(specimen), answer) for specimen, answer in reversed(list(newest_first))
    )
