"""The planned bank: how many of what, how it is asked for, and in which order it is drawn."""

from collections import Counter

import pytest

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.scenes.gauges import reaches, scale_of
from media_demo.pictures.scenes.registry import GAUGED, SCENES
from media_demo.plant.bank import (
    BAD,
    CLEAN,
    CRITICAL_MORE,
    DEEP,
    EXAM,
    NEAR,
    SWEEP_FRAMES,
    TEACHING,
    Planned,
    critical_families,
    examined_families,
    plan_bank,
    swept_jobs,
)
from media_demo.plant.places import TAUGHT_ONLY, places
from media_demo.plant.read import documents
from training.floor.limits import Unit


@pytest.fixture(scope="module")
def bank() -> list[Planned]:
    return list(plan_bank())


def test_every_family_of_the_trade_has_a_place() -> None:
    assert {item["slug"] for item in documents("families")} == {
        family for family, where in places().items() if where
    }
    assert len(examined_families()) == 25


def test_nothing_is_pictured_on_a_resin_that_hides_it(bank: list[Planned]) -> None:
    hidden = {family: made.hidden_on for family, made in FAMILIES.items() if made.hidden_on}
    assert hidden
    for planned in bank:
        assert planned.resin not in hidden.get(planned.family, ())


def test_it_holds_1250_and_more_for_critical_families(bank: list[Planned]) -> None:
    more = CRITICAL_MORE * len(critical_families() & set(examined_families()))
    assert len(bank) == 1250 + more
    pools = Counter(planned.pool for planned in bank)
    assert pools == {EXAM: 25 * (24 + 12) + 100 + more, TEACHING: 250}
    for family in examined_families():
        kinds = Counter(p.kind for p in bank if p.family == family and p.pool == EXAM)
        assert kinds[BAD] == 24 + (CRITICAL_MORE if family in critical_families() else 0)
        assert kinds[NEAR] == 12
        assert kinds[CLEAN] >= 3


def test_about_170_are_sequences(bank: list[Planned]) -> None:
    swept = [planned for planned in bank if planned.frames == SWEEP_FRAMES]
    assert {planned.frames for planned in bank} == {1, SWEEP_FRAMES}
    assert 155 <= len(swept) <= 185
    assert all(FAMILIES[planned.family].sweep for planned in swept)
    # A sweep says nothing of what it shows: bad and good have as large a share of them.
    for family in {planned.family for planned in swept}:
        share = {
            kind: [p.frames > 1 for p in bank if (p.family, p.kind, p.pool) == (family, kind, EXAM)]
            for kind in (BAD, NEAR)
        }
        rates = [sum(found) / len(found) for found in share.values()]
        assert max(rates) - min(rates) < 0.13, family


def test_colour_is_taught_side_by_side_and_never_examined(bank: list[Planned]) -> None:
    colours = [planned for planned in bank if planned.family == TAUGHT_ONLY]
    assert len(colours) == 10
    assert {planned.pool for planned in colours} == {TEACHING}
    assert all(p.severity and p.severity > 3 for p in colours if p.kind == BAD)


def test_the_first_hour_has_60_of_one_family_and_four_of_each_other(bank: list[Planned]) -> None:
    first = [planned for planned in bank if planned.first_hour]
    assert [planned.number for planned in bank[: len(first)]] == [p.number for p in first]
    counts = Counter(planned.family for planned in first)
    assert counts.pop(DEEP) == 60
    assert Counter(p.kind == BAD for p in first if p.family == DEEP) == {True: 30, False: 30}
    assert set(counts.values()) == {4}
    assert len(counts) == 25
    assert all(planned.frames == 1 for planned in first)
    # Dealt out one by one: stopped anywhere, no family is two ahead of another.
    dealt = [planned.family for planned in first if planned.family != DEEP]
    for end in range(len(dealt)):
        so_far = Counter(dealt[:end])
        assert max(so_far.values(), default=0) - min((so_far[f] for f in counts), default=0) <= 1


def test_a_severity_lies_on_the_side_it_is_meant_for(bank: list[Planned]) -> None:
    for planned in bank:
        if planned.kind == CLEAN:
            assert planned.severity is None
        elif planned.limit is None:
            assert (planned.severity is not None) == (planned.kind == BAD)
        else:
            assert planned.severity is not None
            ratio = planned.severity * planned.per_mm / planned.limit
            assert ratio == pytest.approx(planned.ratio)
            assert ratio >= 1.04 if planned.kind == BAD else ratio <= 0.95, planned


def test_what_a_gauge_decides_is_asked_on_its_scale(bank: list[Planned]) -> None:
    gauged = [planned for planned in bank if planned.gauge]
    families = {planned.family for planned in gauged}
    assert families == {
        "flash", "gate-vestige", "mismatch", "warp", "insert", "ejector-mark", "sink",
    }  # fmt: skip
    assert families <= GAUGED.keys()
    for planned in gauged:
        assert planned.unit in set(Unit)
        assert reaches(planned.part, planned.family, planned.zone)
        if planned.severity is not None:
            scale = scale_of(planned.family)
            steps = planned.severity / scale.division_mm
            assert steps == pytest.approx(round(steps), abs=1e-6)
            assert 0 < planned.severity <= scale.highest_mm


def test_scenes_are_asked_in_whole_pieces(bank: list[Planned]) -> None:
    for planned in bank:
        if planned.family in SCENES and planned.family != TAUGHT_ONLY and not planned.gauge:
            assert planned.severity is None or planned.severity in {1, 2, 3, 4}
            assert (planned.severity is None) == (planned.kind != BAD)


def test_first_pieces_are_swept_where_their_specimens_are(bank: list[Planned]) -> None:
    assert swept_jobs() == {planned.job for planned in bank if planned.frames > 1}
    assert 8 <= len(swept_jobs()) < len(documents("jobs"))


def test_it_is_planned_the_same_every_time(bank: list[Planned]) -> None:
    assert list(plan_bank()) == bank
    assert [planned.number for planned in bank] == sorted({planned.number for planned in bank})
