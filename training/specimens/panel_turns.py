"""Whose look is due in a panel round: each member's own order, and the days between two looks."""

import datetime as dt
import random
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Prefetch, QuerySet
from django.utils import timezone

from training.people.models import Person
from training.specimens.models import PanelItem, PanelLook, PanelRound


@dataclass(frozen=True, slots=True)
class Place:
    """One look of a member: its place in the member's own order, from 1 over all looks."""

    ordinal: int
    number: int
    item: UUID


def order_of(*, seed: str, member: UUID, looks: int, items: Collection[UUID]) -> tuple[Place, ...]:
    """Return every look of a member in the member's own order, shuffled anew for each look.

    The same seed and items give the same order, whatever order they come in.
    """
    places: list[Place] = []
    for number in range(1, looks + 1):
        shuffled = sorted(items, key=str)
        # Nobody gains by foretelling the order; it must only be the same when asked again.
        random.Random(f"{seed}:{member}:{number}").shuffle(shuffled)  # noqa: S311
        for item in shuffled:
            places.append(Place(len(places) + 1, number, item))
    return tuple(places)


@dataclass(frozen=True)
class MemberTurn:
    """How far one member has come in a round; `given` holds the day of each look given."""

    places: tuple[Place, ...]
    given: Mapping[tuple[UUID, int], dt.date]
    gap: dt.timedelta

    @property
    def left(self) -> tuple[Place, ...]:
        return tuple(each for each in self.places if (each.item, each.number) not in self.given)

    def due(self, day: dt.date) -> tuple[Place, ...]:
        """Return the looks that may be given on a day, in the member's order."""
        return tuple(each for each in self.left if self._from(each) <= day)

    def next_day(self, day: dt.date) -> dt.date | None:
        """Return when the next look is due that is not due yet, as far as that is known."""
        days = [self._from(each) for each in self.left]
        return min((each for each in days if day < each < dt.date.max), default=None)

    def place(self, ordinal: int) -> Place | None:
        return self.places[ordinal - 1] if 0 < ordinal <= len(self.places) else None

    def _from(self, place: Place) -> dt.date:
        if place.number == 1:
            return dt.date.min
        before = self.given.get((place.item, place.number - 1))
        return dt.date.max if before is None else before + self.gap


def turn_of(round_: PanelRound, member: Person) -> MemberTurn:
    """Return how far a member has come. Costs two queries."""
    items = PanelItem.objects.filter(round=round_).values_list("pk", flat=True)
    looks = PanelLook.objects.filter(item__round=round_, member=member)
    return _turn(round_, member.pk, list(items), looks)


def _turn(
    round_: PanelRound, member: UUID, items: Collection[UUID], looks: Iterable[PanelLook]
) -> MemberTurn:
    return MemberTurn(
        places=order_of(seed=round_.seed, member=member, looks=round_.looks, items=items),
        given={
            (look.item_id, look.number): timezone.localdate(look.looked_at)
            for look in looks
            if look.member_id == member
        },
        gap=dt.timedelta(days=round_.gap_days),
    )


@dataclass(frozen=True, slots=True)
class DueRound:
    """A round in which looks of a member are due, or will be on a day."""

    id: UUID
    number: str
    due: int
    left: int
    next_day: dt.date | None


def due_rounds(member: Person, day: dt.date) -> list[DueRound]:
    """Return the open rounds that still want looks of a member. Costs three queries at most."""
    found = []
    for round_ in _with_looks(PanelRound.objects.filter(members=member, closed_at=None)):
        items = list(round_.items.all())
        looks = [look for item in items for look in item.panel_looks.all()]
        turn = _turn(round_, member.pk, [item.pk for item in items], looks)
        if turn.left:
            found.append(
                DueRound(
                    round_.pk,
                    round_.number,
                    len(turn.due(day)),
                    len(turn.left),
                    turn.next_day(day),
                )
            )
    return sorted(found, key=lambda each: (not each.due, each.number))


def _with_looks(rounds: QuerySet[PanelRound]) -> QuerySet[PanelRound]:
    return rounds.order_by("opened_at").prefetch_related(
        Prefetch("items", PanelItem.objects.order_by("pk")),
        "items__panel_looks",
    )


@dataclass(frozen=True, slots=True)
class MemberRow:
    """How many looks a member has given of those asked for; says nothing of the answers."""

    person: Person
    given: int
    wanted: int
    due: int
    last_at: dt.datetime | None


def member_rows(round_: PanelRound, day: dt.date) -> list[MemberRow]:
    """Return how far each member has come, the furthest behind first. Costs three queries."""
    items = list(PanelItem.objects.filter(round=round_).values_list("pk", flat=True))
    by_member: dict[UUID, list[PanelLook]] = defaultdict(list)
    for look in PanelLook.objects.filter(item__round=round_):
        by_member[look.member_id].append(look)
    rows = []
    for person in round_.members.all():
        looks = by_member[person.pk]
        turn = _turn(round_, person.pk, items, looks)
        rows.append(
            MemberRow(
                person=person,
                given=len(looks),
                wanted=len(turn.places),
                due=len(turn.due(day)),
                last_at=max((look.looked_at for look in looks), default=None),
            )
        )
    return sorted(rows, key=lambda row: (row.given - row.wanted, row.person.name))
