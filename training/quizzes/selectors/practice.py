"""What can be practised, how the last rounds went, and what one practice answer came to."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from training.floor.models import Family, FamilyGroup
from training.floor.selectors import families_by_group
from training.people.models import Person
from training.quizzes.models import Judgement, Kind, Presented, Sitting
from training.quizzes.scoring import Counts, Outcome, outcome
from training.quizzes.selectors.bank import bank_for
from training.quizzes.selectors.progress import REJECT, Progress, answer_of
from training.quizzes.selectors.twins import Twin, twin_of
from training.specimens.models import Pool, SpecimenSet
from training.specimens.series_rows import set_rows

ROUNDS_LOOKED_AT = 60


@dataclass(frozen=True, slots=True)
class LastRound:
    """How the newest finished practice of a family went."""

    day: dt.date
    bad: int
    missed: int
    good: int
    false_rejects: int


@dataclass(frozen=True, slots=True)
class PracticeRow:
    """A family that can be practised: what the teaching pool holds, and the last round."""

    family: Family
    bad: int
    good: int
    unseen: int
    last: LastRound | None
    # Kinds of sets the family has: contrasts, look-alikes, ladders.
    sets: frozenset[str] = frozenset()

    @property
    def total(self) -> int:
        return self.bad + self.good


@dataclass(frozen=True, slots=True)
class PracticeGroup:
    """A group and those of its families that can be practised."""

    group: FamilyGroup
    rows: tuple[PracticeRow, ...]


def practice_groups(person: Person, day: dt.date) -> list[PracticeGroup]:
    """Return what the person can practise, group by group. Costs eleven queries."""
    bank = bank_for(person, pool=Pool.TEACHING, day=day)
    bad: dict[str, int] = defaultdict(int)
    good: dict[str, int] = defaultdict(int)
    unseen: dict[str, int] = defaultdict(int)
    for each in bank.candidates:
        (bad if each.bad else good)[each.family] += 1
        unseen[each.family] += each.seen_days_ago is None
    last = _last_rounds(person)
    sets = set_kinds(day)
    found = []
    for group, families in families_by_group():
        rows = tuple(
            PracticeRow(
                family,
                bad[family.slug],
                good[family.slug],
                unseen[family.slug],
                last.get(family.slug),
                frozenset(sets[family.slug]),
            )
            for family in families
            if bad[family.slug]
        )
        if rows:
            found.append(PracticeGroup(group, rows))
    return found


def set_kinds(day: dt.date) -> dict[str, set[str]]:
    """Return the kinds of sets that can be shown, by family. Costs three queries."""
    kinds: dict[str, set[str]] = defaultdict(set)
    sets = SpecimenSet.objects.filter(retired_day=None).select_related("family", "job")
    for row in set_rows(sets, day):
        for slug in row.families if row.usable else ():
            kinds[slug].add(row.set.kind)
    return kinds


def _last_rounds(person: Person) -> dict[str, LastRound]:
    rounds = (
        Sitting.objects.filter(person=person, kind=Kind.PRACTICE, end__isnull=False)
        .exclude(worked_plan__draw__has_key="exercise")
        .select_related("end")
        .order_by("-opened_at")[:ROUNDS_LOOKED_AT]
    )
    last: dict[str, LastRound] = {}
    for sitting in rounds:
        counts = Counts.from_json(sitting.end.counts)
        for name, family in counts.families.items():
            if family.bad and name not in last:
                last[name] = LastRound(
                    day=timezone.localdate(sitting.opened_at),
                    bad=family.bad,
                    missed=family.missed,
                    good=counts.good,
                    false_rejects=counts.false_rejects,
                )
    return last


def families_to_practise(slugs: Iterable[str], group: str) -> list[Family]:
    """Return the families asked for by name, or those of a group. Costs one query."""
    wanted = Q(slug__in=list(slugs))
    if group:
        wanted |= Q(group__code=group)
    return list(Family.objects.filter(wanted).select_related("group"))


@dataclass(frozen=True, slots=True)
class Answered:
    """What one practice answer came to, with what is measured on the part, in `unit`.

    `ratio` is severity ÷ limit. `missed` of `people` accepted this part when they first met it.
    """

    presented: Presented
    judgement: Judgement
    family: Family
    outcome: Outcome
    severity: float | None
    unit: str
    ratio: float | None
    people: int
    missed: int
    twin: Twin | None = None


def answered(progress: Progress, ordinal: int) -> Answered | None:
    """Return what the answer on a part came to, or None while it has none. Costs nine queries at most."""
    judgement = progress.scored.get(ordinal)
    if judgement is None:
        return None
    presented = progress.by_ordinal[ordinal]
    specimen, decision = presented.specimen, presented.decision
    severity = None if specimen.severity is None else float(specimen.severity)
    ratio = None if decision.severity_ratio is None else float(decision.severity_ratio)
    people, missed = _first_looks(presented)
    return Answered(
        presented=presented,
        judgement=judgement,
        family=specimen.family,
        outcome=outcome(progress.truths[ordinal], answer_of(judgement)),
        severity=severity,
        unit=specimen.unit,
        ratio=ratio,
        people=people,
        missed=missed,
        twin=_twin(progress, presented),
    )


def _twin(progress: Progress, presented: Presented) -> Twin | None:
    """Return what the part is contrasted with, where it is of a family that is practised."""
    if presented.specimen.family.slug not in progress.sitting.families:
        return None
    return twin_of(presented, timezone.localdate(progress.sitting.opened_at))


def _first_looks(presented: Presented) -> tuple[int, int]:
    """Return how many people have met this specimen, and how many accepted it the first time."""
    first: dict[object, str] = {}
    rows = (
        Judgement.objects.filter(presented__specimen=presented.specimen_id, scored=True)
        # What was said of parts shown together rests on the other parts.
        .exclude(sitting__worked_plan__draw__has_key="exercise")
        .order_by("answered_at")
        .values_list("sitting__person", "answer")
    )
    for person, answer in rows:
        first.setdefault(person, answer)
    return len(first), sum(answer != REJECT for answer in first.values())
