"""The short words of cells: they never run into the next cell."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certification.matrix.cells import WIDEST, fitting


@pytest.mark.parametrize(
    ("word", "shown"),
    [
        ("burn", "burn"),
        ("grieta", "grieta"),
        ("quemadura", "quema."),
        ("weld line", "weld."),
        ("RQ-03", "RQ-03"),
        ("", ""),
    ],
)
def test_words_of_the_trade(word: str, shown: str) -> None:
    assert fitting(word) == shown


@given(st.text(max_size=40))
def test_no_word_is_wider_than_a_cell(word: str) -> None:
    assert len(fitting(word)) <= WIDEST
