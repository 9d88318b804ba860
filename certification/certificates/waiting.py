"""Passed sittings that wait for a named person's decision, the most urgent first."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from certification.certificates.evidence import Showing, showing_of
from certification.certificates.facts import certificates_of, rules_in_force
from certification.certificates.granting import levels_of, undecided_sittings
from certification.certificates.models import Certificate, RequalificationNeed
from certification.certificates.selectors import today_at_the_plant
from certification.certificates.standing import FamilyStanding, Rules, Standing, family_standing
from certification.certificates.standing_facts import Certificate as Held
from certification.certificates.standing_facts import Level
from certification.certificates.stopping import fulfils
from training.people.models import Person
from training.quizzes.models import ScoreCorrection, Sitting, SittingEnd
from training.quizzes.selectors.turned import counted_each

LEVELS = {"ordinary": Level.ORDINARY, "critical": Level.CRITICAL}
# Whoever has no right now waits hardest; then whoever loses it first.
RANK = {
    Standing.SUSPENDED: -2,
    Standing.LAPSED: -1,
    Standing.UNDER_SUPERVISION: -1,
    Standing.NOT_CERTIFIED: 0,
}


@dataclass(frozen=True)
class Waiting:
    """One sitting that waits: the families still open, and the hardest-waiting one's standing."""

    showing: Showing
    families: tuple[str, ...]
    critical: tuple[str, ...]
    pressing: str
    standing: FamilyStanding

    @property
    def sitting(self) -> Sitting:
        return self.showing.sitting


def waiting_sittings(moment: dt.datetime) -> list[Waiting]:
    """Return what waits for a decision, the most urgent first. Five queries."""
    day = today_at_the_plant(moment)
    sittings = list(undecided_sittings())
    counted = counted_each(sitting.end for sitting in sittings)
    held = certificates_of(sitting.person_id for sitting in sittings)
    granted = _granted(sittings)
    rules = rules_in_force(day)
    rows = [
        row
        for sitting in sittings
        if (
            row := _row(
                sitting,
                granted.get(sitting.pk, frozenset()),
                counted[sitting.pk],
                held[sitting.person_id],
                day=day,
                rules=rules,
            )
        )
        is not None
    ]
    return sorted(rows, key=_urgency)


@dataclass(frozen=True)
class Undecided:
    """A passed sitting that nobody has decided about, and the families it passes as counted today."""

    sitting: Sitting
    families: tuple[str, ...]


def waiting_of(person: Person) -> list[Undecided]:
    """Return the person's own passed sittings that wait for a decision. Two queries."""
    sittings = list(undecided_sittings().filter(person=person))
    counted = counted_each(sitting.end for sitting in sittings)
    return [Undecided(sitting, tuple(counted[sitting.pk].families_passed)) for sitting in sittings]


def open_needs(sitting: Sitting) -> list[RequalificationNeed]:
    """Return the person's open requalifications that this sitting fulfils."""
    needs = RequalificationNeed.objects.filter(
        person=sitting.person_id, closure=None, corrections=None
    )
    return [need for need in needs.select_related("order", "person") if fulfils(sitting, need)]


def _granted(sittings: Iterable[Sitting]) -> Mapping[object, frozenset[str]]:
    """Return the families that the rule has granted already, by sitting. One query."""
    found: dict[object, set[str]] = {}
    rows = Certificate.objects.filter(sitting__in=list(sittings), corrections=None)
    for sitting, slug in rows.values_list("sitting_id", "family__slug"):
        found.setdefault(sitting, set()).add(slug)
    return {sitting: frozenset(slugs) for sitting, slugs in found.items()}


def _row(
    sitting: Sitting,
    granted: frozenset[str],
    said: SittingEnd | ScoreCorrection,
    held: Iterable[Held],
    *,
    day: dt.date,
    rules: Rules,
) -> Waiting | None:
    levels = {
        slug: LEVELS[level]
        for slug, level in levels_of(sitting, said).items()
        if slug not in granted
    }
    if not levels:
        return None
    mine = list(held)
    standings = {
        slug: family_standing(mine, slug, level, day, rules) for slug, level in levels.items()
    }
    pressing = min(standings, key=lambda slug: _worth(standings[slug]))
    return Waiting(
        showing=showing_of(sitting, said),
        families=tuple(levels),
        critical=tuple(slug for slug, level in levels.items() if level is Level.CRITICAL),
        pressing=pressing,
        standing=standings[pressing],
    )


def _worth(standing: FamilyStanding) -> int:
    if standing.standing in RANK:
        return RANK[standing.standing]
    return 1 + (standing.days_left or 0)


def _urgency(row: Waiting) -> tuple[int, dt.datetime, str]:
    return _worth(row.standing), row.showing.end.ended_at, row.sitting.person.name
