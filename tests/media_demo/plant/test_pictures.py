"""Keeping what was drawn: resumed where it stopped, decided by what was measured, labelled truly."""

import io
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from PIL import Image

from media_demo.pictures.truth import Look, Truth
from media_demo.plant import pictures
from media_demo.plant.bank import BAD, EXAM, NEAR, Planned, plan_bank
from media_demo.plant.build import Plant, build_plant, calendar_of
from media_demo.plant.draw import Drawn, DrawnFirstPiece, DrawnView, Lossless
from media_demo.plant.pictures import draw_bank, draw_first_pieces, wanted
from media_demo.plant.places import TAUGHT_ONLY
from tests.conftest import NOON
from training.floor.models import Family, FirstPiece
from training.specimens.models import Frame, Pool, ReferenceDecision, Region, Specimen, View
from training.specimens.pictures.encode import encode

pytestmark = pytest.mark.django_db

SQUARE = ((5.0, 5.0), (15.0, 5.0), (15.0, 15.0))


def drawn_as_planned(planned: Planned) -> Drawn:
    """Stands in for the renderer: small grey pictures, and the truth the plan asks for."""
    image = Image.new("RGB", (40, 30), (90, 90, 90))
    marked = planned.severity is not None
    look = Look((SQUARE,) if marked else (), 6.0, 3.0 if marked else 0.0, 0)
    frame: Any = encode(image)
    if planned.family == TAUGHT_ONLY:
        out = io.BytesIO()
        image.save(out, "WEBP", lossless=True)
        frame = Lossless(out.getvalue(), 40, 30)
    angles = tuple(float(i) for i in range(planned.frames))
    views = (DrawnView((frame,) * planned.frames, False, look, angles),)
    family = planned.family if marked else None
    severity = planned.severity or 0.0
    truth = Truth(family, severity, "mm", severity, "A", "here", look, None, planned.seed)
    return Drawn(planned, views, truth)


@pytest.fixture
def plant(monkeypatch: pytest.MonkeyPatch) -> Plant:
    def in_order(_pool: object, work: Callable[..., Any], given: Any) -> Iterator[Any]:
        for arguments in given:
            yield work(*arguments)

    monkeypatch.setattr(pictures, "drawing_pool", nullcontext)
    monkeypatch.setattr(pictures, "in_order", in_order)
    monkeypatch.setattr(pictures, "draw_specimen", drawn_as_planned)
    return build_plant(NOON, lambda _line: None)


def keep(planned: list[Planned]) -> int:
    day = calendar_of(NOON).today
    return draw_bank(planned, day=day, now=lambda: NOON, progress=lambda _done, _all: None)


def some(**traits: object) -> Planned:
    return next(
        planned
        for planned in plan_bank()
        if all(getattr(planned, name) == value for name, value in traits.items())
    )


def test_it_goes_on_where_it_stopped(plant: Plant) -> None:
    everything = wanted(first_hour=False)
    assert everything == list(plan_bank())
    assert keep(everything[:20]) == 20
    rest = wanted(first_hour=False)
    assert [p.number for p in rest] == [p.number for p in everything[20:]]
    assert keep(rest[:5]) == 5
    assert len(wanted(first_hour=True)) == 160 - 25
    assert Specimen.objects.filter(synthetic=True).count() == 25


