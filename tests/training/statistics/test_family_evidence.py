"""Evidence over sittings and the critical block: the study's exact figures and refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from training.statistics.family_evidence import (
    EvidenceReason,
    FamilySitting,
    accumulate,
    critical_block,
)
from training.statistics.proportions import upper_bound

THREE = [FamilySitting(1, 8), FamilySitting(0, 8), FamilySitting(1, 8)]


@pytest.mark.parametrize(
    ("rate", "passes"), [(0.02, 0.988), (0.05, 0.884), (0.20, 0.115), (0.30, 0.012)]
)
def test_24_specimens_allow_2_misses(rate: float, passes: float) -> None:
    """Exact (own study): the chance to stay within 2 of 24."""
    evidence = accumulate(THREE)
    assert evidence.allowed is not None

    assert evidence.allowed == 2
    assert binom.cdf(evidence.allowed, evidence.shown, rate) == pytest.approx(passes, abs=5e-4)


def test_a_claim_states_what_it_rests_on() -> None:
    evidence = accumulate(THREE)

    assert evidence.separates
    assert evidence.reason is None
    assert (evidence.sittings, evidence.shown, evidence.missed) == (3, 24, 2)
    assert evidence.risk == pytest.approx(0.115, abs=5e-4)
    assert evidence.upper == pytest.approx(upper_bound(2, 24, 0.90))


def test_only_the_last_three_sittings_in_order_count() -> None:
    bad_start = accumulate([(5, 8), *THREE])
    bad_end = accumulate([*THREE, (5, 8)])

    assert bad_start.separates
    assert not bad_end.separates
    assert bad_end.missed == 6
    assert bad_end.reason == EvidenceReason.TOO_MANY_MISSED


@pytest.mark.parametrize("sittings", [[], [(0, 8)], [(0, 8), (0, 8)], [(0, 0)] * 3])
def test_too_few_specimens_give_no_claim(sittings: list[tuple[int, int]]) -> None:
    evidence = accumulate(sittings)

    assert not evidence.separates
    assert evidence.allowed is None
    assert evidence.risk is None
    assert evidence.reason == EvidenceReason.TOO_FEW_SHOWN
    assert (evidence.upper is None) == (evidence.shown == 0)


def test_30_specimens_allow_3_misses() -> None:
    evidence = accumulate([(1, 10), (1, 10), (1, 10)])

    assert (evidence.allowed, evidence.separates) == (3, True)


def test_a_claim_too_fine_for_the_specimens_is_not_made() -> None:
    assert accumulate([(0, 8)] * 3, rate=0.01).reason == EvidenceReason.TOO_FEW_SHOWN


@given(
    st.lists(
        st.integers(0, 20).flatmap(lambda shown: st.tuples(st.integers(0, shown), st.just(shown))),
        max_size=5,
    )
)
def test_one_miss_fewer_never_loses_the_claim(sittings: list[tuple[int, int]]) -> None:
    better = [(max(0, missed - 1), shown) for missed, shown in sittings]

    assert accumulate(better).separates >= accumulate(sittings).separates


@pytest.mark.parametrize(
    ("sitting", "message"),
    [
        ((9, 8), r"^sittings\[0\]\.missed is 9, .* count misses among the shown"),
        ((-1, 8), r"^sittings\[0\]\.missed is -1"),
        ((0, -8), r"^sittings\[0\]\.shown is -8"),
        ((0.5, 8), r"^sittings\[0\]\.missed is 0\.5, not a whole number"),
    ],
)
def test_impossible_sittings_are_refused(sitting: tuple[int, int], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        accumulate([sitting])


def test_bad_rate_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^rate is 0, not strictly between"):
        accumulate(THREE, rate=0)


def test_block_of_29_without_a_miss() -> None:
    """Exact (own study)."""
    block = critical_block()

    assert block.n == 29
    assert block.by_family == {}
    assert block.risk == pytest.approx(0.047, abs=5e-4)
    assert block.risk_two_tries == pytest.approx(0.092, abs=5e-4)
    assert block.attentive == pytest.approx(0.865, abs=5e-4)
    assert block.attentive_two_tries == pytest.approx(0.982, abs=5e-4)


def test_eight_blocks_of_22_would_fail_most_attentive_people() -> None:
    """Why there is one block for all families (.41, own study)."""
    one = critical_block(0.10, 0.10)

    assert one.n == 22
    assert one.attentive**8 == pytest.approx(0.41, abs=5e-3)


@given(st.integers(1, 20), st.floats(0.02, 0.5), st.floats(0.01, 0.3))
def test_block_is_the_smallest_and_shared_evenly(k: int, p_bad: float, beta: float) -> None:
    block = critical_block(p_bad, beta, [f"family {i}" for i in range(k)])
    shares = list(block.by_family.values())

    assert block.risk <= beta * (1 + 1e-12)
    assert (1 - p_bad) ** (block.n - 1) > beta or block.n == 3 * k
    assert sum(shares) == block.n
    assert min(shares) >= 3
    assert max(shares) - min(shares) <= 1


def test_bad_blocks_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^p_bad is 1, not strictly"):
        critical_block(1, 0.05)
    with pytest.raises(ValueError, match=r"^beta is 0, not strictly"):
        critical_block(0.1, 0)
    with pytest.raises(ValueError, match=r"^families holds 'crack' twice"):
        critical_block(families=["crack", "crack"])
