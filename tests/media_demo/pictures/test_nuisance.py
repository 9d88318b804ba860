"""Pose, bench, light and camera come from a stream of their own."""

import numpy as np

from media_demo.pictures import nuisance
from media_demo.pictures.benches import KINDS as BENCHES
from media_demo.pictures.plans import make_plan
from media_demo.pictures.requests import SpecimenRequest


def test_a_mark_changes_nothing_else() -> None:
    clean = make_plan(SpecimenRequest("hinge_cover", "white", 5, hand="left"))
    marked = make_plan(
        SpecimenRequest("hinge_cover", "white", 5, hand="left", family="crack", severity=4)
    )
    assert clean.nuisance == marked.nuisance


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
