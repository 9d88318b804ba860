"""Low-rate rounds: when one is due, what it is made of, and what they came to so far."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.utils import timezone

from training.floor.models import Family, FamilyGroup
from training.floor.selectors import families_by_group
from training.people.models import Person
from training.quizzes.low_rates import LENGTH, Lacking, lacking, quarter_of
from training.quizzes.models import Kind, Sitting, SittingEnd
from training.quizzes.scoring import Counts
from training.quizzes.selectors.bank import Bank
from training.quizzes.selectors.opening import needs_of
from training.specimens.models import Pool, Specimen
from training.statistics.proportions import clopper_pearson

WITHIN: Final = dt.timedelta(days=365)


@dataclass(frozen=True, slots=True)
class LowRateDue:
    """Whether a round is due this quarter: the day of the last one, the quarter's last day.

    It is not `possible` while the teaching pool holds fewer specimens than a round shows.
    """

    due: bool
    last: dt.date | None
    until: dt.date
    possible: bool


@dataclass(frozen=True, slots=True)
class Rate:
    """Errors of a kind, so many of so many, with the exact 95 % interval; None without any."""

    errors: int
    of: int
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class LowRateRound:
    """One finished round."""

    sitting: Sitting
    day: dt.date
    counts: Counts


@dataclass(frozen=True)
class LowRateGroup:
    """The group a round would be of: its families that have bad specimens, and what is lacking."""

    group: FamilyGroup
    families: tuple[Family, ...]
    lacking: Lacking


def rate_of(errors: int, of: int) -> Rate:
    if not of:
        return Rate(errors, of, None, None)
    interval = clopper_pearson(errors, of)
    return Rate(errors, of, interval.low, interval.high)


def low_rate_due(person: Person, day: dt.date) -> LowRateDue:
    """Return whether the person's low-rate round of this quarter is open. Costs two queries."""
    first, until = quarter_of(day)
    last = (
        SittingEnd.objects.filter(
            sitting__person=person,
            sitting__kind=Kind.LOW_RATE,
            reason=SittingEnd.Reason.COMPLETE,
            ended_at__date__lte=day,
        )
        .order_by("-ended_at")
        .first()
    )
    done = timezone.localdate(last.ended_at) if last else None
    held = Specimen.objects.kept().filter(pool=Pool.TEACHING).count()
    return LowRateDue(done is None or done < first, done, until, held >= LENGTH)


def running_low_rate(person: Person) -> Sitting | None:
    """Return the round the person has not finished, or None. Costs one query."""
    return Sitting.objects.filter(person=person, kind=Kind.LOW_RATE, end=None).first()


def group_for(person: Person, bank: Bank, day: dt.date) -> LowRateGroup | None:
    """Return the group the next round is of, or None without any bad specimen. Five queries.

    Of the groups with enough specimens the one whose turn is longest ago, then the one with most of
    the families that the person's own jobs need.
    """
    pictured = {each.family for each in bank.candidates if each.bad}
    needed = set(needs_of(person, day))
    last: dict[str, dt.datetime] = {}
    rounds = Sitting.objects.filter(person=person, kind=Kind.LOW_RATE).order_by("opened_at")
    for sitting in rounds:
        last.update(dict.fromkeys(sitting.groups, sitting.opened_at))
    found = []
    for group, families in families_by_group():
        held = tuple(family for family in families if family.slug in pictured)
        if held:
            slugs = [family.slug for family in held]
            found.append(LowRateGroup(group, held, lacking(bank.candidates, slugs)))

    def order(each: LowRateGroup) -> tuple[bool, float, int, int]:
        met = last.get(each.group.code)
        of_own = sum(family.slug in needed for family in each.families)
        # What is not needed at the person's jobs comes after all that is.
        return bool(each.lacking), met.timestamp() if met else 0.0, -of_own, each.group.position

    return min(found, key=order, default=None)


def low_rate_rounds(person: Person) -> list[LowRateRound]:
    """Return a person's finished rounds, newest first. Costs one query."""
    ends = SittingEnd.objects.filter(
        sitting__person=person,
        sitting__kind=Kind.LOW_RATE,
        reason=SittingEnd.Reason.COMPLETE,
    ).select_related("sitting")
    return [
        LowRateRound(end.sitting, timezone.localdate(end.ended_at), Counts.from_json(end.counts))
        for end in ends.order_by("-ended_at")
    ]


def missed_in(counts: Iterable[Counts]) -> Rate:
    """Return bad parts missed over some rounds."""
    held = list(counts)
    return rate_of(sum(each.missed for each in held), sum(each.bad for each in held))


def missed_in_practice(person: Person, day: dt.date) -> Rate:
    """Return what the person missed in plain rounds of a year, about half bad. Costs one query."""
    ends = SittingEnd.objects.filter(
        sitting__person=person,
        sitting__kind=Kind.PRACTICE,
        ended_at__date__gt=day - WITHIN,
        ended_at__date__lte=day,
    ).exclude(sitting__worked_plan__draw__has_key="exercise")
    return missed_in(Counts.from_json(end.counts) for end in ends)


@dataclass(frozen=True, slots=True)
class PlantLowRate:
    """Low-rate rounds of everybody within a year: people, rounds, and bad parts missed."""

    people: int
    rounds: int
    missed: Rate


def plant_low_rate(day: dt.date) -> PlantLowRate:
    """Return what the plant's low-rate rounds of a year came to. Costs one query."""
    ends = list(
        SittingEnd.objects.filter(
            sitting__kind=Kind.LOW_RATE,
            reason=SittingEnd.Reason.COMPLETE,
            ended_at__date__gt=day - WITHIN,
            ended_at__date__lte=day,
        ).select_related("sitting")
    )
    return PlantLowRate(
        people=len({end.sitting.person_id for end in ends}),
        rounds=len(ends),
        missed=missed_in(Counts.from_json(end.counts) for end in ends),
    )
