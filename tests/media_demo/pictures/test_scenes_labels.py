"""Labels: exactly one field differs from the ticket, and the picture says what the truth says."""

import math
from collections.abc import Iterator
from dataclasses import fields, replace

import numpy as np
import pytest
from PIL import Image

from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes import wrong_label
from media_demo.pictures.scenes.box_label import LABEL_MM, LabelFields, label_picture
from media_demo.pictures.scenes.label_data import WRONG, right_fields
from media_demo.pictures.scenes.studio import draw_nuisance
from media_demo.pictures.specimens import render_specimen
from media_demo.pictures.view import Pose, View
from tests.media_demo.pictures.scene_shots import difference, inside, small_pictures

LABEL = SpecimenRequest(
    "hinge_cover", "white", 5, hand="left", family="wrong-label", site="quantity", severity=1
)


@pytest.fixture(scope="module", autouse=True)
def _small() -> Iterator[None]:
    with small_pictures():
        yield


def said(made: RenderedSpecimen, paper: str) -> LabelFields:
    found = {k.split(".")[1]: v for k, v in made.truth.shown if k.startswith(f"{paper}.")}
    return LabelFields(**found)


@pytest.mark.parametrize("name", sorted(WRONG))
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_one_field_goes_wrong_and_no_other(name: str, seed: int) -> None:
    rng = np.random.default_rng(seed)
    for part, resin, hand in (
        ("hinge_cover", "white", "left"),
        ("handle_cap", "graphite", "right"),
    ):
        right = right_fields(part, resin, hand, rng)
        wrong = WRONG[name](right, rng)
        differing = [
            f.name for f in fields(right) if getattr(right, f.name) != getattr(wrong, f.name)
        ]
        assert differing == [name]


def test_the_truth_names_the_field_that_differs() -> None:
    made = render_specimen(LABEL)
    label, ticket = said(made, "label"), said(made, "ticket")
    assert label.quantity != ticket.quantity
    assert replace(label, quantity=ticket.quantity) == ticket
    assert made.truth.site == "quantity"
    assert made.truth.severity == 1
    good = render_specimen(replace(LABEL, severity=0))
    assert said(good, "label") == said(good, "ticket") == ticket
    differs = difference(made.frames[0], good.frames[0])
    region = inside(made.truth.whole.regions, made.frames[0])
    assert (differs[region] > 8).sum() > 0.9 * (differs > 8).sum() > 10


def label_pose(request: SpecimenRequest) -> Pose:
    drawn = draw_nuisance(request, "form")
    return Pose(drawn.turn_deg * 0.4, -66 + drawn.x_mm * 3, drawn.y_mm * 8)


@pytest.mark.parametrize("site", ["quantity", "hand", "lot"])
def test_the_picture_shows_the_fields_of_the_truth(site: str) -> None:
    """Unroll the label from the picture: it matches the wrong label better than the right one."""
    request = replace(LABEL, site=site)
    made = render_specimen(request)
    view = View(600, 450, wrong_label.SCALE, wrong_label.TILT, Pose())
    corners = wrong_label.label_outline(view, label_pose(request))
    size = (448, 320)
    tl, tr, br, bl = corners
    unrolled = made.frames[0].transform(
        size, Image.Transform.QUAD, (*tl, *bl, *br, *tr), Image.Resampling.BICUBIC
    )
    side = KINDS[request.part].sides["front"]
    drawn = [
        np.asarray(label_picture(f, side).resize(size, Image.Resampling.BOX).convert("RGB"), float)
        for f in (said(made, "label"), said(made, "ticket"))
    ]
    changed = np.abs(drawn[0] - drawn[1]).max(axis=2) > 40
    seen = np.asarray(unrolled, float)[changed].ravel()
    like_label = np.corrcoef(seen, drawn[0][changed].ravel())[0, 1]
    like_ticket = np.corrcoef(seen, drawn[1][changed].ravel())[0, 1]
    assert like_label > 0.4
    assert like_label > like_ticket + 0.3


def test_the_label_is_as_wide_as_the_scale_says() -> None:
    """A ruler laid across the white of the label."""
    made = render_specimen(replace(LABEL, severity=0))
    pose = label_pose(LABEL)
    view = View(600, 450, wrong_label.SCALE, wrong_label.TILT, Pose())
    posed = replace(view, pose=pose)
    x0, y = posed.to_picture(-LABEL_MM[0] / 2 + 0.8, -20, 11.3)
    x1, y1 = posed.to_picture(LABEL_MM[0] / 2 - 0.8, -20, 11.3)
    assert math.hypot(x1 - x0, y1 - y) == pytest.approx(
        made.truth.whole.px_per_mm * (LABEL_MM[0] - 1.6), rel=0.02
    )
    blue = np.asarray(made.frames[0], float)[..., 2]
    line = [blue[round(y + (y1 - y) * t), round(x0 + (x1 - x0) * t)] for t in (0.003, 0.997)]
    beyond = [blue[round(y - 2), round(x0) - 6], blue[round(y1 + 2), round(x1) + 6]]
    assert min(line) > max(beyond) + 40


def test_a_missing_label_is_not_there() -> None:
    made = render_specimen(replace(LABEL, site="missing"))
    assert not any(name.startswith("label.") for name, _ in made.truth.shown)
    assert made.truth.site == "missing"
    assert made.truth.visibility > 3


def test_an_unhanded_part_has_no_hand_to_get_wrong() -> None:
    with pytest.raises(ValueError, match="no label field 'hand'"):
        render_specimen(replace(LABEL, part="fascia", hand=None, site="hand"))
