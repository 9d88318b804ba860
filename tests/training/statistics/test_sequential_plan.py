"""Sequential plans: exact risks, least judgements, and sittings with fillers."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.training.statistics.random_designs import random_designs
from training.statistics.optimal_stopping import Hypotheses, batch_characteristic, best_tables
from training.statistics.sampling_plan import (
    Decision,
    DecisionTable,
    acceptance_probability,
    curtail,
    design_plan,
)
from training.statistics.sequential_plan import (
    design_sequential,
    expected_sitting,
    judgements_quantile,
    operating_characteristic,
    stopping_probabilities,
)
from training.statistics.wald import wald_lines, wald_table

TABLES = [
    curtail(7, 2),
    wald_table(wald_lines(0.1, 0.4, 0.1, 0.1), 12, 3),
    design_sequential(0.1, 0.45, 0.1, 0.1),
]
rates = st.floats(0, 1)
tables = st.sampled_from(TABLES)


def by_every_path(table: DecisionTable, p: float) -> tuple[float, float]:
    """Play every sequence of answers through ``decide``."""
    passing = mean = 0.0
    for path in product((0, 1), repeat=table.cap):
        chance = p ** sum(path) * (1 - p) ** (table.cap - sum(path))
        errors = 0
        for n, wrong in enumerate(path, 1):
            errors += wrong
            decision = table.decide(errors, n)
            if decision is not Decision.CONTINUE:
                break
        passing += chance * (decision is Decision.ACCEPT)
        mean += chance * n
    return passing, mean


@pytest.mark.parametrize("table", TABLES[:2])
@pytest.mark.parametrize("p", [0.0, 0.07, 0.3, 0.8, 1.0])
def test_characteristic_equals_the_sum_over_every_path(table: DecisionTable, p: float) -> None:
    assert operating_characteristic(table, p) == pytest.approx(by_every_path(table, p), abs=1e-12)


@given(n=st.integers(1, 90), share=st.floats(0, 1), p=rates)
def test_curtailed_plan_passes_exactly_as_often_as_the_fixed_one(
    n: int, share: float, p: float
) -> None:
    c = int(share * (n - 1))
    point = operating_characteristic(curtail(n, c), p)

    assert point.p_accept == pytest.approx(acceptance_probability(n, c, p), abs=1e-12)
    assert min(c + 1, n - c) - 1e-9 <= point.expected_n <= n + 1e-9


@given(table=tables, p=rates)
def test_chances_of_stopping_add_up_to_one(table: DecisionTable, p: float) -> None:
    accepted, rejected = stopping_probabilities(table, p)

    assert accepted.min() >= 0
    assert rejected.min() >= 0
    assert accepted.sum() + rejected.sum() == pytest.approx(1)


@given(table=tables, p=rates)
def test_swapping_accept_and_reject_mirrors_the_characteristic(
    table: DecisionTable, p: float
) -> None:
    """Counting right answers instead of errors turns passing into failing."""
    span = range(table.cap + 1)
    mirrored = DecisionTable(
        accept=tuple(max(-1, n - table.reject[n]) for n in span),
        reject=tuple(n - table.accept[n] for n in span),
    )
    ahead, mirror = (
        operating_characteristic(table, p),
        operating_characteristic(mirrored, 1 - p),
    )

    assert mirror.p_accept == pytest.approx(1 - ahead.p_accept, abs=1e-12)
    assert mirror.expected_n == pytest.approx(ahead.expected_n, abs=1e-9)


@given(table=tables, p=st.floats(0, 0.99))
def test_a_higher_error_rate_never_passes_more_often(table: DecisionTable, p: float) -> None:
    lower, higher = (operating_characteristic(table, x).p_accept for x in (p, p + 0.01))

    assert higher <= lower + 1e-12


def test_critical_default_needs_fewer_judgements_than_asked() -> None:
    """Asked: at most 40.1 at 2 % and 31.8 at 10 % on one side."""
    table = design_sequential(0.02, 0.10, 0.05, 0.10)
    assert table.alpha is not None
    assert table.beta is not None
    assert table.expected_ok is not None
    assert table.expected_bad is not None
    print(
        f"2 %/10 %: cap {table.cap}, c {table.c}, exact risks {table.alpha:.5f} and "
        f"{table.beta:.5f}, judgements {table.expected_ok:.3f} and {table.expected_bad:.3f}"
    )

    assert table.expected_ok <= 40.1
    assert table.expected_bad <= 31.8
    assert table.alpha <= 0.05
    assert table.beta <= 0.10


# Mean of the expected numbers of the study's cut-off Wald tables, at the same risks.
STUDY_MEANS = [
    (0.02, 0.10, 0.05, 0.05, (53.4 + 36.8) / 2),
    (0.02, 0.10, 0.05, 0.10, (40.1 + 31.7) / 2),
    (0.02, 0.10, 0.10, 0.10, (37.3 + 23.7) / 2),
    (0.02, 0.15, 0.05, 0.10, (21.2 + 14.7) / 2),
    (0.05, 0.15, 0.05, 0.10, (40.4 + 36.1) / 2),
    (0.05, 0.20, 0.05, 0.05, (29.6 + 21.6) / 2),
    (0.05, 0.20, 0.05, 0.10, (22.4 + 18.7) / 2),
    (0.05, 0.20, 0.10, 0.10, (19.4 + 14.1) / 2),
    (0.10, 0.30, 0.05, 0.10, (17.8 + 17.7) / 2),
]


@pytest.mark.parametrize(("p_ok", "p_bad", "alpha", "beta", "study"), STUDY_MEANS)
def test_search_beats_the_cut_off_wald_tables(
    p_ok: float, p_bad: float, alpha: float, beta: float, study: float
) -> None:
    table = design_sequential(p_ok, p_bad, alpha, beta)
    means = [operating_characteristic(table, p).expected_n for p in (p_ok, p_bad)]

    assert sum(means) / 2 < study - 0.2


def keeps_promises(design: tuple[float, float, float, float]) -> None:
    """Check one designed table against what the design asks."""
    p_ok, p_bad, alpha, beta = design
    table, fixed = design_sequential(*design), design_plan(*design)
    at_ok, at_bad = (operating_characteristic(table, p) for p in (p_ok, p_bad))
    curtailed = curtail(fixed.n, fixed.c)
    longer = [operating_characteristic(curtailed, p).expected_n for p in (p_ok, p_bad)]

    assert 1 - at_ok.p_accept <= alpha
    assert at_bad.p_accept <= beta
    assert table.alpha == pytest.approx(1 - at_ok.p_accept, abs=1e-12)
    assert table.beta == pytest.approx(at_bad.p_accept, abs=1e-12)
    assert table.expected_ok == pytest.approx(at_ok.expected_n)
    assert table.expected_bad == pytest.approx(at_bad.expected_n)
    assert table.cap <= 1.5 * fixed.n
    assert at_ok.expected_n + at_bad.expected_n <= sum(longer) + 1e-9
    assert list(table.accept) == sorted(table.accept)


def test_25_random_designs_keep_both_risks_exactly() -> None:
    """500 of them: tests/simulations/sequential_designs.py with its kept output."""
    for design in random_designs(25, seed=97):
        keeps_promises(design)


@pytest.mark.parametrize(
    "design",
    [
        (0.001, 0.5, 0.05, 0.10),
        (0.01, 0.99, 0.05, 0.10),
        (0.4, 0.6, 0.2, 0.2),
        (0.3, 0.999, 0.35, 0.35),
        (1e-6, 0.9, 0.001, 0.001),
    ],
)
def test_extreme_designs_keep_both_risks(design: tuple[float, float, float, float]) -> None:
    keeps_promises(design)


def test_the_second_design_is_the_same_object() -> None:
    assert design_sequential(0.02, 0.10, 0.05, 0.10) is design_sequential(0.02, 0.10, 0.05, 0.10)


def cost(table: DecisionTable, rates_: Hypotheses, fail: float, passing: float) -> float:
    ok, bad = (operating_characteristic(table, p) for p in (rates_.p_ok, rates_.p_bad))
    errors = fail * (1 - ok.p_accept) + passing * bad.p_accept
    return errors + (ok.expected_n + bad.expected_n) / 2


@settings(max_examples=40)
@given(
    fail=st.floats(5, 400),
    passing=st.floats(5, 400),
    cap=st.integers(3, 30),
    nominal=st.tuples(st.floats(0.01, 0.3), st.floats(0.01, 0.3)),
    share=st.floats(0, 0.5),
)
def test_backward_induction_is_never_beaten_by_another_table(
    fail: float, passing: float, cap: int, nominal: tuple[float, float], share: float
) -> None:
    rates_ = Hypotheses(0.05, 0.20)
    batch = best_tables(rates_, np.array([fail]), np.array([passing]), cap, cap)
    best = (
        DecisionTable(tuple(batch.accept[:, 0].tolist()), tuple(batch.reject[:, 0].tolist()))
        if batch.accept[-1, 0] >= 0
        else None
    )
    rival = wald_table(wald_lines(0.05, 0.20, *nominal), cap, int(share * (cap - 1)))
    if best is not None:
        assert cost(best, rates_, fail, passing) <= cost(rival, rates_, fail, passing) + 1e-9


def test_many_tables_at_once_give_the_figures_of_each() -> None:
    batch = best_tables(
        Hypotheses(0.05, 0.20), np.array([40.0, 200.0]), np.array([60.0, 90.0]), 40, 20
    )
    passing, mean = batch_characteristic(batch, 0.11)
    for i in (0, 1):
        table = DecisionTable(
            tuple(batch.accept[:, i].tolist()), tuple(batch.reject[:, i].tolist())
        )
        assert operating_characteristic(table, 0.11) == pytest.approx((passing[i], mean[i]))


@given(table=tables, p=rates, q=st.floats(0.01, 1))
def test_quantile_is_the_first_judgement_that_reaches_the_share(
    table: DecisionTable, p: float, q: float
) -> None:
    accepted, rejected = stopping_probabilities(table, p)
    decided = np.cumsum(accepted + rejected)
    n = judgements_quantile(table, p, q)

    assert decided[n] >= q - 1e-9
    assert decided[n - 1] < q
    assert 1 <= n <= table.cap


@pytest.mark.parametrize("stop_when_failed", [True, False])
@pytest.mark.parametrize(("p_miss", "p_false"), [(0.02, 0.05), (0.3, 0.1), (0.0, 0.6)])
def test_sitting_with_fillers_agrees_with_simulation(
    p_miss: float, p_false: float, stop_when_failed: bool
) -> None:
    """4,000 sittings played specimen by specimen; bound 4.5 standard errors."""
    sides, sittings = (TABLES[2], curtail(20, 3)), 4_000
    rng = np.random.default_rng([7, round(100 * p_miss), round(100 * p_false)])
    scored, total = [], []
    for _ in range(sittings):
        errors, counts, state = [0, 0], [0, 0], [Decision.CONTINUE] * 2
        shown = 0
        while Decision.CONTINUE in state and not (stop_when_failed and Decision.REJECT in state):
            shown += 1
            side = int(rng.random() < 0.5)
            wrong = int(rng.random() < (p_miss, p_false)[side])
            if state[side] is Decision.CONTINUE:
                counts[side] += 1
                errors[side] += wrong
                state[side] = sides[side].decide(errors[side], counts[side])
        scored.append(sum(counts))
        total.append(shown)
    length = expected_sitting(
        sides[0], p_miss, sides[1], p_false, stop_when_failed=stop_when_failed
    )

    for played, exact in ((scored, length.scored), (total, length.total)):
        assert abs(np.mean(played) - exact) < 4.5 * np.std(played) / np.sqrt(sittings)


# Share of the population, miss rate, false-reject rate (3 in 10 good parts carry no
# blemish and are never in doubt), chance to pass and scored judgements in the study.
POPULATION = [
    (0.6, 0.008, 0.0056, 0.996, 62.9),
    (0.2, 0.020, 0.0140, 0.921, 76.1),
    (0.1, 0.045, 0.0315, 0.528, 87.8),
]


def test_whole_test_agrees_with_the_simulated_study() -> None:
    """Simulated with 2,000 operators a row: bounds .02 and 2 judgements."""
    table = wald_table(wald_lines(0.02, 0.10, 0.06, 0.10), 97, 4)
    for _, p_miss, p_false, passes, judgements in POPULATION:
        chance = (
            operating_characteristic(table, p_miss).p_accept
            * operating_characteristic(table, p_false).p_accept
        )
        length = expected_sitting(table, p_miss, table, p_false)

        assert chance == pytest.approx(passes, abs=0.02)
        assert length.scored == pytest.approx(judgements, abs=2)


def test_fillers_cost_what_the_study_says() -> None:
    """Population mean 79.2 with fillers, 61 % of the fixed plan's 130 (own study)."""
    table = wald_table(wald_lines(0.02, 0.10, 0.06, 0.10), 97, 4)
    bad = [(0.025, 0.10, 0.07), (0.025, 0.10, 0.02), (0.025, 0.10, 0.07), (0.025, 0.02, 0.10)]
    rows = [row[:3] for row in POPULATION] + bad
    mean = sum(share * expected_sitting(table, m, table, f).total for share, m, f in rows)

    assert mean == pytest.approx(79.2, abs=1)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.1, 0.02, 0.05, 0.1), r"^p_ok is 0\.1 and p_bad is 0\.02; "),
        ((0.02, 0.1, 0.6, 0.5), r"together they must stay below 1"),
        ((0.01, 0.02, 0.05, 0.10), r"needs 1235 specimens, more than 1000; widen the gap"),
        ((0.02, float("nan"), 0.05, 0.10), r"^p_bad is nan"),
    ],
)
def test_bad_designs_are_refused(
    arguments: tuple[float, float, float, float], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        design_sequential(*arguments)


def test_bad_rates_and_shares_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^p is 1\.1"):
        operating_characteristic(TABLES[0], 1.1)
    with pytest.raises(ValueError, match=r"^q is 0; give a share"):
        judgements_quantile(TABLES[0], 0.1, 0)
    with pytest.raises(ValueError, match=r"^q is 1\.5"):
        judgements_quantile(TABLES[0], 0.1, 1.5)
