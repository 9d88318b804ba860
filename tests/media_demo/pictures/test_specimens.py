"""Whole specimens: the same every time, true to their truth, clear when refused."""

import pickle
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image, ImageDraw

from media_demo.pictures import specimens
from media_demo.pictures.first_piece import render_first_piece
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.plans import Plan
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.specimens import Shot, render_specimen
from media_demo.pictures.truth import Truth
from media_demo.pictures.view import View

SPECK = SpecimenRequest(
    "hinge_cover",
    "white",
    21,
    hand="right",
    family="black-specks",
    severity=0.6,
    close_up=True,
    site="middle of the face",
)


@pytest.fixture(scope="module")
def speck() -> RenderedSpecimen:
    return render_specimen(SPECK)


@pytest.fixture(scope="module")
def clean() -> RenderedSpecimen:
    return render_specimen(replace(SPECK, family=None, severity=None))


def pixels(picture: Image.Image) -> np.ndarray:
    return np.asarray(picture, np.int16)


def region_of(
    regions: tuple[tuple[tuple[float, float], ...], ...], picture: Image.Image
) -> np.ndarray:
    image = Image.new("1", picture.size)
    draw = ImageDraw.Draw(image)
    for polygon in regions:
        draw.polygon(polygon, fill=1, outline=1)
    return np.asarray(image)


def test_the_same_request_gives_the_same_bytes(speck: RenderedSpecimen) -> None:
    again = render_specimen(pickle.loads(pickle.dumps(SPECK)))
    assert again.frames[0].tobytes() == speck.frames[0].tobytes()
    assert again.close_up is not None
    assert speck.close_up is not None
    assert again.close_up.tobytes() == speck.close_up.tobytes()
    assert again.truth == speck.truth


def test_another_seed_gives_another_picture(speck: RenderedSpecimen) -> None:
    other = render_specimen(replace(SPECK, seed=22, close_up=False))
    assert other.frames[0].tobytes() != speck.frames[0].tobytes()


def test_the_region_holds_what_differs_from_the_clean_part(
    speck: RenderedSpecimen, clean: RenderedSpecimen
) -> None:
    """Everything outside the region is the clean part, to the last grain of sensor noise."""
    difference = np.abs(pixels(speck.frames[0]) - pixels(clean.frames[0])).max(axis=2)
    inside = region_of(speck.truth.whole.regions, speck.frames[0])
    assert difference.max() > 30
    assert (difference[inside] > 4).sum() > 0.9 * (difference > 4).sum()
    assert difference[~inside].max() < 30


def test_the_truth_states_what_was_measured(speck: RenderedSpecimen) -> None:
    truth = speck.truth
    assert truth.family == "black-specks"
    assert truth.unit == "mm"
    assert truth.zone == "B"
    assert truth.severity == pytest.approx(0.6, rel=0.15)
    assert truth.synthetic
    assert truth.visible
    assert truth.close_up is not None
    assert truth.close_up.px_per_mm > truth.whole.px_per_mm
    speck_px = 0.6 * truth.close_up.px_per_mm
    xs = [x for x, _ in truth.close_up.regions[0]]
    assert max(xs) - min(xs) == pytest.approx(speck_px, abs=8)


def test_a_clean_part_has_no_region(clean: RenderedSpecimen) -> None:
    assert clean.truth.family is None
    assert clean.truth.whole.regions == ()
    assert not clean.truth.visible
    assert clean.close_up is not None
    assert clean.truth.allowed


def test_a_sweep_has_nine_frames_and_a_best_one() -> None:
    made = render_specimen(
        SpecimenRequest(
            "hood_trim",
            "gloss black",
            4,
            hand="left",
            family="gloss",
            severity=5,
            site="right field",
            frames=9,
            light="reflection",
        )
    )
    assert len({frame.tobytes() for frame in made.frames}) == 9
    assert 0 <= made.truth.whole.best_frame < 9
    assert made.truth.visible


def test_first_pieces_lie_the_same_way_every_time() -> None:
    first = render_first_piece("PR12", "grey", seed=3)
    again = render_first_piece("PR12", "grey", seed=3)
    assert first.frames[0].tobytes() == again.frames[0].tobytes()
    assert first.truth.family is None


@pytest.mark.parametrize(
    ("request_", "words"),
    [
        (SpecimenRequest("no_such", "white", 1), "unknown part kind 'no_such'"),
        (SpecimenRequest("fascia", "mauve", 1), "unknown resin 'mauve'"),
        (SpecimenRequest("hinge_cover", "white", 1), "handed part"),
        (SpecimenRequest("fascia", "white", 1, family="rust"), "unknown family 'rust'"),
        (SpecimenRequest("knob", "black", 1, family="gloss", zone="F"), "has no place for gloss"),
        (SpecimenRequest("drawer_front", "clear", 1, family="colour-shift"), "opaque"),
    ],
)
def test_requests_that_cannot_be_met_say_why(request_: SpecimenRequest, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        render_specimen(request_)


def test_the_two_beside_each_other_differ_by_the_asked_amount() -> None:
    made = render_specimen(
        SpecimenRequest("kettle_lid", "white", 2, family="colour-shift", severity=4.0)
    )
    assert made.truth.severity == pytest.approx(4.0, abs=0.05)
    assert made.truth.visible
    assert len(made.truth.whole.regions) == 1


def test_what_is_hardly_seen_can_be_refused_before_the_whole_picture() -> None:
    faint = replace(SPECK, severity=0.05)
    asked: list[Truth] = []

    def refuse(truth: Truth) -> bool:
        asked.append(truth)
        return not truth.visible

    refused = render_specimen(faint, refuse)
    assert refused.frames == ()
    assert refused.close_up is None
    assert asked == [refused.truth]
    drawn = render_specimen(faint)
    assert not drawn.truth.visible
    assert refused.truth.severity == drawn.truth.severity
    assert refused.truth.close_up == drawn.truth.close_up
    assert refused.truth.whole.visibility == pytest.approx(drawn.truth.whole.visibility, abs=0.05)


def test_what_is_not_refused_is_drawn_as_ever(speck: RenderedSpecimen) -> None:
    kept = render_specimen(SPECK, lambda truth: not truth.visible)
    assert kept.truth == speck.truth
    assert kept.frames[0].tobytes() == speck.frames[0].tobytes()


def test_what_is_made_elsewhere_is_looked_at_alone_before_it_is_drawn(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A mark was refused before, so that the pictures are not drawn for nothing once more."""
    elsewhere = replace(SPECK, mark_seed=5, severity=0.05, site=None)
    drawn: list[float] = []
    shoot = specimens.shoot

    def counted(plan: Plan, view: View, keys: list[Lamp]) -> Shot:
        drawn.append(view.px_per_mm)
        return shoot(plan, view, keys)

    monkeypatch.setattr(specimens, "shoot", counted)
    refused = render_specimen(elsewhere, lambda truth: not truth.visible)
    assert refused.frames == ()
    assert drawn == []
    plain = replace(elsewhere, severity=0.6)
    kept = render_specimen(plain, lambda truth: not truth.visible)
    assert len(drawn) == 2
    assert kept.truth == render_specimen(plain).truth
