"""Marks are made again until they measure what was asked, and leave nothing of the first behind."""

from dataclasses import replace

import numpy as np
import pytest

from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Hand
from media_demo.pictures.made_to_measure import CLOSE, cut_off, make_mark
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.plans import Plan, close_view, good_part, make_plan, whole_view
from media_demo.pictures.requests import SpecimenRequest
from tests.media_demo.pictures.near import near_view
from tests.media_demo.pictures.test_families import PLACES

# what is limited by a length, a size or an area on its face
SIZED = ("black-specks", "burn", "flow-line", "gloss", "grease-oil", "scuff", "weld-line")


def plan_of(family: str, severity: float, seed: int = 3) -> Plan:
    part, resin, site, light, _ = PLACES[family]
    hand: Hand | None = "left" if KINDS[part].handed else None
    return make_plan(
        SpecimenRequest(
            part, resin, seed, hand=hand, family=family, severity=severity, site=site, light=light
        )
    )


def laid_out(plan: Plan) -> Fields:
    return good_part(plan, close_view(plan))[0]


@pytest.mark.parametrize("family", SIZED)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_it_measures_what_was_asked(family: str, seed: int) -> None:
    severity = PLACES[family][4][1]
    plan = plan_of(family, severity, seed)
    made = make_mark(plan, laid_out(plan))
    assert made is not None
    assert made.mark.severity == pytest.approx(severity, rel=CLOSE)


@pytest.mark.parametrize("family", ["gloss", "scuff", "short-shot", "grease-oil", "splay"])
def test_a_mark_made_again_is_the_only_one(family: str) -> None:
    plan = plan_of(family, PLACES[family][4][1])
    again, once = laid_out(plan), laid_out(plan)
    made = make_mark(plan, again)
    assert made is not None
    assert made.drawn != plan.severity
    at_once = make_mark(replace(plan, drawn=made.drawn), once)
    assert at_once is not None
    assert at_once.mark.severity == made.mark.severity
    assert again.touched == once.touched
    for found, wanted in zip(again.layers(), once.layers(), strict=True):
        assert np.array_equal(found, wanted)
    assert (again.sheet is None) == (once.sheet is None)


def test_a_part_with_a_mark_made_again_still_knows_how_it_was() -> None:
    plan = plan_of("scuff", 7)
    marked, good = laid_out(plan), laid_out(plan)
    good.record()
    make_mark(plan, marked)
    before = marked.before(marked.window)
    for found, wanted in zip(before.layers(), good.layers(), strict=True):
        assert np.array_equal(found, wanted)


def test_what_the_picture_cuts_off_is_made_as_asked() -> None:
    """Or a mark longer than the picture would be made longer and longer."""
    plan = plan_of("flow-line", 34)
    part = good_part(plan, near_view(plan))[0]
    made = make_mark(plan, part)
    assert made is not None
    assert made.mark.severity < 34
    assert cut_off(made.mark, part)
    assert made.drawn == 34
    whole = good_part(plan, whole_view(plan))[0]
    seen = make_mark(replace(plan, drawn=made.drawn), whole)
    assert seen is not None
    assert not cut_off(seen.mark, whole)
    assert seen.mark.severity == pytest.approx(34, rel=0.1)


def test_what_cannot_grow_is_left_as_asked() -> None:
    """A streak ends where the flow does, however long a one is asked for."""
    plan = make_plan(SpecimenRequest("knob", "black", 3, family="splay", severity=45))
    made = make_mark(plan, laid_out(plan))
    assert made is not None
    assert made.drawn == 45
    assert made.mark.severity < 20
