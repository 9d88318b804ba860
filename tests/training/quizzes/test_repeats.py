"""Parts that come again in a round, and how often they get the same answer."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.training.quizzes.pool import family_pool
from training.quizzes.drawing import Pick
from training.quizzes.repeats import APART, apart, repeatability, with_repeats
from training.quizzes.scoring import Part

PICKS = [
    Pick(each, Part.BAD if each.bad else Part.GOOD)
    for bad, good in zip(family_pool("a", good=0), family_pool("a", bad=0, good=24), strict=True)
    for each in (bad, good)
]


@given(st.integers(0, 30), st.text(max_size=8), st.integers(0, 4))
def test_repeats_never_stand_close_and_the_length_stays(n: int, seed: str, most: int) -> None:
    order = with_repeats(PICKS[:n], seed=seed, most=most)
    assert len(order) == n
    assert apart(order)
    keys = [pick.candidate.key for pick in order]
    assert all(keys.count(key) <= 2 for key in keys)
    expected = min(most, max(0, n - 2 * APART) // 2)
    assert n - len(set(keys)) == expected


def test_the_same_seed_repeats_the_same_parts() -> None:
    round_ = PICKS[:12]
    assert with_repeats(round_, seed="a") == with_repeats(round_, seed="a")
    assert any(
        with_repeats(round_, seed="a") != with_repeats(round_, seed=str(n)) for n in range(9)
    )


def test_a_round_that_would_lose_its_good_parts_is_left_alone() -> None:
    bad = [pick for pick in PICKS if pick.part is Part.BAD][:10]
    good = [pick for pick in PICKS if pick.part is Part.GOOD][:2]
    assert with_repeats(bad + good, seed="a") == tuple(bad + good)


def test_apart_sees_parts_that_stand_too_close() -> None:
    assert not apart([*PICKS[:4], PICKS[0]])
    assert apart([*PICKS[:5], PICKS[0]])


def test_same_answers_are_counted_from_time_to_time() -> None:
    found = repeatability([("s1", "accept"), ("s2", "reject"), ("s1", "accept"), ("s1", "reject")])
    assert (found.same, found.pairs) == (1, 2)


def test_without_a_pair_there_is_no_interval() -> None:
    found = repeatability([("s1", "accept"), ("s2", "reject")])
    assert (found.pairs, found.low, found.high) == (0, None, None)


def test_seven_of_eight() -> None:
    """The exact interval of 7 of 8, as R's binom.test gives it: 0.4735 to 0.9968 (from memory)."""
    answers = [(f"s{n}", "accept") for n in range(8)]
    again = [(f"s{n}", "accept" if n else "reject") for n in range(8)]
    found = repeatability(answers + again)
    assert (found.same, found.pairs) == (7, 8)
    assert found.low == pytest.approx(0.4735, abs=5e-5)
    assert found.high == pytest.approx(0.9968, abs=5e-5)
