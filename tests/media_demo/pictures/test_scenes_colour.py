"""Colour beside the master: both formulas, and never below what a screen can teach."""

from dataclasses import replace

import numpy as np
import pytest

from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.scenes.colour_difference import ciede2000
from media_demo.pictures.specimens import render_specimen
from tests.media_demo.pictures.scene_shots import inside, pixels

SHIFT = SpecimenRequest("tank_lid", "grey", 4, family="colour-shift", severity=4.5)

# pairs 1, 7, 17, 20 and 34 of the test data of Sharma, Wu and Dalal (2005), written down
# from memory
PAIRS = [
    ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ((50.0, 2.5, 0.0), (58.0, 24.0, 15.0), 19.4535),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]


@pytest.mark.parametrize(("first", "second", "expected"), PAIRS)
def test_ciede2000_meets_the_published_pairs(
    first: tuple[float, float, float], second: tuple[float, float, float], expected: float
) -> None:
    assert ciede2000(first, second) == pytest.approx(expected, abs=1e-4)
    assert ciede2000(second, first) == pytest.approx(expected, abs=1e-4)


def test_the_truth_names_its_formula_and_its_use() -> None:
    made = render_specimen(SHIFT)
    shown = dict(made.truth.shown)
    assert made.truth.severity == pytest.approx(4.5, abs=0.05)
    assert "CIE 1976" in shown["formula"]
    assert 0 < float(shown["CIEDE2000"]) < 9
    assert shown["use"] == "teaching"
    assert made.truth.visible


def test_only_the_piece_changes_with_the_shift() -> None:
    far, near = render_specimen(SHIFT), render_specimen(replace(SHIFT, severity=0.0))
    assert not near.truth.visible
    region = inside(far.truth.whole.regions, far.frames[0])
    differs = np.abs(pixels(far.frames[0]) - pixels(near.frames[0])).mean(axis=2)
    assert differs[region].mean() > 3 * differs[~region].mean()
