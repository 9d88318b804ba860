"""What a person has tried and not passed, and the coaching since: what the next exam waits for."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.utils import timezone

from training.people.models import Person, Signature
from training.quizzes.models import Coaching, Sitting, SittingEnd
from training.quizzes.plan_rules import Rules
from training.quizzes.selectors.results import EXAMS
from training.quizzes.selectors.turned import counted_each
from training.quizzes.trying_again import Coached, Hold, Try, holds_of

COACHED = "coached before another try"
# Quality's signature, which also lets somebody try again who has used up the plan's tries.
RELEASED = "coached and released another try"


@dataclass(frozen=True)
class History:
    """A person's decided exams by family, oldest first, and the coachings after them."""

    tries: dict[str, list[Try]]
    coached: list[Coached]

    def holds(self, families: Sequence[str], rules: Rules, day: dt.date) -> list[Hold]:
        """Return what stands between the person and the next exam of each family."""
        return holds_of(
            families,
            self.tries,
            self.coached,
            day=day,
            wait_days=rules.wait_days,
            most_tries=rules.tries,
        )


def history_of(person: Person, families: Iterable[str]) -> History:
    """Return what the person tried of these families. Costs four queries."""
    return History(tries_of(person, families), _coached(person))


def tries_of(person: Person, families: Iterable[str]) -> dict[str, list[Try]]:
    """Return the decided exams of each family, oldest first, as they count today. Two queries."""
    wanted = set(families)
    ends = list(
        SittingEnd.objects.filter(sitting__person=person, sitting__kind__in=EXAMS)
        .select_related("sitting")
        .order_by("ended_at")
    )
    counted = counted_each(ends)
    found: dict[str, list[Try]] = defaultdict(list)
    for end in ends:
        said = counted[end.sitting_id]
        if said.result == SittingEnd.Result.UNDECIDED:
            continue
        day = timezone.localdate(end.ended_at)
        for slug in end.sitting.families:
            if slug in wanted:
                passed = slug in said.families_passed
                found[slug].append(Try(end.sitting_id, end.sitting.number, day, passed))
    return dict(found)


def families_not_passed(sitting: Sitting) -> list[str]:
    """Return the families that a decided exam did not pass, as it counts today. Two queries."""
    end = SittingEnd.objects.filter(sitting=sitting).first()
    if sitting.kind not in EXAMS or end is None:
        return []
    said = counted_each([end])[sitting.pk]
    if said.result == SittingEnd.Result.UNDECIDED:
        return []
    return [slug for slug in sitting.families if slug not in said.families_passed]


def _coached(person: Person) -> list[Coached]:
    rows = list(Coaching.objects.filter(person=person))
    released = _released(rows)
    return [
        Coached(row.sitting_id, slug, row.day, row.pk in released)
        for row in rows
        for slug in row.families
    ]


def _released(rows: Iterable[Coaching]) -> set[UUID]:
    keys = [row.pk for row in rows]
    signed = Signature.objects.filter(
        subject_kind=Coaching._meta.label_lower, subject_id__in=keys, meaning=RELEASED
    )
    return set(signed.values_list("subject_id", flat=True))


@dataclass(frozen=True)
class CoachingRow:
    """A coaching as it is shown, and whether quality's signature released another try."""

    coaching: Coaching
    released: bool


def coachings_after(sitting: Sitting) -> list[CoachingRow]:
    """Return the coachings after an exam, oldest first. Two queries."""
    rows = list(
        Coaching.objects.filter(sitting=sitting)
        .select_related("coach", "words")
        .order_by("day", "recorded_at")
    )
    released = _released(rows)
    return [CoachingRow(row, row.pk in released) for row in rows]
