"""Names from everywhere can be read on a study's sheet, whose fonts write Western European letters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.agreement.paper import escape, writable


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("Núria Peña-Übel, Zoë", "Núria Peña-Übel, Zoë"),
        ("Łukasz Őz", "Lukasz Oz"),
        ("Živa Đukić", "Živa Dukic"),
        ("e\u0301 and r\u030c", "é and r"),
        ("李", "?"),
        ("20 of 24, 63 to 95\u00a0% – “so”", "20 of 24, 63 to 95\u00a0% – “so”"),
    ],
)
def test_letters_the_fonts_lack_become_the_nearest(name: str, written: str) -> None:
    assert writable(name) == written


@given(st.text())
def test_whatever_is_given_can_be_written(text: str) -> None:
    assert writable(text).encode("cp1252").decode("cp1252") == writable(text)


def test_marks_of_the_paragraph_language_are_text() -> None:
    assert escape("<b>A & B</b>") == "&lt;b&gt;A &amp; B&lt;/b&gt;"
