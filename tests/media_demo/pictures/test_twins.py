"""A clean twin, rendered round the mark alone, looks as the whole clean part does there."""

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from media_demo.pictures import twins
from media_demo.pictures.camera import Camera
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.plans import Plan, key_lamps, make_plan
from media_demo.pictures.renderer import Scene
from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.specimens import shoot
from media_demo.pictures.twins import RIM
from media_demo.pictures.view import Window
from tests.media_demo.pictures.near import near_view


@pytest.mark.parametrize(
    ("part", "resin", "family", "site", "severity"),
    [
        # beside a bore, through which the bench lies in the shadow of what the twin leaves out
        ("hinge_cover", "white", "stress-whitening", "bore collar root", 4.0),
        ("fascia", "white", "gloss", "below the window", 3.0),
        ("vacuum_half", "graphite", "sink", "opposite a screw boss", 0.1),
    ],
)
def test_a_twin_throws_the_shadows_of_the_whole_part(
    part: str,
    resin: str,
    family: str,
    site: str,
    severity: float,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hand = None if part == "fascia" else "left"
    request = SpecimenRequest(
        part,
        resin,
        4,
        hand=hand,  # type: ignore[arg-type]
        family=family,
        severity=severity,
        site=site,
        light="raking",
    )
    plan = make_plan(request)
    twin, frame = twin_of(plan, monkeypatch)
    clean = make_plan(replace(request, family=None, severity=None, look_for=family))
    whole = np.asarray(shoot(clean, near_view(plan), key_lamps(plan)).frames[0], np.int16)
    shown = whole[frame.row0 : frame.row1, frame.col0 : frame.col1]
    differs = np.abs(shown - twin)[RIM:-RIM, RIM:-RIM]
    assert differs.max() <= 2


def twin_of(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> tuple[np.ndarray, Window]:
    """The picture of a marked plan's twin and the frame it fills."""
    kept = []
    photograph = twins.photograph

    def shown(scene: Scene, keys: list[Lamp], camera: Camera) -> tuple[Image.Image, ...]:
        kept.append((photograph(scene, keys, camera), scene.stage.frame))
        return kept[-1][0]

    monkeypatch.setattr(twins, "photograph", shown)
    shoot(plan, near_view(plan), key_lamps(plan))
    (((picture,), frame),) = kept
    return np.asarray(picture, np.int16), frame
