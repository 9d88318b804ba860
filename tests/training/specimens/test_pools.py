"""Pools: the way from exam to teaching leads back only while nobody was told the answer."""

from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError

from tests.conftest import NOON, TODAY
from training.specimens.models import Specimen
from training.specimens.services.bringing_back import bring_back_specimen
from training.specimens.services.pools import (
    mark_answer_shown,
    move_pool,
    retire_specimen,
)


@pytest.fixture
def specimen(make_bank: Callable[..., list[Specimen]]) -> Specimen:
    return make_bank(1)[0]


def test_a_move_made_by_mistake_can_be_undone(specimen: Specimen) -> None:
    assert move_pool(day=TODAY, specimen=specimen, pool="teaching").pool == "teaching"
    assert move_pool(day=TODAY, specimen=specimen, pool="exam").pool == "exam"


def test_once_its_answer_was_shown_it_examines_nobody_any_more(specimen: Specimen) -> None:
    move_pool(day=TODAY, specimen=specimen, pool="teaching")
    assert mark_answer_shown(specimens=[specimen.pk], moment=NOON) == 1
    assert mark_answer_shown(specimens=[specimen.pk], moment=NOON) == 0
    with pytest.raises(ValidationError, match="2026-11-25"):
        move_pool(day=TODAY, specimen=specimen, pool="exam")
    specimen.refresh_from_db()
    assert specimen.pool == "teaching"
    assert move_pool(day=TODAY, specimen=specimen, pool="neither").pool == "neither"
    with pytest.raises(ValidationError, match="examine nobody"):
        move_pool(day=TODAY, specimen=specimen, pool="exam")


def test_there_are_three_pools(specimen: Specimen) -> None:
    with pytest.raises(ValidationError, match="no such pool"):
        move_pool(day=TODAY, specimen=specimen, pool="swimming")


def test_a_retired_specimen_stays_where_it_is_until_it_is_brought_back(specimen: Specimen) -> None:
    assert retire_specimen(specimen=specimen, day=TODAY).retired_day == TODAY
    assert not Specimen.objects.kept().exists()
    with pytest.raises(ValidationError, match="Bring it back"):
        move_pool(day=TODAY, specimen=specimen, pool="teaching")
    bring_back_specimen(specimen=specimen, moment=NOON)
    assert Specimen.objects.kept().get().pool == "exam"
