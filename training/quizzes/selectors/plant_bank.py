"""The bank as anyone in the plant finds it today, and what each family of it carries."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count
from django.utils import timezone

from training.floor.models import Family
from training.quizzes.drawing import FRESH_DAYS, Candidate
from training.quizzes.models import Presented, Sitting
from training.quizzes.plan_rules import AHEAD
from training.quizzes.selectors.bank import WITH_ANSWER, bank_for
from training.quizzes.selectors.turned import counted_each
from training.specimens.models import Pool
from training.statistics.bank_ladder import LEAST_FRESH, BankPlan, best_plan_for_bank

# How a family is examined where pictures can show it.
PICTURES = "pictures"


@dataclass(frozen=True)
class FamilyBank:
    """What the exam pool holds of one family.

    `total` are all bad ones: what comes free within the window of 180 days. `met` says how many of
    them somebody does not find fresh; whoever passed the family within the window is left out, because
    they need no exam before those come free. `fresh` is what everybody else finds at least, and
    `plan` the rung of the ladder that these numbers reach.
    """

    family: Family
    fresh: int
    total: int
    plan: BankPlan
    candidates: tuple[Candidate, ...]
    met: dict[uuid.UUID, int]
    undecided: int
    without_outline: int
    without_picture: int

    @property
    def bad(self) -> tuple[Candidate, ...]:
        return tuple(each for each in self.candidates if each.bad)

    def fresh_for(self, person: uuid.UUID) -> int:
        """Return how many bad ones somebody finds fresh, who has not passed lately."""
        return self.total - self.met.get(person, 0)

    @property
    def synthetic(self) -> int:
        """Bad specimens whose pictures were drawn by program."""
        return sum(each.synthetic for each in self.bad)


@dataclass(frozen=True)
class PlantBank:
    """Every family that pictures examine, in the order of the plant, with what the bank holds."""

    families: tuple[FamilyBank, ...]
    candidates: tuple[Candidate, ...]

    def of(self, slug: str) -> FamilyBank | None:
        return next((each for each in self.families if each.family.slug == slug), None)


def plant_bank(
    day: dt.date, *, own_plan_cap: int | None = None, per_family: int = LEAST_FRESH
) -> PlantBank:
    """Return the exam pool's pictures as anyone finds them on a day. Costs seven queries.

    `own_plan_cap` is the cap of an own plan where that is looked for, `per_family` what a group plan
    draws of each family.
    """
    bank = bank_for(None, pool=Pool.EXAM, day=day)
    met = _met(bank.candidates, day)
    held: dict[str, list[Candidate]] = defaultdict(list)
    for each in bank.candidates:
        held[each.family].append(each)
    families = [
        family
        for family in Family.objects.select_related("group").order_by("group", "position")
        if PICTURES in family.tested_with or held[family.slug]
    ]
    rows = []
    for family in families:
        slug = family.slug
        total = sum(each.bad for each in held[slug])
        fresh = total - max(met[slug].values(), default=0)
        rows.append(
            FamilyBank(
                family=family,
                fresh=fresh,
                total=total,
                plan=best_plan_for_bank(
                    fresh, total, own_plan_cap=own_plan_cap, per_family=per_family
                ),
                candidates=tuple(held[slug]),
                met=met[slug],
                undecided=bank.undecided.get(slug, 0),
                without_outline=bank.without_outline.get(slug, 0),
                without_picture=bank.without_picture.get(slug, 0),
            )
        )
    return PlantBank(tuple(rows), tuple(bank.candidates))


def _met(candidates: Sequence[Candidate], day: dt.date) -> dict[str, dict[uuid.UUID, int]]:
    """Return, by family and person, how many bad specimens the person does not find fresh.

    Costs three queries. Not fresh is what was shown within 180 days, or in a person's last sitting of
    the family, or at any time together with its answer.
    """
    family_of = {uuid.UUID(each.key): each.family for each in candidates if each.bad}
    sittings = {
        row.pk: row
        for row in Sitting.objects.filter(opened_at__date__lte=day)
        .select_related("end")
        .annotate(judged=Count("judgements"))
        .order_by("opened_at")
    }
    last = {
        (row.person_id, slug): row.pk
        for row in sittings.values()
        if row.kind not in WITH_ANSWER
        for slug in row.families
    }
    recent = {
        pk: row
        for pk, row in sittings.items()
        if row.kind in WITH_ANSWER
        or _is_recent(row, day)
        or any(last.get((row.person_id, slug)) == pk for slug in row.families)
    }
    shown: dict[tuple[str, uuid.UUID], set[uuid.UUID]] = defaultdict(set)
    for sitting_pk, specimen, ordinal in Presented.objects.filter(sitting__in=recent).values_list(
        "sitting", "specimen", "ordinal"
    ):
        row = recent[sitting_pk]
        family = family_of.get(specimen)
        handed_out = row.judged + 1 + int(row.worked_plan.get("ahead", AHEAD))
        if family is not None and ordinal <= handed_out:
            shown[family, row.person_id].add(specimen)
    ended = [row for row in sittings.values() if _is_recent(row, day) and hasattr(row, "end")]
    counted = counted_each(row.end for row in ended)
    passed = {(slug, row.person_id) for row in ended for slug in counted[row.pk].families_passed}
    met: dict[str, dict[uuid.UUID, int]] = defaultdict(dict)
    for (family, person), specimens in shown.items():
        if (family, person) not in passed:
            met[family][person] = len(specimens)
    return met


def _is_recent(sitting: Sitting, day: dt.date) -> bool:
    return (day - timezone.localdate(sitting.opened_at)).days < FRESH_DAYS
