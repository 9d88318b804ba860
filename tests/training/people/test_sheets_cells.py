"""Cells on their way out: none is run as a formula, all others leave as they are."""

import pytest

from training.people.sheets.cells import harmless


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_what_begins_like_a_formula_is_text(cell: str) -> None:
    assert harmless(cell) == f"'{cell}"


@pytest.mark.parametrize("cell", ["", "N-0001", "2 = 2", "Łukasz", "'quoted"])
def test_anything_else_leaves_as_it_is(cell: str) -> None:
    assert harmless(cell) == cell
