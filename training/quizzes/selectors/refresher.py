"""What one person's last rounds and exams say about each family, for a refresher."""

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.utils import timezone

from training.people.models import Person
from training.quizzes.kinds import AT_ONCE, EXAMS
from training.quizzes.models import Judgement, Sitting
from training.quizzes.refreshing import Chosen, FamilyState, choose_families
from training.quizzes.scoring import Counts, FamilyCount
from training.quizzes.selectors.bank import Bank
from training.quizzes.selectors.opening import needs_of
from training.quizzes.selectors.progress import REJECT
from training.quizzes.selectors.turned import counted_each, decisions_counted
from training.statistics.operator_limit import fit_limit

LAST_ROUNDS: Final = 3
# What was missed within this time is shown again.
MISSED_WITHIN: Final = dt.timedelta(days=180)


@dataclass(frozen=True)
class Offer:
    """The families a refresher would be made of now, and the specimens judged wrongly before."""

    chosen: tuple[Chosen, ...]
    missed_before: frozenset[str]


def offer_of(person: Person, bank: Bank, day: dt.date) -> Offer:
    """Return what a refresher would be made of. Costs six queries.

    Of the families that can be practised those count that the person's own jobs need; where none
    of those can be practised, all.
    """
    pictured = {each.family for each in bank.candidates if each.bad}
    needed = pictured & set(needs_of(person, day))
    known = known_of(person, day, sorted(needed or pictured))
    return Offer(tuple(choose_families(known.states)), known.missed_before)


@dataclass(frozen=True)
class Known:
    """The state of each family, and the specimens that were judged wrongly and not shown since."""

    states: tuple[FamilyState, ...]
    missed_before: frozenset[str]


def known_of(person: Person, day: dt.date, families: Collection[str]) -> Known:
    """Return what is known of a person in these families. Costs four queries.

    An exam that was scored again counts as its newest scoring does, part by part too. Exams that run are left out, and so are exercises on parts that are shown together: what was
    said there rests on the other parts. The own limit rests on first meetings only.
    """
    ended = (
        Sitting.objects.filter(
            person=person, kind__in=(*EXAMS, *AT_ONCE), end__isnull=False, opened_at__date__lte=day
        )
        .exclude(worked_plan__draw__has_key="exercise")
        .select_related("end")
        .order_by("-opened_at")
    )
    rounds: dict[str, list[Sitting]] = defaultdict(list)
    for sitting in ended:
        for slug in sitting.families:
            rounds[slug].append(sitting)
    said = counted_each(sitting.end for sitting in ended)
    counted = {key: Counts.from_json(each.counts) for key, each in said.items()}
    answers, missed = _answers(person, counted, day)
    states = tuple(_state(slug, rounds[slug], counted, answers[slug], day) for slug in families)
    return Known(states, missed)


@dataclass(frozen=True, slots=True)
class _Answer:
    sitting: UUID
    bad: bool
    rejected: bool
    ratio: float | None
    first: bool


def _answers(
    person: Person, sittings: Collection[UUID], day: dt.date
) -> tuple[dict[str, list[_Answer]], frozenset[str]]:
    later = decisions_counted(sittings)
    rows = (
        Judgement.objects.filter(sitting__person=person, sitting__in=sittings, scored=True)
        .order_by("answered_at", "position")
        .values_list(
            "sitting",
            "presented__specimen",
            "presented__specimen__family__slug",
            "presented__decision__decision",
            "presented__decision__severity_ratio",
            "answer",
            "answered_at",
        )
    )
    found: dict[str, list[_Answer]] = defaultdict(list)
    last_wrong: dict[str, bool] = {}
    for sitting, specimen, family, said, said_ratio, answer, at in rows:
        key = str(specimen)
        turned = later.get((sitting, specimen))
        decided = turned.decision if turned else said
        ratio = turned.severity_ratio if turned else said_ratio
        bad, rejected = decided == REJECT, answer == REJECT
        exact = float(ratio) if ratio else None
        found[family].append(_Answer(sitting, bad, rejected, exact, key not in last_wrong))
        recent = timezone.localdate(at) > day - MISSED_WITHIN
        last_wrong[key] = bad != rejected and recent
    return found, frozenset(key for key, wrong in last_wrong.items() if wrong)


def _state(
    slug: str,
    rounds: list[Sitting],
    counted: Mapping[UUID, Counts],
    answers: list[_Answer],
    day: dt.date,
) -> FamilyState:
    last = rounds[:LAST_ROUNDS]
    counts = [_count(counted[sitting.pk], slug) for sitting in last]
    latest = {sitting.pk for sitting in last}
    good = [each for each in answers if each.sitting in latest and not each.bad]
    measured = [each for each in answers if each.first and each.ratio]
    own = fit_limit(
        [math.log(each.ratio or 1) for each in measured],
        [int(each.rejected) for each in measured],
    )
    return FamilyState(
        family=slug,
        missed=sum(each.missed for each in counts),
        bad=sum(each.bad for each in counts),
        refused=sum(each.rejected for each in good),
        good=len(good),
        ratio=own.ratio,
        sure=own.statement is not None and not own.provisional,
        days=(day - timezone.localdate(rounds[0].opened_at)).days if rounds else None,
    )


def _count(counts: Counts, slug: str) -> FamilyCount:
    return counts.families.get(slug) or counts.critical.get(slug) or FamilyCount()
