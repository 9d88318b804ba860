"""Questions about the bank, in a fixed number of queries."""

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.conftest import NOON, TODAY
from tests.training.specimens import photographs as photo
from training.floor.models import FirstPiece, WorkInstruction
from training.people.models import Person
from training.specimens.models import Frame, Region, Specimen, View
from training.specimens.selectors import (
    Wanted,
    bank_counts,
    bank_totals,
    find_specimens,
    first_piece_views,
    specimen_rows,
    usable_specimens,
    views_of,
)
from training.specimens.services.bulk import NewFrame, NewView, add_first_piece_views
from training.specimens.services.pools import retire_specimen

Bank = Callable[..., list[Specimen]]


def queries(call: Callable[[], Any]) -> int:
    with CaptureQueriesContext(connection) as caught:
        call()
    return len(caught)


def test_usable_specimens_carry_what_a_draw_needs(make_bank: Bank, plant: SimpleNamespace) -> None:
    bad, good = make_bank(2)
    rows = usable_specimens(pool="exam", day=TODAY)
    assert [row.id for row in rows] == [bad.pk, good.pk]
    first = rows[0]
    assert (first.family, first.job, first.zone) == ("black-specks", "901", "A")
    assert (first.decision, first.clear, first.ratio) == ("reject", True, Decimal("1.5"))
    assert first.decision_id == bad.decisions.get().pk
    assert first.sheet_id == plant.sheet.pk
    assert first.synthetic
    assert queries(lambda: usable_specimens(pool="exam", day=TODAY)) == 1


def test_only_what_can_be_shown_and_scored_is_usable(
    make_bank: Bank, plant: SimpleNamespace
) -> None:
    make_bank(2, decision=None)
    make_bank(2, pool="teaching")
    retired, unpictured, unoutlined, whole = (
        make_bank(1) + make_bank(1) + make_bank(1) + make_bank(1)
    )
    retire_specimen(specimen=retired, day=TODAY)
    Frame.objects.filter(view__specimen=unpictured).delete()
    Region.objects.filter(view__specimen=unoutlined).delete()
    assert [row.id for row in usable_specimens(pool="exam", day=TODAY)] == [whole.pk]
    assert len(usable_specimens(pool="teaching", day=TODAY)) == 2
    # A family of the whole part is scored without a place, so it needs no outline.
    plant.specks.place = {"kind": "whole_part"}
    plant.specks.save()
    assert len(usable_specimens(pool="exam", day=TODAY)) == 2


def test_a_good_part_needs_no_outline(make_bank: Bank) -> None:
    _bad, good = make_bank(2)
    Region.objects.all().delete()
    assert [row.id for row in usable_specimens(pool="exam", day=TODAY)] == [good.pk]


def test_families_are_asked_for_by_slug(make_bank: Bank, plant: SimpleNamespace) -> None:
    make_bank(1)
    make_bank(1, family=plant.burn, views=[NewView([NewFrame(photo.quarters())])], severity=0)
    assert len(usable_specimens(pool="exam", day=TODAY)) == 2
    (burn,) = usable_specimens(pool="exam", day=TODAY, families=["burn", "sink"])
    assert burn.family == "burn"
    assert usable_specimens(pool="exam", day=TODAY, families=[]) == []


def test_a_new_sheet_leaves_nothing_usable_until_it_is_decided_again(
    make_bank: Bank, plant: SimpleNamespace
) -> None:
    make_bank(2)
    tomorrow = TODAY + dt.timedelta(days=1)
    WorkInstruction.objects.create(job=plant.job, revision="B", day=tomorrow)
    assert len(usable_specimens(pool="exam", day=TODAY)) == 2
    assert usable_specimens(pool="exam", day=tomorrow) == []
    assert bank_totals(tomorrow).undecided == 2


