"""What a panel round comes to, specimen by specimen: the looks, the rule, and the measurement."""

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from django.utils import timezone

from training.floor.models import Family
from training.people.models import Person
from training.specimens.models import Action, PanelItem, PanelLook, PanelRound, Specimen
from training.specimens.standards import (
    CannotMeasureError,
    Measured,
    Standard,
    standards_of,
    too_near,
)
from training.statistics.agreement import Coefficient, FleissKappa, fleiss_kappa, gwet_ac1
from training.statistics.panel import Settlement, Verdict, settle
from training.statistics.panel_members import Look, Member, compare_members
from training.statistics.sampling_plan import Decision


class Outcome(StrEnum):
    """What becomes of one specimen of a round."""

    SETTLED = "settled"
    # Settled, and so near its limit that it examines nobody all the same.
    NEAR = "near"
    # The measurement, clear of the limit, says otherwise: a bias that members share, or a mismeasured part.
    CONTRADICTED = "contradicted"
    # The limits have moved since the round was opened.
    MOVED = "moved"
    UNSETTLED = "unsettled"


@dataclass(frozen=True, slots=True)
class Cell:
    """One look as it stands in the table; `dissents` where most looks say otherwise."""

    number: int
    answer: str
    family: str
    looked_at: dt.datetime
    dissents: bool
    words: str


@dataclass(frozen=True)
class ItemOutcome:
    """One specimen of a round; `cells` has a tuple of looks for each member, in the round's order."""

    item: PanelItem
    specimen: Specimen
    settlement: Settlement
    outcome: Outcome
    said: Measured | None
    family: Family
    action: str
    cells: tuple[tuple[Cell, ...], ...]

    @property
    def decides(self) -> bool:
        """Whether closing the round writes a decision."""
        return self.outcome in (Outcome.SETTLED, Outcome.NEAR)

    @property
    def decision(self) -> str:
        return str(self.settlement.decision) if self.settlement.decision else ""


def outcomes_of(round_: PanelRound, day: dt.date) -> list[ItemOutcome]:
    """Return what the looks of a round come to on a day, by number. Costs seven queries."""
    items = list(
        PanelItem.objects.filter(round=round_)
        .select_related("specimen__family", "specimen__job", "work_instruction", "general")
        .order_by("specimen__number")
    )
    by_item = _looks(round_)
    members = members_of(round_)
    jobs = {each.specimen.job_id: each.specimen.job for each in items}
    standards = standards_of(list(jobs.values()), day) if jobs else {}
    return [
        _outcome(each, by_item[each.pk], members, standards[each.specimen.job_id]) for each in items
    ]


def members_of(round_: PanelRound) -> list[Person]:
    """Return the members by name. Costs one query."""
    return list(round_.members.order_by("name"))


def _looks(round_: PanelRound) -> dict[UUID, list[PanelLook]]:
    found: dict[UUID, list[PanelLook]] = defaultdict(list)
    looks = PanelLook.objects.filter(item__round=round_).select_related("family", "words")
    for look in looks.order_by("position"):
        found[look.item_id].append(look)
    return found


def verdicts_of(looks: Sequence[PanelLook]) -> list[Verdict]:
    """Return looks as the rule reads them, each with its day at the plant."""
    return [
        Verdict(str(look.member_id), look.answer, timezone.localdate(look.looked_at))
        for look in looks
    ]


def _outcome(
    item: PanelItem, looks: Sequence[PanelLook], members: Sequence[Person], standard: Standard
) -> ItemOutcome:
    specimen, settlement = item.specimen, settle(verdicts_of(looks))
    said = measured_of(specimen, standard)
    rejects = [look for look in looks if look.answer == Decision.REJECT]
    return ItemOutcome(
        item=item,
        specimen=specimen,
        settlement=settlement,
        outcome=_standing(item, settlement, said, standard),
        said=said,
        family=_named(rejects) or specimen.family,
        action=_action(rejects),
        cells=tuple(
            tuple(_cell(look, settlement) for look in looks if look.member_id == member.pk)
            for member in members
        ),
    )


def measured_of(specimen: Specimen, standard: Standard) -> Measured | None:
    """Return what the measured severity says by the limits, or None where it says nothing."""
    try:
        return standard.measure(
            family=specimen.family.slug,
            zone=specimen.zone,
            severity=specimen.severity,
            unit=specimen.unit,
        )
    except CannotMeasureError:
        return None


def _standing(
    item: PanelItem, settlement: Settlement, said: Measured | None, standard: Standard
) -> Outcome:
    if not settlement.settled:
        return Outcome.UNSETTLED
    general = standard.general_for(item.specimen.family.slug, item.specimen.zone)
    in_force = (standard.sheet and standard.sheet.pk, general and general.pk)
    if (item.work_instruction_id, item.general_id) != in_force:
        return Outcome.MOVED
    if said is None:
        return Outcome.SETTLED
    if too_near(said.ratio):
        return Outcome.NEAR
    return Outcome.SETTLED if said.decision == settlement.decision else Outcome.CONTRADICTED


def _named(rejects: Sequence[PanelLook]) -> Family | None:
    """Return the family most rejecting looks name; of two named alike the first in order."""
    named = [look.family for look in rejects if look.family is not None]
    counts = Counter(family.pk for family in named)
    return max(named, key=lambda family: (counts[family.pk], -family.position), default=None)


def _action(rejects: Sequence[PanelLook]) -> str:
    said = Counter(look.action for look in rejects if look.action not in ("", Action.KEEP_RUNNING))
    return max(said, key=lambda action: (said[action], action), default=str(Action.SEGREGATE))


def _cell(look: PanelLook, settlement: Settlement) -> Cell:
    return Cell(
        number=look.number,
        answer=look.answer,
        family=look.family.slug if look.family else "",
        looked_at=look.looked_at,
        dissents=settlement.decision is not None and look.answer != settlement.decision,
        words=look.words.text if look.words else "",
    )


@dataclass(frozen=True)
class Agreement:
    """How far the members agree, from the first look of each at the specimens all have looked at."""

    items: int
    raters: int
    kappa: FleissKappa | None
    ac1: Coefficient | None
    members: tuple[tuple[str, Member], ...]


def agreement_of(round_: PanelRound, outcomes: Sequence[ItemOutcome]) -> Agreement:
    """Return the agreement of a round's members, and how each leans. Costs one query."""
    members = members_of(round_)
    looks, table = [], []
    for each in outcomes:
        ratio = float(each.said.ratio) if each.said and each.said.ratio else None
        firsts = []
        for member, cells in zip(members, each.cells, strict=True):
            firsts += [cell.answer for cell in cells if cell.number == 1]
            looks += [
                Look(
                    str(each.specimen.pk),
                    Verdict(str(member.pk), cell.answer, timezone.localdate(cell.looked_at)),
                    ratio,
                )
                for cell in cells
            ]
        if len(firsts) == len(members) > 1:
            rejects = firsts.count(Decision.REJECT)
            table.append([rejects, len(firsts) - rejects])
    names = {str(member.pk): member.name for member in members}
    return Agreement(
        items=len(table),
        raters=len(members),
        kappa=fleiss_kappa(table) if table else None,
        ac1=gwet_ac1(table) if table else None,
        members=tuple((names[each.name], each) for each in compare_members(looks)),
    )
