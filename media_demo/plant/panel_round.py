"""A past round of the invented plant's reference panel, in which one member is more lenient.

The round was an exercise: five members judged forty measured parts near their limits, each twice, so
as to see whether they draw the same line. Among them lay the part whose decision is wrong, and all
judged against it. The round was closed without deciding anything.
"""

import datetime as dt
import math
import random
import uuid
from collections.abc import Sequence
from typing import Final

from media_demo.plant.build import Plant
from media_demo.plant.eyes import Eye
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import Action
from training.specimens.models import PanelItem, PanelLook, PanelRound, Pool, Specimen
from training.specimens.services.panels import chain_of, open_round

OPENED, CLOSED = -40, -33
# Days of the two looks, after the round was opened.
LOOKS: Final = (1, 4)
MEMBERS: Final = ("1042", "1045", "1056", "1079", "1114")
# Where each member draws the line, in multiples of the limit, and how sharply.
LINES: Final = {"1042": 0.99, "1045": 1.02, "1056": 0.97, "1079": 1.24, "1114": 1.00}
SHARP, LAPSE = 0.08, 0.01
FAMILIES: Final = ("black-specks", "weld-line", "sink", "flow-line")
BETWEEN: Final = (0.6, 1.8)
EACH_FAMILY: Final = 10
NOTE: Final = "Exercise: do all members draw the same line? Nothing is decided by it."


def play_panel_round(plant: Plant, *, wrong: str) -> PanelRound:
    """Write the round with its looks into the record; `wrong` is the part with the wrong decision."""
    members = [plant.people[number] for number in MEMBERS]
    specimens = _specimens(plant, wrong)
    round_ = open_round(
        specimens=specimens,
        members=members,
        by=plant.people["1042"],
        moment=plant.calendar.moment(OPENED, "09:00"),
        day=plant.calendar.today,
        note=NOTE,
        seed="exercise",
    )
    items = list(
        PanelItem.objects.filter(round=round_)
        .select_related("specimen__family")
        .order_by("specimen__number")
    )
    ratios = {
        # What it truly is the panel sees: a part well within its limit.
        specimen.pk: 0.6 if specimen.number == wrong else float(specimen.decided_ratio or 0)
        for specimen in specimens
    }
    chance = random.Random("panel")  # noqa: S311 - a simulation that must repeat
    for number, after in enumerate(LOOKS, start=1):
        for member in members:
            starts = plant.calendar.moment(OPENED + after, "13:00")
            looks = _looks(
                items, member, ratios=ratios, number=number, starts=starts, chance=chance
            )
            append(*looks, chain=chain_of(round_), moment=looks[-1].looked_at)
    round_.closed_at = plant.calendar.moment(CLOSED, "10:00")
    round_.closed_by = plant.people["1042"]
    round_.save(update_fields=["closed_at", "closed_by"])
    return round_


def _specimens(plant: Plant, wrong: str) -> list[Specimen]:
    """Choose measured parts of each family, those nearest to the limit first."""
    chosen: list[Specimen] = []
    for slug in FAMILIES:
        found = Specimen.objects.kept().filter(family__slug=slug, pool=Pool.EXAM, synthetic=False)
        rows = [
            row
            for row in found.with_decision(plant.calendar.today).select_related("job", "family")
            if row.decided_ratio and BETWEEN[0] <= row.decided_ratio <= BETWEEN[1]
        ]
        rows.sort(key=lambda row: (abs(math.log(row.decided_ratio or 1)), row.number))
        for side in ("reject", "accept"):
            chosen.extend([row for row in rows if row.decided == side][: EACH_FAMILY // 2])
    chosen = [row for row in chosen if row.number != wrong]
    extra = Specimen.objects.with_decision(plant.calendar.today).select_related("job", "family")
    return [*chosen, extra.get(number=wrong)]


def _looks(
    items: Sequence[PanelItem],
    member: Person,
    *,
    ratios: dict[uuid.UUID, float],
    number: int,
    starts: dt.datetime,
    chance: random.Random,
) -> list[PanelLook]:
    eye = Eye(math.log(LINES[member.personnel_no]), SHARP, LAPSE)
    clock, looks = starts, []
    for item in chance.sample(items, len(items)):
        seconds = max(2.1, 14.0 * math.exp(chance.gauss(0, 0.4)))
        clock += dt.timedelta(seconds=seconds)
        ratio = ratios[item.specimen_id]
        rejected = chance.random() < eye.rejects(ratio, bad=ratio > 1)
        looks.append(
            PanelLook(
                pk=uuid.UUID(int=chance.getrandbits(128), version=4),
                item=item,
                member=member,
                number=number,
                answer="reject" if rejected else "accept",
                family=item.specimen.family if rejected else None,
                action=Action.SEGREGATE if rejected else "",
                looked_at=clock,
                judging_ms=int(seconds * 1000),
                recorded_by=member,
            )
        )
    return looks
