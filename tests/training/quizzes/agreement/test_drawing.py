"""Choosing a study's parts, and the order of its rounds."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.agreement.drawing import Offer, TooFewError, choose_parts, order_of_round

ratios = st.one_of(st.none(), st.floats(0.1, 4))


@st.composite
def banks(draw: st.DrawFn) -> list[Offer]:
    sizes = {True: draw(st.integers(3, 25)), False: draw(st.integers(3, 25))}
    return [
        Offer(
            key=f"{bad}-{place}",
            family=draw(st.sampled_from(["flash", "sink", "burn"])),
            bad=bad,
            ratio=draw(ratios),
            met=draw(st.integers(0, 2)),
            told=draw(st.integers(0, 1)),
        )
        for bad, size in sizes.items()
        for place in range(size)
    ]


@given(banks(), st.integers(2, 50), st.floats(0, 1), st.floats(0, 1), st.text(max_size=5))
def test_the_wish_is_kept_or_what_is_missing_is_told(
    bank: list[Offer], n: int, bad_share: float, near_share: float, seed: str
) -> None:
    held = {side: sum(offer.bad == side for offer in bank) for side in (True, False)}
    bad = min(max(math.floor(n * bad_share + 0.5), 1), n - 1)
    if bad > held[True] or n - bad > held[False]:
        with pytest.raises(TooFewError):
            choose_parts(bank, n, bad_share=bad_share, near_share=near_share, seed=seed)
        return
    chosen = choose_parts(bank, n, bad_share=bad_share, near_share=near_share, seed=seed)
    assert len(chosen.parts) == len({part.key for part in chosen.parts}) == n
    assert sum(part.bad for part in chosen.parts) == chosen.bad.wanted >= 1
    assert chosen.good.wanted >= 1
    for side, is_bad in ((chosen.bad, True), (chosen.good, False)):
        near = sum(offer.near for offer in bank if offer.bad == is_bad)
        found = sum(part.near for part in chosen.parts if part.bad == is_bad)
        assert side.near_found == found >= min(side.near_wanted, near)
    again = choose_parts(bank, n, bad_share=bad_share, near_share=near_share, seed=seed)
    assert again == chosen


def offers(family: str, count: int, **fields: object) -> list[Offer]:
    values = {"bad": True, "ratio": 2.0, **fields}
    return [Offer(key=f"{family}-{n}-{fields}", family=family, **values) for n in range(count)]  # type: ignore[arg-type]


def test_parts_are_spread_evenly_over_the_families() -> None:
    bank = [*offers("flash", 20), *offers("sink", 5), *offers("burn", 20, bad=False)]
    chosen = choose_parts(bank, 20, bad_share=0.5, near_share=0, seed="s")
    families = [part.family for part in chosen.parts if part.bad]
    assert (families.count("flash"), families.count("sink")) == (5, 5)


def test_what_nobody_knows_the_answer_of_comes_first() -> None:
    bank = [*offers("flash", 5, told=1), *offers("flash", 5), *offers("burn", 9, bad=False)]
    assert choose_parts(bank, 10, bad_share=0.5, near_share=0, seed="s").told == 0
    assert choose_parts(bank, 12, bad_share=0.5, near_share=0, seed="s").told == 1


def test_too_few_are_counted_by_side() -> None:
    bank = [*offers("flash", 3), *offers("burn", 1, bad=False)]
    with pytest.raises(TooFewError) as refused:
        choose_parts(bank, 12, bad_share=0.5, near_share=0, seed="s")
    assert (refused.value.bad, refused.value.good) == (3, 5)


@pytest.mark.parametrize(
    ("ratio", "near"), [(None, False), (0.79, False), (0.8, True), (1.25, True), (1.26, False)]
)
def test_near_is_within_a_fifth_of_the_limit(ratio: float | None, *, near: bool) -> None:
    assert Offer("a", "flash", True, ratio).near is near


@given(st.integers(3, 30), st.text(max_size=8))
def test_each_round_has_another_order(size: int, seed: str) -> None:
    keys = [str(n) for n in range(size)]
    orders: list[list[str]] = []
    for number in range(1, 6):
        orders.append(order_of_round(keys, seed=seed, judge=1, number=number, earlier=list(orders)))
    assert all(sorted(order) == sorted(keys) for order in orders)
    assert len({tuple(order) for order in orders}) == 5


def test_with_two_parts_the_second_round_still_differs_from_the_first() -> None:
    first = order_of_round(["a", "b"], seed="s", judge=1, number=1, earlier=[])
    second = order_of_round(["a", "b"], seed="s", judge=1, number=2, earlier=[first])
    assert first != second
