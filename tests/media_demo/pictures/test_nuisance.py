"""Pose, bench, light and camera come from a stream of their own."""

from dataclasses import replace

import numpy as np
import pytest

from media_demo.pictures import nuisance
from media_demo.pictures.benches import KINDS as BENCHES
from media_demo.pictures.families import FAMILIES
from media_demo.pictures.nuisance import Light
from media_demo.pictures.plans import close_lamp, key_lamps, make_plan
from media_demo.pictures.requests import SpecimenRequest


def test_a_mark_changes_nothing_else() -> None:
    clean = make_plan(SpecimenRequest("hinge_cover", "white", 5, hand="left"))
    marked = make_plan(
        SpecimenRequest("hinge_cover", "white", 5, hand="left", family="crack", severity=4)
    )
    assert clean.nuisance == marked.nuisance


@pytest.mark.parametrize("family", [f for f, made in FAMILIES.items() if made.lights])
def test_a_clean_part_is_lit_like_a_marked_one(family: str) -> None:
    """Light is chosen by the family that is looked for, never by what is on the part."""
    request = SpecimenRequest("fascia", "white", 5, look_for=family)
    for seed in range(20):
        clean = make_plan(replace(request, seed=seed))
        gross, faint = (
            make_plan(replace(request, seed=seed, family=family, severity=step, look_for=None))
            for step in (FAMILIES[family].ladder[-1], FAMILIES[family].ladder[0])
        )
        assert clean.nuisance == gross.nuisance == faint.nuisance


@pytest.mark.parametrize(
    ("light", "lowest", "highest"), [("edge", 61, 63.5), ("sheen", 65, 70), ("reflection", 58, 66)]
)
def test_a_light_that_is_asked_for_stands_where_it_should(
    light: Light, lowest: float, highest: float
) -> None:
    heights = [nuisance.draw(seed, light).key.elevation_deg for seed in range(50)]
    assert all(lowest <= height <= highest for height in heights)
    assert max(heights) - min(heights) > 0.6 * (highest - lowest)


@pytest.mark.parametrize(("family", "height"), [("gloss", 67), ("sink", 62), ("weld-line", 62)])
def test_the_close_up_of_a_sweep_is_lit_as_its_family_is_looked_for(
    family: str, height: float
) -> None:
    marked = make_plan(SpecimenRequest("fascia", "white", 5, family=family, frames=9))
    clean = make_plan(SpecimenRequest("fascia", "white", 5, look_for=family, frames=9))
    assert close_lamp(marked) == close_lamp(clean)
    assert close_lamp(marked) in key_lamps(marked)
    assert close_lamp(marked).elevation_deg == height
    alone = make_plan(SpecimenRequest("fascia", "white", 5, family=family))
    assert close_lamp(alone) == alone.nuisance.key


def test_draws_differ_and_stay_in_range() -> None:
    drawn = [nuisance.draw(seed) for seed in range(300)]
    assert {n.bench for n in drawn} == set(BENCHES)
    assert len({n.turn_deg for n in drawn}) > 250
    assert all(abs(n.turn_deg) <= 8 for n in drawn)
    assert all(44 <= n.key.elevation_deg <= 66 for n in drawn)


def test_the_meter_opens_up_for_dark_parts_and_closes_for_pale_ones() -> None:
    drawn = nuisance.draw(1)
    dark = drawn.exposed((0.03, 0.03, 0.03), (0.05, 0.05, 0.05)).exposure
    pale = drawn.exposed((0.8, 0.8, 0.8), (0.7, 0.7, 0.7)).exposure
    assert dark > drawn.camera.exposure > pale


def test_asking_for_a_light_changes_only_the_lamp() -> None:
    form, raking = nuisance.draw(9, "form"), nuisance.draw(9, "raking")
    assert form.bench == raking.bench
    assert form.turn_deg == raking.turn_deg
    assert form.key.elevation_deg > raking.key.elevation_deg
    assert np.isclose(form.key.power, raking.key.power)