def test_bank_counts_by_family_pool_and_decision(make_bank: Bank, plant: SimpleNamespace) -> None:
    make_bank(3)
    make_bank(1, pool="teaching")
    make_bank(1, decision=None)
    make_bank(1, pool="neither")
    make_bank(1, family=plant.burn)
    retire_specimen(specimen=make_bank(1)[0], day=TODAY)
    specks, burn = bank_counts(TODAY)
    assert (specks.slug, specks.name["es"], specks.total) == ("black-specks", "Puntos negros", 6)
    assert (specks.exam_reject, specks.exam_accept, specks.exam_undecided) == (2, 1, 1)
    assert (specks.teaching_reject, specks.teaching_accept, specks.neither) == (1, 0, 1)
    assert (burn.slug, burn.exam_reject) == ("burn", 1)
    totals = bank_totals(TODAY)
    assert (totals.kept, totals.undecided, totals.retired) == (7, 1, 1)
    assert (totals.exam_reject, totals.exam_accept, totals.teaching) == (3, 1, 1)
    assert queries(lambda: bank_counts(TODAY)) == 1
    assert queries(lambda: bank_totals(TODAY)) == 1


@pytest.mark.parametrize(
    ("wanted", "numbers"),
    [
        (Wanted(), ["S-00003", "S-00002", "S-00004", "S-00001"]),
        (Wanted(decision="undecided"), ["S-00003"]),
        (Wanted(decision="reject"), ["S-00001"]),
        (Wanted(decision="accept"), ["S-00002", "S-00004"]),
        (Wanted(pool="teaching"), ["S-00004"]),
        (Wanted(family="burn"), ["S-00004"]),
        (Wanted(family="nothing"), []),
        (Wanted(job="901", pool="exam"), ["S-00003", "S-00002", "S-00001"]),
        (Wanted(job="999"), []),
        (Wanted(number="0002"), ["S-00002"]),
        (Wanted(decision="retired"), ["S-00005"]),
        (Wanted(decision="nonsense"), ["S-00003", "S-00002", "S-00004", "S-00001"]),
    ],
)
def test_the_list_is_narrowed_and_has_the_undecided_first(
    make_bank: Bank, plant: SimpleNamespace, wanted: Wanted, numbers: list[str]
) -> None:
    make_bank(2)
    make_bank(1, decision=None)
    make_bank(1, family=plant.burn, severity=0, pool="teaching")
    retire_specimen(specimen=make_bank(1)[0], day=TODAY)
    assert [row.number for row in specimen_rows(find_specimens(wanted, TODAY))] == numbers


@pytest.mark.parametrize("count", [3, 30])
def test_the_rows_of_the_list_cost_two_queries(make_bank: Bank, count: int) -> None:
    make_bank(count)
    assert queries(lambda: specimen_rows(find_specimens(Wanted(), TODAY)[:count])) == 2
    rows = specimen_rows(find_specimens(Wanted(), TODAY)[:count])
    assert len(rows) == count
    assert {row.view for row in rows} == {0}


def test_views_come_with_their_frames_and_outlines(make_bank: Bank) -> None:
    one, two = make_bank(2)
    View.objects.create(specimen=one, kind="close_up", position=1)
    views = views_of([one.pk, two.pk])
    assert [view.position for view in views[one.pk]] == [0, 1]
    assert views[one.pk][0].regions[0][0] == "black-specks"
    assert views[one.pk][0].frames[0].width == 240
    assert views[one.pk][1].frames == ()
    assert queries(lambda: views_of([one.pk, two.pk])) == 3


def test_the_first_piece_approved_last_is_the_one_to_compare_with(
    plant: SimpleNamespace, quality: Person
) -> None:
    def approved(revision: str, hours: int) -> FirstPiece:
        moment = NOON + dt.timedelta(hours=hours)
        return FirstPiece.objects.create(
            job=plant.job, revision=revision, approved_at=moment, approved_by=quality
        )

    old, new, later = approved("1", -48), approved("2", -24), approved("3", 5)
    frames = [NewFrame(photo.quarters(), angle) for angle in (0, 4, 8)]
    for piece in (old, later):
        add_first_piece_views(piece, [NewView(frames[:1])])
    assert first_piece_views(plant.job, NOON) is None, "an older piece would be the wrong one"
    add_first_piece_views(new, [NewView(frames, change="tilt"), NewView(frames[:1])])
    found = first_piece_views(plant.job, NOON)
    assert found is not None
    assert found.first_piece == new
    assert [len(view.frames) for view in found.views] == [3, 1]
    assert found.first_frames == (0, 3)
    assert queries(lambda: first_piece_views(plant.job, NOON)) == 4
