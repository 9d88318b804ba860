"""Which families a refresher is made of, and which of their specimens."""

import math

import pytest

from tests.training.quizzes.pool import family_pool, group_pool
from training.quizzes.refreshing import (
    LENGTH,
    Chosen,
    FamilyState,
    Why,
    choose_families,
    draw_refresher,
    reason_of,
)
from training.quizzes.scoring import Part


def chosen(family: str, target: float = 1.0) -> Chosen:
    return Chosen(FamilyState(family), Why.NEVER, target)


@pytest.mark.parametrize(
    ("state", "why"),
    [
        (FamilyState("a", missed=1, bad=6, days=3), Why.MISSED),
        (FamilyState("a", ratio=1.4, sure=True, days=3), Why.TOO_LOOSE),
        (FamilyState("a", ratio=0.7, sure=True, days=3), Why.TOO_STRICT),
        (FamilyState("a", refused=2, good=6, days=3), Why.FALSE_REJECTS),
        (FamilyState("a"), Why.NEVER),
        (FamilyState("a", days=90), Why.LONG_AGO),
        (FamilyState("a", ratio=1.4, days=3), Why.OWN_LIMIT),
    ],
)
def test_why(state: FamilyState, why: Why) -> None:
    reason = reason_of(state)
    assert reason is not None
    assert reason[0] is why


def test_nothing_known_lately_and_nothing_wrong_needs_nothing() -> None:
    assert reason_of(FamilyState("a", bad=6, good=6, days=3)) is None


def test_the_strongest_reasons_come_first() -> None:
    states = [
        FamilyState("never"),
        FamilyState("third", missed=2, bad=6, days=1),
        FamilyState("half", missed=3, bad=6, days=1),
        FamilyState("fine", bad=6, days=1),
        FamilyState("loose", ratio=1.5, sure=True, days=1),
        FamilyState("refused", refused=1, good=6, days=1),
    ]
    found = choose_families(states)
    assert [each.state.family for each in found] == ["half", "third", "loose"]
    assert found[2].target == 1.5


def test_specimens_lie_near_the_own_limit() -> None:
    draw = draw_refresher(family_pool("a"), [chosen("a", 1.6)], seed="s")
    bad = [pick.candidate for pick in draw.picks if pick.part is Part.BAD]
    left = [each for each in family_pool("a") if each.bad and each not in bad]
    farthest = max(abs(math.log((each.ratio or 1) / 1.6)) for each in bad)
    assert all(abs(math.log((each.ratio or 1) / 1.6)) >= farthest - 1e-9 for each in left)


def test_what_was_missed_before_comes_first() -> None:
    far = next(each for each in family_pool("a") if each.bad and each.ratio == 3.0)
    draw = draw_refresher(family_pool("a"), [chosen("a", 1.0)], missed_before={far.key}, seed="s")
    assert far.key in {pick.candidate.key for pick in draw.picks}


def test_families_share_the_round_and_half_of_it_is_bad() -> None:
    draw = draw_refresher(group_pool(["a", "b", "c"]), [chosen(f) for f in "abc"], seed="s")
    families = [pick.candidate.family for pick in draw.picks]
    assert [families.count(family) for family in "abc"] == [4, 4, 4]
    assert sum(pick.part is Part.BAD for pick in draw.picks) == LENGTH / 2
    assert len({pick.candidate.key for pick in draw.picks}) == LENGTH


def test_a_pool_without_bad_parts_is_refused() -> None:
    with pytest.raises(ValueError, match="no bad specimen"):
        draw_refresher(family_pool("a", bad=0), [chosen("a")], seed="s")


def test_what_is_kept_holds_no_binary_fraction() -> None:
    kept = Chosen(FamilyState("a", ratio=1.25), Why.OWN_LIMIT, 1.25).as_json()
    assert kept["ratio"] == "1.250"
    assert not any(isinstance(value, float) for value in kept.values())
