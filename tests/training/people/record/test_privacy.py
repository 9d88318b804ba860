"""Words about people can be erased and the chain still holds; altered words are found out."""

import pytest

from tests.training.people.record.make import NOW, make
from training.people.models import ErasableText, VisionCheck
from training.people.record.canonical import canonical_form
from training.people.record.chain import erase
from training.people.record.verify import verify

pytestmark = pytest.mark.django_db


def test_erasing_a_text_leaves_the_chain_whole() -> None:
    check = make(VisionCheck)
    erase(check.result, by_id=check.person_id, because="asked to be forgotten", moment=NOW)
    text = ErasableText.objects.get(pk=check.result_id)
    assert (text.text, text.salt) == ("", "")
    assert verify().breaks == ()


def test_an_altered_text_is_found_out() -> None:
    check = make(VisionCheck)
    ErasableText.objects.filter(pk=check.result_id).update(text="meets_with_glasses")
    assert "not the text committed to" in str(verify().breaks[0])


def test_no_personal_word_is_hashed_in_clear() -> None:
    check = make(VisionCheck)
    form = canonical_form("people.visioncheck", check.chained_values())
    assert b"words about somebody" not in form
    assert check.person.name.encode() not in form


def test_the_same_text_is_committed_to_differently_each_time() -> None:
    first, second = make(VisionCheck), make(VisionCheck)
    assert first.result.text == second.result.text
    assert first.result_id != second.result_id
