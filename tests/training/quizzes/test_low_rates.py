"""The draw of a low-rate round, and the quarter it belongs to."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.training.quizzes.pool import family_pool
from training.quizzes.drawing import Candidate
from training.quizzes.low_rates import LENGTH, Lacking, draw_low_rate, lacking, quarter_of
from training.quizzes.scoring import Part

CLEAN = [Candidate(f"clean{n:02d}", "a", bad=False) for n in range(40)]
POOL = [*family_pool("a", good=0), *family_pool("b", good=0), *CLEAN]


@given(st.text(max_size=12))
def test_forty_parts_two_or_three_of_them_bad(seed: str) -> None:
    draw = draw_low_rate(POOL, ["a", "b"], seed=seed)
    bad = [pick.candidate for pick in draw.picks if pick.part is Part.BAD]
    assert len(draw.picks) == LENGTH == 40
    assert len(bad) in (2, 3)
    assert {each.family for each in bad} == {"a", "b"}
    assert all(pick.candidate.clean for pick in draw.picks if pick.part is Part.GOOD)
    assert len({pick.candidate.key for pick in draw.picks}) == LENGTH


def test_both_numbers_occur() -> None:
    numbers = {
        sum(pick.part is Part.BAD for pick in draw_low_rate(POOL, ["a"], seed=str(n)).picks)
        for n in range(20)
    }
    assert numbers == {2, 3}


def test_good_parts_near_a_limit_are_left_out() -> None:
    near = [Candidate(f"near{n}", "a", bad=False, ratio=0.8) for n in range(60)]
    assert lacking([*family_pool("a", good=0), *near], ["a"]) == Lacking(0, 38)


def test_what_is_lacking_is_counted_by_family_of_the_round() -> None:
    assert lacking(POOL, ["c"]) == Lacking(3, 0)
    assert not lacking(POOL, ["a"])
    with pytest.raises(ValueError, match="lacks 3 bad"):
        draw_low_rate(POOL, ["c"], seed="s")


def test_parts_not_met_come_before_those_met() -> None:
    met = [Candidate(f"met{n}", "a", bad=True, ratio=2.0, seen_days_ago=n + 1) for n in range(10)]
    new = [Candidate(f"new{n}", "a", bad=True, ratio=2.0) for n in range(3)]
    draw = draw_low_rate([*met, *new, *CLEAN], ["a"], seed="s")
    drawn = {pick.candidate.key for pick in draw.picks if pick.part is Part.BAD}
    assert drawn <= {each.key for each in new}


@given(st.dates(dt.date(2000, 1, 1), dt.date(2100, 12, 31)))
def test_quarters_tile_the_year(day: dt.date) -> None:
    first, last = quarter_of(day)
    assert first <= day <= last
    assert first.day == 1
    assert first.month in (1, 4, 7, 10)
    assert quarter_of(last + dt.timedelta(days=1))[0] == last + dt.timedelta(days=1)
    assert 90 <= (last - first).days + 1 <= 92
