"""Checks of arguments: what passes, and that each refusal names argument and remedy."""

import math

import numpy as np
import pytest

from training.statistics import checks


def test_whole_number_takes_python_and_numpy_integers() -> None:
    assert checks.whole_number("n", 65) == 65
    assert checks.whole_number("n", np.int64(65), 1, 100) == 65


@pytest.mark.parametrize("value", [2.5, 2.0, "two", None, math.nan, True, np.True_])
def test_whole_number_refuses_what_is_not_one(value: object) -> None:
    with pytest.raises(ValueError, match=r"^n is .*; give a whole number, 0 or more\.$"):
        checks.whole_number("n", value)  # type: ignore[arg-type]


@pytest.mark.parametrize("value", [-1, 11])
def test_whole_number_states_the_range(value: int) -> None:
    with pytest.raises(ValueError, match=rf"^x is {value}, outside 0 to 10; no more than n\.$"):
        checks.whole_number("x", value, 0, 10, remedy="no more than n")


@pytest.mark.parametrize("value", [0, 0.0, 1, 0.25, np.float32(0.5)])
def test_probability_takes_the_closed_interval(value: float) -> None:
    assert checks.probability("p", value) == pytest.approx(float(value))


@pytest.mark.parametrize("value", [-0.01, 1.01, math.nan, math.inf, "high", None])
def test_probability_refuses_others(value: object) -> None:
    with pytest.raises(ValueError, match=r"^p is .*; give a number from 0 to 1\.$"):
        checks.probability("p", value)  # type: ignore[arg-type]


@pytest.mark.parametrize("value", [0, 1])
def test_probability_with_open_ends_refuses_the_ends(value: float) -> None:
    with pytest.raises(ValueError, match=r"^beta is [01], not strictly between 0 and 1"):
        checks.probability("beta", value, open_ends=True)


@pytest.mark.parametrize(
    ("low", "high", "open_ends", "words"),
    [
        (0, math.inf, False, "of at least 0"),
        (0, math.inf, True, "above 0"),
        (-math.inf, -20, False, "of at most -20"),
        (-math.inf, -20, True, "below -20"),
    ],
)
def test_real_number_words_one_sided_ranges(
    low: float, high: float, open_ends: bool, words: str
) -> None:
    with pytest.raises(ValueError, match=rf"^x is -10, not {words}; give a number {words}\.$"):
        checks.real_number("x", -10, low, high, open_ends=open_ends)


def test_real_number_refuses_infinity_even_without_range() -> None:
    with pytest.raises(ValueError, match="give a number that is finite"):
        checks.real_number("x", math.inf)


def test_rising_names_both_arguments() -> None:
    checks.rising("p_ok", 0.02, "p_bad", 0.1)
    with pytest.raises(ValueError, match=r"p_ok is 0\.1 and p_bad is 0\.1; .*swap or change"):
        checks.rising("p_ok", 0.1, "p_bad", 0.1)


def test_one_of_lists_the_choices() -> None:
    assert checks.one_of("correction", "none", ["none", "log-linear"]) == "none"
    with pytest.raises(ValueError, match=r"choose one of log-linear, none\."):
        checks.one_of("correction", "half", ["none", "log-linear"])


def test_vector_keeps_order_and_copies() -> None:
    given = np.array([1.0, 2.0])
    clean = checks.vector("d", given, 2)
    clean[0] = 9

    assert given.tolist() == [1.0, 2.0]


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ([[1.0]], r"has 2 dimension\(s\)"),
        ([1.0, math.nan], "holds NaN or an infinity"),
        (["a"], "does not hold numbers only"),
        ([1.0, 2.0, 3.0], "holds 3 values; give 2"),
    ],
)
def test_vector_refuses(values: list[object], message: str) -> None:
    with pytest.raises(ValueError, match=rf"^d {message}"):
        checks.vector("d", values, 2)  # type: ignore[arg-type]


def test_vector01_names_the_place() -> None:
    assert checks.vector01("rejected", [True, 0, 1]).tolist() == [1, 0, 1]
    with pytest.raises(ValueError, match=r"^rejected, value 3, is 2; give 1 for right"):
        checks.vector01("rejected", [0, 1, 2])


def test_matrix01_ignores_cells_not_seen() -> None:
    seen = np.array([[True, False], [True, True]])

    assert checks.matrix01("answers", [[1, math.nan], [0, 1]], seen).tolist() == [[1, 0], [0, 1]]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ([1, 0], r"^answers has 1 dimension\(s\)"),
        ([[1, 0.5]], r"^answers, row 1, column 2, is 0\.5; give 1"),
        ([[math.nan, 0]], r"^answers, row 1, column 1, is nan"),
        ([["right"]], r"^answers is not a table of numbers"),
        ([[1, 0], [1]], r"^answers is not a table of numbers"),
    ],
)
def test_matrix01_refuses(values: list[object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        checks.matrix01("answers", values)  # type: ignore[arg-type]


def test_matrix01_wants_the_shape_of_seen() -> None:
    with pytest.raises(ValueError, match=r"^seen has shape \(2, 1\) and answers \(1, 2\)"):
        checks.matrix01("answers", [[1, 0]], np.ones((2, 1)))


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ([[1, -1]], "holds a negative count"),
        ([[1, 1.5]], "holds a fraction"),
        ([[1, math.nan]], "holds NaN"),
        ([1, 2], r"has 1 dimension\(s\)"),
    ],
)
def test_count_table_refuses(values: list[object], message: str) -> None:
    with pytest.raises(ValueError, match=rf"^counts {message}"):
        checks.count_table("counts", values)  # type: ignore[arg-type]


def test_count_table_returns_integers() -> None:
    assert checks.count_table("counts", [[14, 0]]).dtype == np.int64


def test_same_length_lists_each_length() -> None:
    checks.same_length(["d", "rejected"], [3, 3])
    with pytest.raises(ValueError, match=r"\(d 3, rejected 2\); give one value for each"):
        checks.same_length(["d", "rejected"], [3, 2])
