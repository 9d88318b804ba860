"""Panels: which verdicts settle a specimen, and how often the key is wrong."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr

from training.statistics.checks import BoolArray
from training.statistics.panel import PanelReason, Verdict, may_examine, settle
from training.statistics.sampling_plan import Decision

A, R = "accept", "reject"
said = st.sampled_from([A, R])
panels = st.dictionaries(
    st.sampled_from("abcdef"), st.lists(said, min_size=1, max_size=3), max_size=6
)


def panel(*experts: list[str]) -> dict[str, list[str]]:
    return {f"expert {i}": each for i, each in enumerate(experts)}


@pytest.mark.parametrize(
    ("experts", "settled", "reason"),
    [
        ([[R, R]] * 3, True, PanelReason.THREE_TWICE),
        ([[R, R]] * 2 + [[R]], False, PanelReason.MORE_WANTED),
        ([[R, R]] * 2 + [[R, A]], False, PanelReason.FOURTH_WANTED),
        ([[R, R]] * 4, True, PanelReason.THREE_TWICE),
        ([[R, R]] * 3 + [[R, A]], True, PanelReason.FOUR_TWICE),
        ([[R, R]] * 3 + [[A, A]], False, PanelReason.DISAGREE),
        ([[R, R]] * 3 + [[R], [A]], False, PanelReason.FOURTH_WANTED),
        ([[A]] * 5, True, PanelReason.FIVE_ONCE),
        ([[A]] * 4, False, PanelReason.MORE_WANTED),
        ([[A]] * 4 + [[R]], False, PanelReason.FOURTH_WANTED),
        ([[A]] * 4 + [[A, R]], False, PanelReason.FOURTH_WANTED),
        ([], False, PanelReason.NO_VERDICT),
        ([[A, R]], False, PanelReason.FOURTH_WANTED),
        ([[A, R], [R, A]], False, PanelReason.DISAGREE),
    ],
)
def test_rules(experts: list[list[str]], settled: bool, reason: PanelReason) -> None:
    result = settle(panel(*experts))

    assert (result.settled, result.reason) == (settled, reason)
    assert (result.wrong_key_risk is not None) == settled


def test_result_counts_what_was_said() -> None:
    result = settle(panel([R, R], [R, R], [R, R], [R, A]))

    assert (result.decision, result.dissent) == (Decision.REJECT, 1)
    assert (result.verdicts, result.experts) == (8, 4)
    assert not result.still_open


def test_one_dissent_leaves_it_open_and_two_do_not() -> None:
    assert settle(panel([R, R], [R, R], [R, A])).still_open
    assert not settle(panel([R, R], [R, A], [R, A])).still_open


@pytest.mark.parametrize("experts", [[], [[A], [R]], [[A, R]]])
def test_a_tie_decides_nothing(experts: list[list[str]]) -> None:
    assert settle(panel(*experts)).decision is None


def test_a_repeat_on_the_same_day_is_memory() -> None:
    day = date(2026, 3, 2)
    once = [Verdict(expert, R, day) for expert in "abc"]
    same_day = settle(once + [Verdict(expert, R, day) for expert in "abc"])
    next_day = settle(once + [Verdict(expert, R, day + timedelta(days=1)) for expert in "abc"])

    assert not same_day.settled
    assert same_day.verdicts == 3
    assert next_day.settled


@given(panels)
def test_swapping_accept_and_reject_swaps_only_the_decision(each: dict[str, list[str]]) -> None:
    swapped = {expert: [A if x == R else R for x in said] for expert, said in each.items()}
    ahead, mirror = settle(each), settle(swapped)

    assert (mirror.settled, mirror.reason, mirror.dissent) == (
        ahead.settled,
        ahead.reason,
        ahead.dissent,
    )
    if ahead.decision is not None:
        assert mirror.decision != ahead.decision


@given(panels, st.randoms())
def test_order_does_not_matter(each: dict[str, list[str]], rng: object) -> None:
    listed = [Verdict(expert, x) for expert, said in each.items() for x in said]

    assert settle(listed) == settle(listed[::-1]) == settle(each)


@given(panels)
def test_settled_never_with_two_dissents_nor_few_verdicts(each: dict[str, list[str]]) -> None:
    result = settle(each)
    if result.settled:
        assert result.dissent <= 1
        assert result.verdicts >= 5
        assert result.decision is not None


@given(panels)
def test_one_more_agreeing_expert_never_unsettles(each: dict[str, list[str]]) -> None:
    before = settle(each)
    if before.settled and before.decision is not None:
        more = {**each, "newcomer": [before.decision.value] * 2}
        assert settle(more).settled


@pytest.mark.parametrize(
    ("ratio", "allowed"), [(None, True), (1.06, True), (1.04, False), (0.96, False), (0.94, True)]
)
def test_near_the_limit_a_specimen_examines_nobody(ratio: float | None, allowed: bool) -> None:
    assert may_examine(settle(panel(*[[A]] * 5)), ratio) == allowed


def test_unsettled_specimens_examine_nobody() -> None:
    assert not may_examine(settle(panel([A], [R])), 2.0)


@pytest.mark.parametrize("ratio", [0.0, -1.0, float("nan")])
def test_bad_ratio_is_refused(ratio: float) -> None:
    with pytest.raises(ValueError, match=r"^severity_ratio is .*; give a number above 0"):
        may_examine(settle({}), ratio)


def test_bad_verdicts_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^decision is 'maybe'; choose one of accept, reject"):
        settle({"a": ["maybe"]})
    with pytest.raises(ValueError, match=r"^A verdict has no expert"):
        settle([Verdict("", A)])
    with pytest.raises(ValueError, match=r"^verdicts must hold Verdict objects"):
        settle([[A, A]])  # type: ignore[list-item]


def judged(
    rng: np.random.Generator, experts: int, repeats: int, specimens: int, shared: float = 0.0
) -> tuple[BoolArray, BoolArray]:
    """Verdicts (specimen, expert, repeat) of the study's experts, True for reject, and the truth.

    Bias sd .08, noise .10 on log severity / limit, lapses 2 %, a bias all share.
    """
    distance = rng.gamma(1.5, 0.2, specimens) * rng.choice([-1, 1], specimens)
    bias = rng.normal(0, 0.08, (specimens, experts, 1)) + rng.normal(0, shared, (specimens, 1, 1))
    chance = 0.01 + 0.98 * ndtr((distance[:, None, None] - bias) / 0.10)
    return rng.random((specimens, experts, repeats)) < chance, distance > 0


@pytest.mark.parametrize(
    ("experts", "repeats", "settled", "wrong"),
    [(3, 2, 0.64, 0.0018), (4, 2, 0.77, 0.0019), (5, 1, 0.66, 0.0014)],
)
def test_simulated_panels_settle_as_often_and_as_safely_as_in_the_study(
    experts: int, repeats: int, settled: float, wrong: float
) -> None:
    """4,000 specimens: settled within .03, at most .5 % wrong keys among them."""
    rejects, truth = judged(np.random.default_rng([7, experts]), experts, repeats, 4_000)
    results = [
        settle({str(i): [R if x else A for x in each] for i, each in enumerate(specimen)})
        for specimen in rejects
    ]
    done = np.array([result.settled for result in results])
    key = np.array([result.decision == Decision.REJECT for result in results])

    assert done.mean() == pytest.approx(settled, abs=0.03)
    assert (key != truth)[done].mean() < max(0.005, wrong)
