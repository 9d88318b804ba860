"""Wald's test: the handbook's rule, the study's cut-off tables, and refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.statistics.sampling_plan import DecisionTable, curtail
from training.statistics.sequential_plan import operating_characteristic
from training.statistics.wald import wald_lines, wald_table


def cut_off(
    p_ok: float, p_bad: float, alpha: float, beta: float, cap: int, c: int
) -> DecisionTable:
    return wald_table(wald_lines(p_ok, p_bad, alpha, beta), cap, c)


def test_rule_of_the_handbook_judgement_by_judgement() -> None:
    """NIST/SEMATECH 6.2.6 prints 0 and 3 at judgement 24; the rest recomputed."""
    table = cut_off(0.01, 0.10, 0.05, 0.10, cap=3000, c=119)
    numbers = [(table.accept[n], table.reject[n]) for n in range(50)]

    assert numbers[24] == (0, 3)
    assert set(numbers[2:20]) == {(-1, 2)}
    assert set(numbers[20:24]) == {(-1, 3)}
    assert set(numbers[24:46]) == {(0, 3)}
    assert set(numbers[46:49]) == {(0, 4)}
    assert numbers[49] == (1, 4)


# Study's cut-off tables: expected judgements at p_ok, sqrt(p_ok p_bad), p_bad, exact risks.
STUDY = [
    (0.02, 0.10, 0.05, 0.05, 133, 4 + 1, 53.4, 65.3, 36.8, 0.0465, 0.0482),
    (0.02, 0.10, 0.06, 0.10, 97, 4, 40.1, 48.2, 31.7, 0.0469, 0.0982),
    (0.02, 0.10, 0.15, 0.085, 78, 3, 37.3, 38.6, 23.7, 0.0931, 0.0900),
    (0.02, 0.15, 0.075, 0.085, 39, 2, 21.2, 23.1, 14.7, 0.0474, 0.0975),
    (0.05, 0.15, 0.06, 0.10, 115, 10, 40.4, 52.7, 36.1, 0.0474, 0.0986),
    (0.05, 0.20, 0.05, 0.05, 65, 6, 29.6, 36.3, 21.6, 0.0487, 0.0465),
    (0.05, 0.20, 0.06, 0.10, 49, 5, 22.4, 27.2, 18.7, 0.0460, 0.0998),
    (0.05, 0.20, 0.12, 0.10, 48, 4, 19.4, 21.4, 14.1, 0.0934, 0.0984),
    (0.10, 0.30, 0.0425, 0.10, 42, 7, 17.8, 23.3, 17.7, 0.0494, 0.0984),
]


@pytest.mark.parametrize("row", STUDY)
def test_exact_figures_of_the_study(row: tuple[float, ...]) -> None:
    p_ok, p_bad, nominal_alpha, nominal_beta, cap, c, ok, between, bad, alpha, beta = row
    table = cut_off(p_ok, p_bad, nominal_alpha, nominal_beta, int(cap), int(c))
    at_ok, at_bad = (operating_characteristic(table, p) for p in (p_ok, p_bad))

    assert at_ok.expected_n == pytest.approx(ok, abs=0.051)
    assert at_bad.expected_n == pytest.approx(bad, abs=0.051)
    middle = operating_characteristic(table, (p_ok * p_bad) ** 0.5)
    assert middle.expected_n == pytest.approx(between, abs=0.051)
    assert 1 - at_ok.p_accept == pytest.approx(alpha, abs=6e-5)
    assert at_bad.p_accept == pytest.approx(beta, abs=6e-5)


@pytest.mark.parametrize(
    ("p", "p_accept", "expected_n"),
    [
        (0.01, 0.99405, 33.254),
        (0.02, 0.95308, 40.070),
        (0.002**0.5, 0.63845, 48.206),
        (0.10, 0.09822, 31.718),
        (0.20, 0.00263, 13.208),
        (0.50, 0.0, 4.125),
    ],
)
def test_operating_characteristic_of_the_study_table(
    p: float, p_accept: float, expected_n: float
) -> None:
    """Exact (own study)."""
    point = operating_characteristic(cut_off(0.02, 0.10, 0.06, 0.10, 97, 4), p)

    assert point.p_accept == pytest.approx(p_accept, abs=6e-6)
    assert point.expected_n == pytest.approx(expected_n, abs=6e-4)


def test_boundaries_of_the_study_tables() -> None:
    """First judgement that passes with d errors, last that fails with d (own study)."""
    critical = cut_off(0.02, 0.10, 0.06, 0.10, 97, 4)
    ordinary = cut_off(0.05, 0.20, 0.06, 0.10, 49, 5)

    def passes(table: DecisionTable) -> list[int]:
        return [next(n for n, a in enumerate(table.accept) if a >= d) for d in range(table.c + 1)]

    def fails(table: DecisionTable) -> list[int]:
        return [max(n for n, r in enumerate(table.reject) if r <= d) for d in range(2, table.c + 2)]

    assert passes(critical) == [27, 47, 67, 87, 97]
    assert fails(critical) == [7, 27, 47, 97]
    assert passes(ordinary) == [14, 23, 32, 41, 48, 49]
    assert fails(ordinary) == [2, 11, 20, 29, 49]


@pytest.mark.parametrize(
    ("p_ok", "p_bad", "cap", "c", "beta"),
    [(0.02, 0.10, 65, 3, 0.1323), (0.05, 0.20, 38, 4, 0.1253)],
)
def test_cutting_off_at_the_fixed_number_breaks_beta(
    p_ok: float, p_bad: float, cap: int, c: int, beta: float
) -> None:
    """Why the cap is searched and the risks are exact (own study)."""
    table = cut_off(p_ok, p_bad, 0.05, 0.10, cap, c)

    assert operating_characteristic(table, p_bad).p_accept == pytest.approx(beta, abs=6e-5)


def test_20_000_simulated_sides_agree() -> None:
    """Seed 1 of the study: accepted .9508, mean 40.00."""
    table = cut_off(0.02, 0.10, 0.06, 0.10, 97, 4)
    errors = (np.random.default_rng(1).random((20_000, 97)) < 0.02).cumsum(axis=1)
    accepts, rejects = errors <= table.accept[1:], errors >= table.reject[1:]
    first_accept = np.where(accepts.any(axis=1), accepts.argmax(axis=1), 999)
    first_reject = np.where(rejects.any(axis=1), rejects.argmax(axis=1), 999)
    judged = np.minimum(first_accept, first_reject) + 1

    assert (first_accept < first_reject).mean() == pytest.approx(0.9508, abs=5e-5)
    assert judged.mean() == pytest.approx(40.00, abs=5e-3)


def test_curtailed_fixed_plans_save_what_the_study_says() -> None:
    """Exact (own study): 62.6, 58.2 and 38.5 of 65; 35.5, 34.1 and 24.2 of 38."""
    for n, c, rates, means in (
        (65, 3, (0.02, 0.002**0.5, 0.10), (62.6, 58.2, 38.5)),
        (38, 4, (0.05, 0.10, 0.20), (35.5, 34.1, 24.2)),
    ):
        for p, mean in zip(rates, means, strict=True):
            expected = operating_characteristic(curtail(n, c), p).expected_n
            assert expected == pytest.approx(mean, abs=0.051)


@given(st.floats(0.01, 0.2), st.floats(0.01, 0.2), st.integers(10, 150), st.floats(0, 0.5))
def test_numbers_never_fall_and_the_end_is_decided(
    alpha: float, beta: float, cap: int, share: float
) -> None:
    table = cut_off(0.03, 0.12, alpha, beta, cap, int(share * (cap - 1)))

    assert list(table.accept) == sorted(table.accept)
    assert list(table.reject) == sorted(table.reject)


@pytest.mark.parametrize(("cap", "c"), [(0, 0), (10, 10), (10, -1), (9.5, 1)])
def test_bad_cut_offs_are_refused(cap: int, c: int) -> None:
    with pytest.raises(ValueError, match=r"^(cap|c) is "):
        wald_table(wald_lines(0.02, 0.1, 0.05, 0.1), cap, c)


def test_bad_risks_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^p_ok is 0\.2 and p_bad is 0\.1; "):
        wald_lines(0.2, 0.1, 0.05, 0.1)
