"""Every part kind: both sides build, its places lie on it, its hands mirror."""

from dataclasses import replace

import numpy as np
import pytest

from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side
from media_demo.pictures.lettering import letter_mask
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.plant_parts import part_for_product
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bounds
from media_demo.pictures.sheet import RESINS_OF
from media_demo.pictures.view import Pose, View

SIDES = [
    pytest.param(kind.sides[name], id=f"{slug}-{name}")
    for slug, kind in KINDS.items()
    for name in kind.sides
]
INK = (0.2, 0.2, 0.2)


def build(side: Side, *, mirrored: bool = False, scale: float = 3.0) -> Fields:
    """The part seen from straight above."""
    view = View(800, 600, scale, 0.0, Pose(mirrored=mirrored), supersampling=1.0, keystone=0.0)
    window = view.ground_window(side.bounds, 2.0).aligned(view.alignment)
    fields = Fields.empty(view, window, 0.4)
    side.build(Sculptor(fields, np.random.default_rng(0), INK))
    return fields


def height_near(fields: Fields, u: float, v: float, radius: float) -> np.ndarray:
    block = fields.block(Bounds(u - radius, v - radius, u + radius, v + radius))
    return fields.height[block]


@pytest.mark.parametrize("side", SIDES)
def test_the_stated_height_is_the_height(side: Side) -> None:
    fields = build(side)
    assert side.tallest - 1.5 <= fields.height.max() <= side.tallest + 0.8
    assert fields.height.min() >= 0
    assert 0.2 < float(fields.solid.mean()) < 1


@pytest.mark.parametrize("side", SIDES)
def test_sites_lie_on_plastic(side: Side) -> None:
    fields = build(side, scale=6.0)
    for site in side.sites:
        near = height_near(fields, site.u, site.v, 2.0)
        assert near.max() > 0.5, site.name
        if site.kind in ("face", "gloss face", "pin", "boss"):
            assert np.median(near) == pytest.approx(site.height, abs=1.3), site.name


@pytest.mark.parametrize("side", SIDES)
def test_sites_state_their_zone(side: Side) -> None:
    for site in side.sites:
        if site.kind in ("face", "gloss face"):
            assert side.zone_at(site.u, site.v) == site.zone, site.name


@pytest.mark.parametrize("slug", [slug for slug, kind in KINDS.items() if kind.handed])
def test_the_right_hand_mirrors_the_left(slug: str) -> None:
    side = KINDS[slug].sides["front"]
    left, right = build(side), build(side, mirrored=True)
    rows = min(left.window.shape[0], right.window.shape[0])
    # both windows are symmetrical about the middle of the picture to within an alignment step
    box = replace(left.window, col0=0, col1=800).clipped(left.view.picture)
    whole = [np.zeros((left.view.height, 800)) for _ in range(2)]
    for fields, out in zip((left, right), whole, strict=True):
        inner = fields.window.clipped(fields.view.picture)
        out[inner.slices_in(fields.view.picture)] = fields.height[inner.slices_in(fields.window)]
    assert rows > 0
    assert box.shape[1] == 800
    difference = np.abs(whole[0] - whole[1][:, ::-1])
    assert float((difference > 0.3).mean()) < 0.002
    assert float((np.abs(whole[0] - whole[1]) > 0.3).mean()) > 0.005


def test_lettering_reads_the_same_way_on_both_hands() -> None:
    masks = []
    for mirrored in (False, True):
        view = View(300, 200, 10.0, 17.0, Pose(mirrored=mirrored), supersampling=1.0)
        window = view.picture.aligned(view.alignment)
        fields = Fields.empty(view, window, 0.4)
        mask, _ = letter_mask(fields, "R5", (0, 0), 8.0)
        masks.append(mask)
    assert masks[0].max() > 0.9
    assert masks[0] == pytest.approx(masks[1], abs=1e-4)
    assert np.abs(masks[0] - masks[0][:, ::-1]).mean() > 0.05


@pytest.mark.parametrize("number", range(1, 13))
def test_every_product_has_a_part(number: int) -> None:
    part = part_for_product(f"PR{number:02d}", "white", "left")
    assert part.part in KINDS
    assert (part.hand is not None) == KINDS[part.part].handed


def test_products_with_two_parts_are_told_apart() -> None:
    assert part_for_product("PR09", "natural").part == "latch_hook"
    assert part_for_product("PR09", "black").part == "latch_lever"
    assert part_for_product("PR12", "clear").part == "water_tank"
    assert part_for_product("PR12", "grey").part == "tank_lid"
    with pytest.raises(ValueError, match="PR99"):
        part_for_product("PR99", "white")


def test_the_sheet_knows_every_part() -> None:
    assert RESINS_OF.keys() == KINDS.keys()
