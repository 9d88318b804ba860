"""What the reference panel's closed rounds say: of each specimen, and of each member."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from training.people.models import Person
from training.specimens.models import PanelLook, Specimen
from training.statistics.panel import Verdict
from training.statistics.panel_members import Look, Member, compare_members


@dataclass(frozen=True)
class PanelMember:
    """A member with what the own looks say beside the others'."""

    person: Person
    figures: Member


@dataclass(frozen=True)
class PanelRecord:
    """Every member of closed rounds, and how many looks and specimens they rest on."""

    members: tuple[PanelMember, ...]
    looks: int
    specimens: int


def panel_agreement(day: dt.date) -> dict[uuid.UUID, tuple[int, int]]:
    """Return how many verdicts agree with today's decision, and how many there are, by specimen.

    Only verdicts under the sheet in force count, of rounds that are closed. Costs two queries.
    """
    looks = _looks()
    decided = _decided(day, {look.item.specimen_id for look in looks})
    found: dict[uuid.UUID, tuple[int, int]] = defaultdict(lambda: (0, 0))
    for look in looks:
        row = decided.get(look.item.specimen_id)
        if row is None or row.decided is None or row.sheet_id != look.item.work_instruction_id:
            continue
        agree, of = found[row.pk]
        found[row.pk] = (agree + (look.answer == row.decided), of + 1)
    return dict(found)


def panel_record(day: dt.date) -> PanelRecord:
    """Compare the members of all closed rounds. Costs three queries."""
    looks = _looks()
    keys = {look.item.specimen_id for look in looks}
    ratios = {
        pk: None if row.decided_ratio is None else float(row.decided_ratio)
        for pk, row in _decided(day, keys).items()
    }
    people = Person.objects.in_bulk({look.member_id for look in looks})
    members = compare_members([_as_look(look, ratios) for look in looks])
    return PanelRecord(
        members=tuple(
            PanelMember(people[uuid.UUID(member.name)], member)
            for member in sorted(members, key=lambda each: people[uuid.UUID(each.name)].name)
        ),
        looks=len(looks),
        specimens=len(keys),
    )


def _looks() -> list[PanelLook]:
    found = PanelLook.objects.filter(item__round__closed_at__isnull=False, corrections=None)
    return list(found.select_related("item").order_by("looked_at", "position"))


def _decided(day: dt.date, specimens: Collection[uuid.UUID]) -> dict[uuid.UUID, Specimen]:
    return Specimen.objects.with_decision(day).in_bulk(list(specimens)) if specimens else {}


def _as_look(look: PanelLook, ratios: Mapping[uuid.UUID, float | None]) -> Look:
    # A specimen in two rounds was judged under limits that may differ: it counts once in each.
    return Look(
        specimen=str(look.item_id),
        verdict=Verdict(str(look.member_id), look.answer, look.looked_at.date()),
        ratio=ratios.get(look.item.specimen_id),
    )
