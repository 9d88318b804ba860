"""Gauges: the pointer in the picture shows the truth's severity, to the division."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from media_demo.pictures.fields import Fields
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.regions import Polygon
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes import (
    dial_gauge,
    gauge_reading,
    gauge_stand,
    insert,
    warp_on_plate,
)
from media_demo.pictures.scenes.dial_gauge import (
    CASE_MM,
    COARSE,
    FACE_MM,
    FINE,
    REACH_MM,
    Dial,
    Stand,
    pointer_tip,
)
from media_demo.pictures.scenes.gauge_stand import Setup
from media_demo.pictures.scenes.studio import drawn_mask
from media_demo.pictures.scenes.taper_gauge import Slid, reading_of
from media_demo.pictures.specimens import render_specimen
from media_demo.pictures.view import Pose, View, Window
from tests.media_demo.pictures.scene_shots import difference


def gauged(part: str, resin: str, family: str, severity: float, **more: Any) -> SpecimenRequest:
    return SpecimenRequest(part, resin, 7, family=family, severity=severity, gauge=True, **more)


@pytest.fixture
def stands(monkeypatch: pytest.MonkeyPatch) -> list[tuple[View, Stand, Dial]]:
    """Where every gauge stood that was drawn."""
    found: list[tuple[View, Stand, Dial]] = []
    for module in (gauge_reading, dial_gauge):
        draw = module.paint_pointer

        def note(
            fields: Fields, stand: Stand, dial: Dial, reading: float, draw: Any = draw
        ) -> None:
            found.append((fields.view, stand, dial))
            draw(fields, stand, dial, reading)

        monkeypatch.setattr(module, "paint_pointer", note)
    monkeypatch.setattr(insert, "SIZE", (960, 720))
    monkeypatch.setattr(gauge_stand, "HEIGHT", 720)
    monkeypatch.setattr(gauge_stand, "WIDTH", 960)
    return found


def dial_middle(view: View, stand: Stand) -> tuple[float, float]:
    top = stand.base + 9.3 if stand.bridge else 10.3
    return replace(view, pose=stand.pose).to_picture(0, REACH_MM, top)


def read(made: RenderedSpecimen, view: View, stand: Stand, dial: Dial) -> float:
    """Read the red pointer as a person would: where does its tip stand on the scale."""
    rgb = np.asarray(made.frames[0], float)
    x0, y0 = dial_middle(view, stand)
    ys, xs = np.nonzero((rgb[..., 0] > rgb[..., 1] + 45) & (rgb[..., 0] > rgb[..., 2] + 45))
    dx, dy = (xs - x0), (y0 - ys) / math.cos(view.tilt)
    radius = np.hypot(dx, dy) / view.px_per_mm
    tip = (radius > FACE_MM * 0.6) & (radius < FACE_MM)
    assert tip.sum() > 3
    angle = math.degrees(math.atan2(float(dx[tip].mean()), float(dy[tip].mean())))
    turned = (
        (angle - stand.zero_deg + 180) % 360 - 180
        if dial.balanced
        else (angle - stand.zero_deg) % 360
    )
    return turned / 360 * dial.turn_mm


@pytest.mark.parametrize(
    ("part", "resin", "family", "severity", "more"),
    [
        ("hinge_cover", "white", "gate-vestige", 0.36, {"hand": "left"}),
        ("hood_trim", "gloss black", "sink", 0.12, {"hand": "right"}),
        ("tank_lid", "grey", "flash", 0.22, {}),
        ("hinge_cover", "white", "mismatch", 0.07, {"hand": "right"}),
        ("shelf_end_cap", "white", "ejector-mark", -0.35, {"hand": "left", "side": "back"}),
        ("detergent_lid", "white", "insert", 0.24, {}),
    ],
)
def test_the_pointer_shows_the_severity(
    part: str,
    resin: str,
    family: str,
    severity: float,
    more: dict[str, Any],
    stands: list[tuple[View, Stand, Dial]],
) -> None:
    made = render_specimen(gauged(part, resin, family, severity, **more))
    shown = dict(made.truth.shown)
    view, stand, dial = stands[0]
    assert read(made, view, stand, dial) == pytest.approx(
        float(shown["reading_mm"]), abs=dial.division_mm * 0.8
    )
    assert abs(made.truth.severity) == abs(float(shown["reading_mm"]))
    assert made.truth.severity == pytest.approx(severity, abs=0.03)
    assert made.truth.unit == "mm"
    assert made.truth.visible
    assert len(made.truth.whole.regions) == 1


def test_the_face_is_as_wide_as_the_scale_says(
    stands: list[tuple[View, Stand, Dial]],
) -> None:
    """A ruler laid across the dial: the white face is 31.2 mm wide."""
    made = render_specimen(gauged("tank_lid", "grey", "flash", 0.0))
    view, stand, _ = stands[0]
    x0, y0 = dial_middle(view, stand)
    # below the numbers and above the lower words, no print crosses this line
    row = np.asarray(made.frames[0].convert("L"), float)[round(y0 + 4.6 * view.px_per_mm * 0.5)]
    reach = round(FACE_MM * 1.12 * view.px_per_mm)
    bright = np.flatnonzero(row[round(x0) - reach : round(x0) + reach] > 120)
    chord = 2 * math.sqrt(FACE_MM**2 - (2.3 / math.cos(view.tilt)) ** 2)
    assert np.ptp(bright) == pytest.approx(chord * made.truth.whole.px_per_mm, rel=0.05)


def test_a_clean_part_reads_nothing_and_is_otherwise_alike(
    stands: list[tuple[View, Stand, Dial]],
) -> None:
    request = gauged("tank_lid", "grey", "flash", 0.22)
    bad = render_specimen(request)
    zero = render_specimen(replace(request, severity=0.0))
    clean = render_specimen(replace(request, family=None, severity=None, look_for="flash"))
    assert clean.frames[0].tobytes() == zero.frames[0].tobytes()
    assert clean.truth.severity == 0
    assert clean.truth.family is None
    differs = difference(bad.frames[0], zero.frames[0]) > 20
    view, stand, _ = stands[0]
    x0, y0 = dial_middle(view, stand)
    ys, xs = np.nonzero(differs)
    # only the pointer and the fin at the tip moved
    assert (np.hypot(xs - x0, ys - y0) / view.px_per_mm < REACH_MM + 8).all()


def test_a_larger_mark_is_read_more_plainly(stands: list[tuple[View, Stand, Dial]]) -> None:
    request = gauged("hinge_cover", "white", "mismatch", 0.0, hand="left")
    seen = [render_specimen(replace(request, severity=s)).truth for s in (0.04, 0.12, 0.4)]
    assert [truth.severity for truth in seen] == [0.04, 0.12, 0.4]
    assert seen[0].visibility < seen[1].visibility < seen[2].visibility
    assert seen[0].visible


@pytest.mark.parametrize("dial", [FINE, COARSE])
def test_a_dial_reads_to_the_division_and_ends_before_a_full_turn(dial: Dial) -> None:
    values = np.linspace(-3, 3, 241)
    readings = [dial.reading(float(v)) for v in values]
    assert readings == sorted(readings)
    for reading in readings:
        assert reading / dial.division_mm == pytest.approx(round(reading / dial.division_mm))
        assert abs(dial.angle_deg(reading)) < 360
    assert pointer_tip(dial, 0.0, 0.0) == pytest.approx((0, 1))
    assert pointer_tip(dial, dial.turn_mm / 4, 0.0) == pytest.approx((1, 0), abs=1e-9)


def test_a_gauge_that_does_not_reach_is_refused() -> None:
    with pytest.raises(ValueError, match="no place for flash that a gauge reaches"):
        render_specimen(gauged("tank_lid", "grey", "flash", 0.2, site="no such edge"))


def test_the_twin_differs_where_a_pointer_stands_and_nowhere_else(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen: list[tuple[np.ndarray, np.ndarray]] = []
    shows = gauge_reading._pointer_shows

    def note(
        picture: Image.Image, twin: Image.Image, frame: Window, pointers: list[Polygon]
    ) -> bool:
        made = picture.crop((frame.col0, frame.row0, frame.col1, frame.row1))
        # the shadow of a pointer lies beside it
        near = ndimage.binary_dilation(drawn_mask(pointers, frame), iterations=9)
        around = ndimage.binary_dilation(near, iterations=12) & ~near
        seen.append((difference(made, twin)[near], difference(made, twin)[around]))
        return shows(picture, twin, frame, pointers)

    monkeypatch.setattr(gauge_reading, "_pointer_shows", note)
    made = render_specimen(
        gauged("hinge_cover", "white", "gate-vestige", 0.36, hand="left", close_up=True)
    )
    assert made.truth.close_up is not None
    assert made.truth.close_up.visible
    assert len(seen) == 2
    for at_pointer, elsewhere in seen:
        assert at_pointer.max() > 80
        assert elsewhere.max() < 4


def test_a_pointer_that_cannot_be_seen_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gauge_reading, "paint_pointer", lambda *_: None)
    made = render_specimen(gauged("tank_lid", "grey", "flash", 0.22))
    assert made.truth.severity == pytest.approx(0.22, abs=0.03)
    assert not made.truth.visible


def test_whole_picture_and_close_up_read_the_same(stands: list[tuple[View, Stand, Dial]]) -> None:
    near: list[float] = []
    lay_out = gauge_reading._lay_out

    def measured_higher(setup: Setup, view: View, amount: float, known: Any) -> Any:
        laid = lay_out(setup, view, amount + (0.05 if known else 0.0), known)
        near.append(laid.readings.now)
        return laid

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(gauge_reading, "_lay_out", measured_higher)
        render_specimen(
            gauged("hinge_cover", "white", "mismatch", 0.12, hand="left", close_up=True)
        )
    assert near == [0.12, 0.12]


@pytest.mark.parametrize("slug", sorted(KINDS))
@pytest.mark.parametrize("family", ["flash", "mismatch"])
def test_a_gauge_on_the_bench_keeps_clear_of_the_part(slug: str, family: str) -> None:
    kind = KINDS[slug]
    for name, site in gauge_reading.places_reached(kind, family):
        pose = Pose(site.angle - 90, site.u, site.v)
        corners = [(-9.0, 4.0), (9.0, 4.0), (0.0, REACH_MM), (-CASE_MM, REACH_MM)]
        places = np.array([View(9, 9, 1, 17, pose).world(u, v) for u, v in corners], np.float32)
        assert float(kind.sides[name].outline.distance(*places.T).min()) > 0


def test_a_gauge_between_walls_stands_on_them(stands: list[tuple[View, Stand, Dial]]) -> None:
    """The rim of a lid stands above the floor beside it: the feet cannot stand on the floor."""
    render_specimen(gauged("detergent_lid", "white", "sink", 0.11))
    walled = stands[0][1].base
    stands.clear()
    request = gauged("hinge_cover", "white", "ejector-mark", 0.12, hand="left", side="front")
    render_specimen(request)
    flat = stands[0][1].base
    assert walled > 2.6 + 2
    assert flat == pytest.approx(12.8, abs=0.2)


def test_the_gap_at_the_taper_gauge_is_what_it_reads(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(warp_on_plate, "SIZE", (600, 450))
    made_parts: list[tuple[Fields, warp_on_plate._Gap]] = []
    bow = warp_on_plate._bowed

    def note(*given: Any) -> tuple[Fields, warp_on_plate._Gap]:
        made_parts.append(bow(*given))
        return made_parts[-1]

    monkeypatch.setattr(warp_on_plate, "_bowed", note)
    severities = []
    for wanted in (0.3, 0.6, 1.2):
        made_parts.clear()
        made = render_specimen(gauged("tank_lid", "grey", "warp", wanted))
        part, gap = made_parts[0]
        assert part.lift is not None
        spot = np.argmin(np.hypot(part.u - gap.u, part.v - gap.v))
        assert part.lift.ravel()[spot] == pytest.approx(made.truth.severity, abs=0.05)
        severities.append(made.truth.severity)
        assert made.truth.visible
    assert severities == [0.3, 0.6, 1.2]


def test_the_taper_stops_where_it_is_as_thick_as_the_gap() -> None:
    slid = Slid(View(10, 10, 1, 40, Pose()).pose, 0.65)
    assert slid.along(0.65) == 0
    assert slid.along(0.7) < 0 < slid.along(0.6)
    assert reading_of(0.62) == 0.6
    assert reading_of(0.63) == 0.65


def brass(picture: Image.Image) -> int:
    rgb = np.asarray(picture, float)
    return int(((rgb[..., 0] > rgb[..., 2] + 28) & (rgb[..., 0] > 90)).sum())


def test_a_missing_insert_leaves_a_hole_and_no_brass(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(insert, "SIZE", (600, 450))
    request = SpecimenRequest(
        "detergent_lid", "white", 6, family="insert", site="missing", bench="mat"
    )
    counts = []
    for severity in (0, 1, 2):
        made = render_specimen(replace(request, severity=severity))
        assert made.truth.severity == severity
        assert dict(made.truth.shown)["inserts"] == f"{2 - severity} of 2"
        assert len(made.truth.whole.regions) == severity
        counts.append(brass(made.frames[0]))
    assert counts[0] > 1.5 * counts[1] > 1.5 * 1.5 * counts[2]


def test_a_part_without_inserts_is_refused() -> None:
    with pytest.raises(ValueError, match="fascia has no inserts"):
        render_specimen(SpecimenRequest("fascia", "white", 1, family="insert"))
