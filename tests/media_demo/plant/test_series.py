"""The ladders, contrasts and look-alikes that are planned for the demo plant."""

from types import SimpleNamespace

import pytest

from media_demo.plant.bank import BAD, CLEAN, NEAR, TEACHING, plan_bank
from media_demo.plant.series import (
    FIRST_FAMILIES,
    PlannedSet,
    _in_one_place,
    clean_parts,
    plan_series,
)
from tests.conftest import NOON
from tests.training.quizzes.bank import fill
from training.specimens.models import Pool, Region, Specimen
from training.specimens.series import LADDER_LEAST, LADDER_MOST

SETS = list(plan_series())


def of_kind(kind: str) -> list[PlannedSet]:
    return [each for each in SETS if each.kind == kind]


def test_the_plan_is_the_same_every_time() -> None:
    assert list(plan_series()) == SETS


def test_every_kind_is_there_and_first_families_come_first() -> None:
    assert [len(of_kind(kind)) >= 5 for kind in ("ladder", "contrast", "look_alike")] == [True] * 3
    assert [each.members[0].family for each in of_kind("ladder")][:2] == list(FIRST_FAMILIES)


def test_numbers_are_unique_and_not_the_bank_s() -> None:
    members = [member for each in SETS for member in each.members]
    numbers = [each.number for each in (*members, *clean_parts())]
    assert len(set(numbers)) == len(numbers)
    assert not set(numbers) & {planned.number for planned in plan_bank()}


def test_all_are_for_teaching() -> None:
    members = [member for each in SETS for member in each.members]
    assert {each.pool for each in (*members, *clean_parts())} == {TEACHING}


@pytest.mark.parametrize("planned", of_kind("ladder") + of_kind("contrast"), ids=lambda p: p.number)
def test_members_differ_in_severity_alone(planned: PlannedSet) -> None:
    alike = {
        (each.family, each.job, each.zone, each.part, each.resin, each.hand, each.seed, each.limit)
        for each in planned.members
    }
    assert len(alike) == 1
    sizes = [each.severity or 0 for each in planned.members]
    assert sizes == sorted(set(sizes))
    limit = planned.members[0].limit or 0
    kinds = [each.kind for each in planned.members]
    assert kinds == [CLEAN if not size else BAD if size > limit else NEAR for size in sizes]
    assert BAD in kinds
    assert NEAR in kinds
    if planned.kind == "ladder":
        assert LADDER_LEAST <= len(planned.members) <= LADDER_MOST


@pytest.mark.parametrize("planned", of_kind("look_alike"), ids=lambda p: p.number)
def test_look_alikes_are_two_families_on_one_part(planned: PlannedSet) -> None:
    first, second = planned.members
    assert first.family != second.family
    assert (first.job, first.zone, first.part) == (second.job, second.zone, second.part)
    assert {first.kind, second.kind} == {BAD}


def test_what_they_differ_in_is_said_in_both_languages() -> None:
    assert all(each.difference["en"] and each.difference["es"] for each in SETS)


def test_there_are_clean_parts_enough_for_a_low_rate_round() -> None:
    found = list(clean_parts())
    assert len(found) == 38
    assert all(each.kind == CLEAN and each.severity is None for each in found)


@pytest.mark.django_db
def test_a_mark_that_came_out_elsewhere_is_left_out(plant: SimpleNamespace) -> None:
    made = fill(plant, plant.specks, bad=3, good=0, moment=NOON, pool=Pool.TEACHING)
    elsewhere = [[10, 10], [20, 10], [20, 20], [10, 20]]
    Region.objects.filter(view__specimen=made[1]).update(polygons=[elsewhere])
    rows = list(Specimen.objects.filter(pk__in=[row.pk for row in made]).order_by("number"))
    assert _in_one_place(rows) == [rows[0], rows[2]]
