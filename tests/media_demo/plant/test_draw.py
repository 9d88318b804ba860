"""Drawing planned specimens: the same every time, on the side they were meant for, told apart if not."""

import io
from dataclasses import replace

import pytest
from PIL import Image

from media_demo.pictures.plans import sweep_angles
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.specimens import render_specimen
from media_demo.pictures.truth import Look, Truth
from media_demo.plant import draw
from media_demo.plant.bank import BAD, CLEAN, NEAR, SWEEP_FRAMES, Planned, plan_bank
from media_demo.plant.draw import TRIES, Drawn, Lossless, draw_first_piece, draw_specimen
from media_demo.plant.places import TAUGHT_ONLY
from tests.simulations.picture_truth import faults_of


def planned_as(**wanted: object) -> Planned:
    """The first planned specimen with these traits."""
    return next(
        planned
        for planned in plan_bank()
        if all(getattr(planned, name) == value for name, value in wanted.items())
    )


def test_the_same_plan_gives_the_same_bytes() -> None:
    planned = planned_as(family="black-specks", kind=BAD)
    first, again = draw_specimen(planned), draw_specimen(planned)
    assert first.truth == again.truth
    assert [v.frames for v in first.views] == [v.frames for v in again.views]
    other = draw_specimen(replace(planned, seed=planned.seed + 1))
    assert other.views[0].frames != first.views[0].frames


@pytest.mark.parametrize(
    ("family", "traits"),
    [
        ("flash", {"kind": BAD}),
        ("insert", {"kind": NEAR, "gauge": True}),
        ("insert", {"kind": BAD, "gauge": False}),
        ("warp", {"kind": BAD, "unit": "mm_per_200mm"}),
        ("mixed-hands", {"kind": BAD}),
        ("wrong-label", {"kind": CLEAN}),
        ("wrong-pack", {"kind": BAD}),
        ("scuff", {"kind": NEAR}),
        ("burn", {"kind": CLEAN}),
    ],
)
def test_what_comes_out_agrees_with_its_plan(family: str, traits: dict[str, object]) -> None:
    """A seeded few of the sweep over the whole bank: tests.simulations.picture_bank."""
    drawn = draw_specimen(planned_as(family=family, **traits))
    assert faults_of(drawn) == []
    assert drawn.examinable
    assert drawn.views[0].look.regions or drawn.truth.family is None
    if drawn.planned.limit is not None and drawn.truth.family is not None:
        assert drawn.ratio == pytest.approx(drawn.planned.ratio, abs=0.01)


def test_a_sweep_and_a_first_piece_share_their_angles() -> None:
    planned = planned_as(family="gloss", kind=BAD, frames=SWEEP_FRAMES)
    drawn = draw_specimen(planned)
    piece = draw_first_piece("PR01", "white", None, 5, SWEEP_FRAMES)
    assert drawn.views[0].angles_deg == piece.angles_deg == tuple(sweep_angles(9))
    assert len(piece.frames) == len(drawn.views[0].frames) == 9
    steps = [b - a for a, b in zip(piece.angles_deg, piece.angles_deg[1:], strict=False) if a and b]
    assert all(2 <= step <= 3 for step in steps)
    assert len({frame.data for frame in piece.frames}) == 9


def test_colours_are_kept_to_the_last_level() -> None:
    planned = planned_as(family=TAUGHT_ONLY, kind=BAD)
    (view,) = draw_specimen(planned).views
    (frame,) = view.frames
    assert isinstance(frame, Lossless)
    rendered = render_specimen(draw.request_for(planned)).frames[0]
    with Image.open(io.BytesIO(frame.data)) as kept:
        assert kept.format == "WEBP"
        assert kept.convert("RGB").tobytes() == rendered.tobytes()
        assert not kept.info.keys() & {"exif", "xmp", "icc_profile"}


BLANK = Image.new("RGB", (40, 30))


class Renderer:
    """Stands in for the renderer: makes 80 % of what is asked, visible from a try on."""

    def __init__(self, seen_from: int = 1, makes: float = 0.8, *, clean: bool = False) -> None:
        self.asked: list[SpecimenRequest] = []
        self.seen_from, self.makes, self.clean = seen_from, makes, clean

    def __call__(self, request: SpecimenRequest, _refuse: object = None) -> RenderedSpecimen:
        self.asked.append(request)
        index = 3.0 if len(self.asked) >= self.seen_from else 0.4
        look = Look((), 5.0, 0.0 if self.clean else index, 0)
        severity = 0.0 if self.clean else (request.severity or 0.0) * self.makes
        family = None if self.clean else request.family
        truth = Truth(
            family, severity, "mm", request.severity or 0, "A", "face", look, None, request.seed
        )
        return RenderedSpecimen((BLANK,), None, truth)


def drawn_by(renderer: Renderer, monkeypatch: pytest.MonkeyPatch, **wanted: object) -> Drawn:
    monkeypatch.setattr(draw, "render_specimen", renderer)
    return draw_specimen(planned_as(**wanted))


def test_it_is_made_to_measure_again(monkeypatch: pytest.MonkeyPatch) -> None:
    renderer = Renderer()
    wanted = {"family": "black-specks", "kind": BAD, "turn": 0}
    drawn = drawn_by(renderer, monkeypatch, **wanted)
    assert drawn.examinable
    assert drawn.ratio == pytest.approx(drawn.planned.ratio)
    first, second = renderer.asked
    assert second.severity == pytest.approx((first.severity or 0) / 0.8)
    assert replace(second, severity=first.severity) == first


def test_what_cannot_be_seen_is_made_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    renderer = Renderer(seen_from=3, makes=1.0)
    assert drawn_by(renderer, monkeypatch, family="crack", kind=BAD).examinable
    assert len({request.mark_seed for request in renderer.asked}) == 3
    # Bench, pose and light are the specimen's own, or they would tell bad from good.
    assert len({request.seed for request in renderer.asked}) == 1


def test_what_is_never_seen_examines_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    renderer = Renderer(seen_from=99, makes=1.0)
    drawn = drawn_by(renderer, monkeypatch, family="crack", kind=BAD)
    assert len(renderer.asked) == TRIES
    assert drawn.on_its_side
    assert not drawn.visible
    assert not drawn.examinable


def test_a_bad_part_that_came_out_clean_is_not_bad(monkeypatch: pytest.MonkeyPatch) -> None:
    assert not drawn_by(Renderer(clean=True), monkeypatch, family="crack", kind=BAD).examinable
    assert drawn_by(Renderer(clean=True), monkeypatch, family="crack", kind=NEAR).examinable
