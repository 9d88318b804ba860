"""Ladders, contrast pairs and look-alikes."""

from dataclasses import replace

import pytest

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.kinds import Hand
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.plans import make_plan
from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.series import (
    LOOK_ALIKES,
    contrast_pair,
    look_alike_pair,
    parts_for_pair,
    severity_ladder,
)
from tests.media_demo.pictures.near import near_shot

CRACK = SpecimenRequest("hinge_cover", "white", 8, hand="left", family="crack", severity=5)


def test_a_ladder_differs_in_severity_alone() -> None:
    clean, *marked = severity_ladder(CRACK)
    assert [step.severity for step in marked] == list(FAMILIES["crack"].ladder)
    assert clean.family is None
    plans = [make_plan(step) for step in (clean, *marked)]
    assert len({plan.nuisance for plan in plans}) == 1
    assert len({plan.site for plan in plans}) == 1
    assert {replace(step, severity=None) for step in marked} == {replace(CRACK, severity=None)}


def test_a_worse_mark_grows_from_the_lesser_one() -> None:
    """Each step of a ladder holds the one before: the mark itself is the same mark."""
    small, large = (near_shot(step) for step in severity_ladder(CRACK, (3, 9))[1:])
    assert small.mark
    assert large.mark
    xs = [x for polygon in large.look.regions for x, _ in polygon]
    first = [x for polygon in small.look.regions for x, _ in polygon]
    assert min(xs) <= min(first) + 3
    assert max(xs) >= max(first) - 3


def test_a_contrast_pair_straddles_the_limit() -> None:
    good, bad = contrast_pair(CRACK, 4.0)
    assert good.severity == pytest.approx(3.2)
    assert bad.severity == pytest.approx(5.2)
    assert replace(good, severity=1) == replace(bad, severity=1)


@pytest.mark.parametrize("pair", LOOK_ALIKES)
def test_look_alikes_can_be_shown_beside_each_other(pair: tuple[str, str]) -> None:
    slug = parts_for_pair(pair)[0]
    hand: Hand | None = "left" if KINDS[slug].handed else None
    first, second = look_alike_pair(pair, slug, "white", 3, hand=hand)
    plans = make_plan(first), make_plan(second)
    assert plans[0].nuisance == plans[1].nuisance
    assert plans[0].side is plans[1].side
    assert (first.family, second.family) == pair


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: severity_ladder(replace(CRACK, family=None)), "not a family"),
        (lambda: severity_ladder(CRACK, (0, 1)), "above 0"),
        (lambda: contrast_pair(CRACK, 0), "above 0"),
        (lambda: contrast_pair(CRACK, 2, inside=1.1), "between"),
        (
            lambda: look_alike_pair(("drag-mark", "void-bubble"), "latch_hook", "white", 1),
            "no side",
        ),
    ],
)
def test_refusals(call: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()  # type: ignore[operator]
