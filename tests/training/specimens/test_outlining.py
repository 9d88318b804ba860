"""Outlines in place of others, and the scale of a picture."""

from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError

from training.specimens.models import Region, Specimen, View
from training.specimens.services.outlining import outline_region, set_scale

SQUARE = [[50, 50], [120, 50], [120, 120], [50, 120]]


@pytest.fixture
def view(make_specimen: Callable[..., Specimen]) -> View:
    return make_specimen().views.get()


def test_an_outline_takes_the_place_of_the_one_before(view: View, plant: SimpleNamespace) -> None:
    outline_region(view=view, family=plant.specks, polygons=[SQUARE])
    outline_region(view=view, family=plant.burn, polygons=[SQUARE])
    triangle = [[10, 10], [20, 10], [15, 20]]
    region = outline_region(view=view, family=plant.specks, polygons=[triangle, SQUARE])
    assert region is not None
    assert view.regions.count() == 2
    kept = view.regions.get(family=plant.specks).polygons
    assert kept == [
        [[10.0, 10.0], [20.0, 10.0], [15.0, 20.0]],
        [[float(n) for n in p] for p in SQUARE],
    ]


def test_no_polygon_takes_the_outline_away(view: View, plant: SimpleNamespace) -> None:
    outline_region(view=view, family=plant.specks, polygons=[SQUARE])
    assert outline_region(view=view, family=plant.specks, polygons=[]) is None
    assert not Region.objects.exists()


@pytest.mark.parametrize(
    ("polygon", "words"),
    [
        ([[0, 0], [1, 1]], "Outline 2 has 2 points"),
        ([[0, 0], [401, 0], [0, 100]], r"point 2 \(401.0, 0.0\) lies outside"),
        ([[0, 0], [100, 100], [100, 0], [0, 100]], "crosses itself: sides 1 and 3"),
        ([["x", 0], [100, 100], [100, 0]], "two numbers"),
        ([[0, 0], [1, 0], [0.6, 0.6]], "encloses nothing"),
        ([[k % 20 * 10, k] for k in range(299)] * 2, "at most"),
    ],
)
def test_a_bad_outline_is_named_and_the_old_one_stays(
    view: View, plant: SimpleNamespace, polygon: list[list[float]], words: str
) -> None:
    outline_region(view=view, family=plant.specks, polygons=[SQUARE])
    with pytest.raises(ValidationError, match=words):
        outline_region(view=view, family=plant.specks, polygons=[SQUARE, polygon])
    assert len(view.regions.get().polygons) == 1


def test_too_many_outlines(view: View, plant: SimpleNamespace) -> None:
    with pytest.raises(ValidationError, match="At most 60"):
        outline_region(view=view, family=plant.specks, polygons=[SQUARE] * 61)


def test_a_view_without_a_picture_cannot_be_outlined(view: View, plant: SimpleNamespace) -> None:
    view.frames.all().delete()
    with pytest.raises(ValidationError, match="no picture"):
        outline_region(view=view, family=plant.specks, polygons=[SQUARE])


def test_the_scale_is_a_known_length_on_the_picture(view: View) -> None:
    set_scale(view=view, start=(30, 40), end=(330, 240), millimetres=Decimal("36.0555"))
    view.refresh_from_db()
    # sqrt(300² + 200²) = 360.555 pixels over 36.0555 mm.
    assert view.px_per_mm == Decimal("10.0000")


@pytest.mark.parametrize(
    ("start", "end", "length"),
    [
        ((0, 0), (5, 5), "10"),
        ((0, 0), (401, 0), "10"),
        ((0, 0), (300, 0), "0"),
        ((0, 0), (300, 0), "-3"),
        ((0, 0), (300, 0), "99999"),
        ((0, 0), (300, 0), "0.01"),
    ],
)
def test_a_scale_that_cannot_be_is_refused(
    view: View, start: tuple[float, float], end: tuple[float, float], length: str
) -> None:
    with pytest.raises(ValidationError) as caught:
        set_scale(view=view, start=start, end=end, millimetres=Decimal(length))
    assert "millimetres" in caught.value.message_dict
    view.refresh_from_db()
    assert view.px_per_mm is None