def test_a_crash_in_a_batch_keeps_the_batches_before(
    plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    todo = wanted(first_hour=True)

    def fails_at_the_tenth(planned: Planned) -> Drawn:
        if planned == todo[9]:
            raise RuntimeError("out of paper")
        return drawn_as_planned(planned)

    monkeypatch.setattr(pictures, "draw_specimen", fails_at_the_tenth)
    with pytest.raises(RuntimeError, match="out of paper"):
        keep(todo)
    kept = set(Specimen.objects.filter(synthetic=True).values_list("number", flat=True))
    assert kept == {planned.number for planned in todo[: pictures.BATCH]}


def test_a_bad_gauge_reading_is_decided_in_the_limits_unit(plant: Plant) -> None:
    planned = some(family="warp", unit="mm_per_200mm", kind=BAD)
    keep([planned])
    specimen = Specimen.objects.get(number=planned.number)
    assert specimen.unit == "mm_per_200mm"
    decision = ReferenceDecision.objects.get(specimen=specimen)
    assert (decision.decision, decision.basis) == ("reject", "measured")
    assert planned.ratio is not None
    assert decision.severity_ratio == pytest.approx(Decimal(planned.ratio), abs=Decimal("0.001"))
    assert specimen.severity == pytest.approx(
        Decimal(planned.ratio * (planned.limit or 0)), abs=Decimal("0.001")
    )
    assert specimen.recipe["gauge"] is True
    assert specimen.recipe["visible"] is True


def test_scenes_are_refused_for_their_family_and_accepted_right(plant: Plant) -> None:
    for family in ("mixed-hands", "wrong-label", "wrong-pack", "insert"):
        bad = some(family=family, kind=BAD, gauge=False)
        good = some(family=family, kind=NEAR, gauge=False)
        keep([bad, good])
        decided = {
            row.specimen.number: row
            for row in ReferenceDecision.objects.filter(
                specimen__number__in=[bad.number, good.number]
            ).select_related("specimen", "family")
        }
        assert decided[bad.number].decision == "reject"
        assert decided[bad.number].clear
        assert decided[bad.number].family == Family.objects.get(slug=family)
        assert decided[good.number].decision == "accept"
        assert Region.objects.filter(view__specimen__number=bad.number).exists()
        assert not Region.objects.filter(view__specimen__number=good.number).exists()


def test_what_cannot_be_seen_is_labelled_and_examines_nobody(
    plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    def hidden(planned: Planned) -> Drawn:
        drawn = drawn_as_planned(planned)
        look = replace(drawn.views[0].look, visibility=0.3)
        views = (replace(drawn.views[0], look=look),)
        return replace(drawn, views=views, truth=replace(drawn.truth, whole=look))

    monkeypatch.setattr(pictures, "draw_specimen", hidden)
    planned = some(family="crack", kind=BAD, pool=EXAM)
    keep([planned])
    specimen = Specimen.objects.get(number=planned.number)
    assert specimen.pool == Pool.NEITHER
    assert specimen.recipe["visible"] is False
    assert not ReferenceDecision.objects.filter(specimen=specimen).exists()


def test_colours_are_taught_from_lossless_pictures(plant: Plant) -> None:
    planned = some(family=TAUGHT_ONLY, kind=BAD)
    keep([planned])
    specimen = Specimen.objects.get(number=planned.number)
    assert specimen.pool == Pool.TEACHING
    assert Frame.objects.get(view__specimen=specimen).file.endswith(".webp")


def test_a_first_piece_is_swept_where_its_specimens_are(
    plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: dict[str, int] = {}

    def piece(product: str, colour: str, hand: str | None, seed: int, frames: int) -> Any:
        asked[f"{product} {colour}"] = frames
        frame = encode(Image.new("RGB", (40, 30), (seed % 200, 90, 90)))
        corners = ((0.1, 0.1), (0.9, 0.1), (0.1, 0.9), (0.9, 0.9))
        angles = tuple(float(i) for i in range(frames))
        return DrawnFirstPiece((frame,) * frames, angles, 4.0, corners)

    monkeypatch.setattr(pictures, "draw_first_piece", piece)
    total = FirstPiece.objects.count()
    assert draw_first_pieces(NOON, lambda _done, _all: None, tonight=False) == total
    assert asked["PR01 white"] == 9
    assert asked["PR08 black"] == 1
    swept = View.objects.filter(first_piece__job__product__code="PR01", change=View.Change.LIGHT)
    assert swept.exists()
    assert all(view.frames.count() == 9 for view in swept)
    assert swept[0].frames.exclude(angle_deg=None).count() == 9
    assert draw_first_pieces(NOON, lambda _done, _all: None, tonight=False) == 0
