"""The draw: deterministic, disjoint, by blueprint, fresh first, from the person's own jobs."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.training.quizzes.pool import family_pool, group_pool
from training.quizzes.blueprint import (
    BAD,
    GOOD,
    PRESENT,
    Stratum,
    quotas,
    read_strata,
    write_strata,
)
from training.quizzes.drawing import Candidate, choose, draw_practice, draw_sitting
from training.quizzes.scoring import Part

FIRST_FOUR = ["flow-line-b018", "scuff-b014", "scuff-b011", "scuff-g001"]
LINES = ["weld-line", "flow-line", "scuff", "drag-mark", "jetting"]
seeds = st.text("abcdef0123456789", min_size=8, max_size=8)


def draw(candidates: list[Candidate], seed: str = "s", **more: object) -> list[tuple[str, str]]:
    found = draw_sitting(
        candidates,
        bad=dict.fromkeys(LINES, 8),
        good=30,
        critical={},
        seed=seed,
        **more,  # type: ignore[arg-type]
    )
    return [(pick.candidate.key, pick.part) for pick in found.picks]


@given(seed=seeds)
@settings(max_examples=25)
def test_a_draw_has_the_numbers_of_its_plan_and_nothing_twice(seed: str) -> None:
    picks = draw(group_pool(LINES), seed)
    keys = [key for key, _part in picks]
    assert len(keys) == len(set(keys)) == 70
    for family in LINES:
        assert sum(key.startswith(f"{family}-b") for key in keys) == 8
    assert sum(part == Part.GOOD for _key, part in picks) == 30


@given(seed=seeds, order=st.randoms(use_true_random=False))
@settings(max_examples=25)
def test_seed_and_bank_give_the_draw_whatever_order_the_bank_is_listed_in(
    seed: str, order: object
) -> None:
    pool = group_pool(LINES)
    shuffled = pool[:]
    order.shuffle(shuffled)  # type: ignore[attr-defined]
    assert draw(pool, seed) == draw(shuffled, seed)


def test_this_seed_gives_this_draw_for_good() -> None:
    # Computed once; the draw of a stored seed must never change with a release.
    picks = draw(group_pool(LINES), "witness")
    assert [key for key, _part in picks[:4]] == FIRST_FOUR


def test_other_seeds_give_other_draws() -> None:
    assert draw(group_pool(LINES), "one") != draw(group_pool(LINES), "two")


def test_blueprint_is_kept_where_the_bank_allows() -> None:
    found = draw_sitting(
        family_pool("scuff", bad=70), bad={"scuff": 8}, good=0, critical={}, seed="s"
    )
    ratios = [pick.candidate.ratio for pick in found.picks]
    wanted = quotas(8, BAD)
    for stratum in BAD:
        assert sum(stratum.holds(ratio) for ratio in ratios) == wanted[stratum.code]


def test_an_unfilled_stratum_is_reported_and_not_counted_as_filled() -> None:
    pool = [each for each in family_pool("scuff", bad=40) if not BAD[0].holds(each.ratio)]
    found = draw_sitting(pool, bad={"scuff": 8}, good=0, critical={}, seed="s")
    assert found.as_json()["unfilled"] == [{"family": "scuff", "stratum": "1.05-1.25", "wanted": 2}]
    assert len(found.picks) == 8


def test_a_family_without_measured_severity_has_one_stratum() -> None:
    pool = [replace(each, ratio=None) for each in family_pool("crack") if each.bad]
    found = draw_sitting(pool, bad={"crack": 8}, good=0, critical={}, seed="s")
    assert found.as_json()["unfilled"] == []


def test_fresh_ones_come_before_those_met_before() -> None:
    pool = family_pool("scuff", bad=12, good=0)
    pool[:6] = [replace(each, seen_days_ago=30) for each in pool[:6]]
    found = draw_sitting(pool, bad={"scuff": 8}, good=0, critical={}, seed="s")
    assert found.seen == 2
    assert found.seen_share == 2 / 8


@pytest.mark.parametrize(
    ("days", "last", "fresh"),
    [(None, False, True), (179, False, False), (180, False, True), (400, True, False)],
)
def test_fresh_means_180_days_and_not_in_the_last_sitting(
    days: int | None, last: bool, fresh: bool
) -> None:
    assert Candidate("a", "b", True, seen_days_ago=days, in_last_sitting=last).fresh is fresh


@given(seed=seeds)
@settings(max_examples=25)
def test_at_least_six_in_ten_come_from_own_jobs_where_there_are_as_many(seed: str) -> None:
    found = draw_sitting(
        group_pool(LINES, bad=40, good=40, own=70),
        bad=dict.fromkeys(LINES, 8),
        good=30,
        critical={},
        seed=seed,
    )
    assert found.own_jobs >= 0.6 * len(found.picks)


def test_good_specimens_met_before_do_not_hide_bad_ones_met_before() -> None:
    pool = [replace(each, seen_days_ago=10) if each.bad else each for each in family_pool("scuff")]
    found = draw_sitting(pool, bad={"scuff": 8}, good=14, critical={}, seed="s")
    assert found.seen_share == 1.0


def test_clean_parts_of_other_families_serve_as_good_ones_but_near_ones_do_not() -> None:
    pool = family_pool("scuff", good=0) + family_pool("gloss", bad=0, good=28)
    found = draw_sitting(pool, bad={"scuff": 8}, good=16, critical={}, seed="s")
    good = [pick.candidate for pick in found.picks if pick.part is Part.GOOD]
    assert len(good) == 16
    assert all(each.clean for each in good)


def test_the_critical_block_takes_clear_ones_that_are_not_drawn_already() -> None:
    pool = family_pool("crack", bad=60, good=20)
    found = draw_sitting(pool, bad={"crack": 8}, good=10, critical={"crack": 29}, seed="s")
    block = [pick.candidate for pick in found.picks if pick.part is Part.CRITICAL]
    assert len(block) == 29
    assert all(each.clear for each in block)
    assert len({pick.candidate.key for pick in found.picks}) == 47


def test_too_few_specimens_are_said() -> None:
    with pytest.raises(ValueError, match="8 specimens are wanted for scuff, the pool holds 5"):
        choose(family_pool("scuff", bad=5, good=0), 8, BAD, seed="s", purpose="scuff")


def test_practice_is_half_bad_and_prefers_what_was_not_met() -> None:
    pool = family_pool("scuff", bad=20, good=20)
    pool[:14] = [replace(each, seen_days_ago=3) for each in pool[:14]]
    found = draw_practice(pool, ["scuff"], 12, seed="s")
    bad = [pick.candidate for pick in found.picks if pick.part is Part.BAD]
    assert (len(found.picks), len(bad)) == (12, 6)
    assert all(each.seen_days_ago is None for each in bad)


def test_practice_takes_more_bad_ones_where_good_ones_are_few() -> None:
    found = draw_practice(family_pool("scuff", bad=20, good=2), ["scuff"], 12, seed="s")
    assert len(found.picks) == 12


def test_practice_without_bad_ones_is_refused() -> None:
    with pytest.raises(ValueError, match="no bad specimen"):
        draw_practice(family_pool("scuff", bad=0), ["scuff"], 12, seed="s")


@given(n=st.integers(0, 200))
def test_quotas_add_up_and_stay_within_one_of_their_share(n: int) -> None:
    for strata in (BAD, GOOD, PRESENT):
        found = quotas(n, strata)
        assert sum(found.values()) == n
        assert all(abs(found[each.code] - each.share * n) < 1 for each in strata)


@given(ratio=st.floats(0, 10))
def test_no_severity_lies_in_two_strata(ratio: float) -> None:
    for strata in (BAD, GOOD):
        assert sum(stratum.holds(ratio) for stratum in strata) <= 1


def test_strata_are_read_back_as_they_were_written() -> None:
    assert read_strata(write_strata(BAD), GOOD) == BAD
    assert read_strata([], GOOD) == GOOD


def test_strata_that_do_not_hold_are_refused() -> None:
    with pytest.raises(ValueError, match="add to 1"):
        read_strata([{"code": "all", "low": 1, "high": 2, "share": 0.5}], BAD)
    with pytest.raises(ValueError, match="is empty"):
        read_strata([{"code": "all", "low": 2, "high": 1, "share": 1}], BAD)
    assert Stratum("any", None, None, 1).holds(7.0)
