"""Every standing is a word, then a shape, then a colour, and none can be taken for another."""

import re
from itertools import combinations

import pytest
from django.template import Context, Template
from django.template.loader import get_template
from django.utils.translation import override

from certification.site.shapes import ACTIONS, SETS, STATUSES, Sign, sign_of

# One shape may say yes in two sets and no in two: the answers use the shapes of go and stop.
SAME_ON_PURPOSE = {frozenset({"s-go", "s-accept"}), frozenset({"s-stop", "s-reject"})}


def sprite() -> dict[str, str]:
    markup = get_template("partials/shapes.html").render()
    return dict(re.findall(r'<symbol id="([^"]+)"[^>]*>(.*?)</symbol>', markup))


def words(language: str) -> list[str]:
    with override(language):
        return [str(sign.word) for sign in (*STATUSES.values(), *ACTIONS.values())]


@pytest.mark.parametrize("name", SETS)
def test_signs_of_a_set_differ_in_shape(name: str) -> None:
    shapes = [sign.shape for sign in SETS[name].values()]

    assert len(set(shapes)) == len(shapes)


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_sign_has_a_word_of_its_own(language: str) -> None:
    spoken = words(language)

    assert len({word.casefold() for word in spoken}) == len(spoken)


def test_every_word_is_translated() -> None:
    untranslated = [
        english
        for english, spanish in zip(words("en"), words("es"), strict=True)
        if english == spanish
    ]

    assert untranslated == ["No"]


def test_every_shape_is_in_the_sprite() -> None:
    drawn = sprite()

    assert {sign.shape for sign in (*STATUSES.values(), *ACTIONS.values())} <= drawn.keys()


def test_no_two_symbols_are_drawn_alike() -> None:
    alike = {
        frozenset({one, other})
        for (one, path), (other, twin) in combinations(sprite().items(), 2)
        if path == twin
    }

    assert alike == SAME_ON_PURPOSE


def test_accept_and_reject_weigh_the_same() -> None:
    """Neither answer is blacker than the other: the areas differ by less than two per cent."""
    drawn = sprite()
    accept, reject = (_area(drawn[f"s-{answer}"]) for answer in ("accept", "reject"))

    assert abs(accept - reject) / accept < 0.02


def test_a_key_without_a_sign_is_refused_with_the_keys_there_are() -> None:
    with pytest.raises(KeyError, match=r"No sign is called 'green'; there are in_date, due_soon"):
        sign_of("green")


def test_status_says_the_word_after_the_shape() -> None:
    markup = Template('{% load look %}{% status "lapsed" %}').render(Context())

    assert (
        markup
        == '<span class="st st-stop"><svg aria-hidden="true"><use href="#s-lapsed"/></svg>Lapsed</span>'
    )


def test_status_escapes_the_word_it_is_given() -> None:
    markup = Template('{% load look %}{% status "due_soon" word=word large=True %}').render(
        Context({"word": "<b>"})
    )

    assert 'class="st st-due st-l"' in markup
    assert markup.endswith("&lt;b&gt;</span>")


def test_status_takes_a_choice_of_a_model() -> None:
    class Choice:
        value = "suspended"

    assert sign_of(Choice()) == STATUSES["suspended"]
    assert isinstance(sign_of(Choice()), Sign)


def _area(markup: str) -> float:
    """Area of the closed rectangles of a symbol whose paths use M, h, v and H only."""
    total = 0.0
    for ring in re.findall(r"M[^zM]*z", markup):
        x, y = map(float, re.findall(r"M(-?[\d.]+)[ ,](-?[\d.]+)", ring)[0])
        width = float(re.findall(r"h(-?[\d.]+)", ring)[0])
        height = float(re.findall(r"v(-?[\d.]+)", ring)[0])
        assert x >= 0
        assert y >= 0
        total += abs(width * height)
    return total
