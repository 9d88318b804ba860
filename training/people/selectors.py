"""Questions about people that more than one page asks."""

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from django.db.models import Q

from training.people.models import Authorisation, Badge, Employment, Person, VisionCheck


def is_employed(person: Person, day: dt.date) -> bool:
    """Return whether the day falls into one of the person's stays. Costs one query."""
    return Employment.objects.on(day).filter(person=person).exists()


def person_with_badge(number: str, day: dt.date) -> Person | None:
    """Return who held the badge on the day, or None. Costs one query."""
    held = (
        Badge.objects.on(day).filter(number=number.strip()).select_related("person__crew").first()
    )
    return held.person if held else None


def personal_numbers(person: Person) -> tuple[str, ...]:
    """Return the numbers others know the person by; a PIN must not be one of them."""
    return (person.personnel_no, *person.badges.values_list("number", flat=True))


def current_badge(person: Person, day: dt.date) -> str:
    """Return the number of the badge the person holds on the day, or nothing."""
    badge = Badge.objects.on(day).filter(person=person).order_by("-from_day").first()
    return badge.number if badge else ""


@dataclass(frozen=True)
class PersonRow:
    """One line of the list of people; `left_day` is the last day of whoever is not here any more.

    `begins_day` is the first day of whoever is still to come.
    """

    person: Person
    badge: str
    roles: tuple[str, ...]
    employed: bool
    left_day: dt.date | None
    begins_day: dt.date | None
    vision_due: dt.date | None
    vision_overdue: bool


def list_people(*, today: dt.date, query: str = "", crew: str = "") -> list[PersonRow]:
    """Return people with what is overdue first, then by name. Costs five queries."""
    people = Person.objects.select_related("crew").prefetch_related(
        "groups", "employments", "badges", "vision_checks"
    )
    if query:
        people = people.filter(Q(name__icontains=query) | Q(personnel_no__startswith=query))
    if crew:
        people = people.filter(crew__code=crew)
    rows = [_person_row(person, today) for person in people]
    return sorted(rows, key=lambda r: (not r.employed, not r.vision_overdue, r.person.name))


class Whom(StrEnum):
    """Which people the list shows: those not gone, those who left, or everybody."""

    HERE = "here"
    LEFT = "left"
    ALL = "all"


def whom_of(row: PersonRow) -> Whom:
    """Return whether somebody has left; who is still to begin, or has no stay yet, has not."""
    return Whom.LEFT if row.left_day is not None else Whom.HERE


def _person_row(person: Person, today: dt.date) -> PersonRow:
    stays = list(person.employments.all())
    employed = any(stay.from_day <= today <= (stay.to_day or today) for stay in stays)
    begins = min((stay.from_day for stay in stays if stay.from_day > today), default=None)
    ends = [stay.to_day for stay in stays if stay.to_day is not None]
    gone = bool(stays) and not employed and begins is None
    held = [b for b in person.badges.all() if b.from_day <= today <= (b.to_day or today)]
    near = [c for c in person.vision_checks.all() if c.kind == VisionCheck.Kind.NEAR]
    newest = max(near, key=lambda check: check.day, default=None)
    due = newest.due_day if newest else None
    return PersonRow(
        person=person,
        badge=held[-1].number if held else "",
        roles=tuple(sorted(group.name for group in person.groups.all())),
        employed=employed,
        left_day=max(ends, default=None) if gone else None,
        begins_day=begins if not employed else None,
        vision_due=due,
        vision_overdue=due is not None and due < today,
    )


@dataclass(frozen=True)
class PersonFactsRow:
    """What the page about one person shows of their own record."""

    employments: tuple[Employment, ...]
    vision_checks: tuple[VisionCheck, ...]
    authorisations: tuple[Authorisation, ...]
    employed: bool


def person_facts(person: Person, *, today: dt.date) -> PersonFactsRow:
    """Return stays, eye checks and authorisations, newest first. Costs three queries."""
    stays = tuple(person.employments.order_by("-from_day"))
    return PersonFactsRow(
        employments=stays,
        vision_checks=tuple(person.vision_checks.select_related("result").order_by("-day")),
        authorisations=tuple(person.authorisations.select_related("given_by").order_by("-day")),
        employed=any(stay.from_day <= today <= (stay.to_day or today) for stay in stays),
    )


def badges_of(person: Person) -> list[Badge]:
    return list(person.badges.order_by("-from_day"))
