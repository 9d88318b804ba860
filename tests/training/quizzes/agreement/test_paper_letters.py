"""Names from all of Europe stand on a study's sheet as they are written: its letters are in the PDF."""

import re
import zlib
from collections.abc import Callable

import fontpkg
import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from tests.training.quizzes.agreement.test_study_pages import loaded
from training.people.models import Person
from training.quizzes.agreement.letters import FAMILY, load_letters, writable
from training.quizzes.agreement.paper import escape
from training.quizzes.models import AgreementStudy

__all__ = ["loaded"]
EUROPE = "Núria Peña-Übel, Zoë · Łukasz Őz · Živa Đukić · Şükrü Işık · Ștefan · Иван Ћирић · Ελένη"


@pytest.mark.parametrize(
    ("name", "written"),
    [
        (EUROPE, EUROPE),
        ("e\u0301 and r\u030c", "é and ř"),
        ("x\u0331", "x"),
        ("李", "?"),
        ("20 of 24, 63 to 95\u00a0% – “so”", "20 of 24, 63 to 95\u00a0% – “so”"),
        ("two\nlines", "two lines"),
    ],
)
def test_letters_stay_and_what_the_sheet_lacks_becomes_the_nearest(name: str, written: str) -> None:
    assert writable(name) == written


@given(st.text())
def test_whatever_is_given_can_be_written(text: str) -> None:
    written = writable(text)
    assert {ord(each) for each in written} <= load_letters()
    assert writable(written) == written


def test_marks_of_the_paragraph_language_are_text() -> None:
    assert escape("<b>A & B</b>") == "&lt;b&gt;A &amp; B&lt;/b&gt;"


def test_the_letters_may_be_given_away() -> None:
    assert fontpkg.family(FAMILY).license == "OFL-1.1"


@pytest.mark.django_db
@pytest.mark.usefixtures("clock")
def test_the_sheet_carries_the_letters_of_a_name_and_stays_small(
    loaded: AgreementStudy, office: Callable[[Person], Client], quality: Person
) -> None:
    quality.name = "Łukasz Ћирић, Ελένη"
    quality.save()
    address = reverse("quizzes:study_pdf", args=[loaded.pk])
    sheet = office(quality).get(address).content
    assert set(quality.name) <= letters_of(sheet)
    assert len(sheet) < 100_000


def letters_of(sheet: bytes) -> set[str]:
    """Return what the maps from the sheet's own codes to letters name."""
    found: set[str] = set()
    for packed in re.findall(rb"stream\r?\n(.*?)endstream", sheet, re.DOTALL):
        try:
            text = zlib.decompress(packed)
        except zlib.error:
            # A page's own marks are packed otherwise.
            continue
        if b"beginbfrange" in text or b"beginbfchar" in text:
            found |= {chr(int(each, 16)) for each in re.findall(rb"<([0-9A-Fa-f]{4})>", text)}
    return found
