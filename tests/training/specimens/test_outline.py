"""The outline tool: outlines and scale as text, with or without a pointer."""

import uuid
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from training.people.models import Person
from training.specimens.models import Region, Specimen, View
from training.specimens.services.outlining import outline_region

SignIn = Callable[[Person], Client]
pytestmark = pytest.mark.usefixtures("clock")


@pytest.fixture
def view(make_specimen: Callable[..., Specimen]) -> View:
    return make_specimen().views.get()


def url(view: View, place: int = 0) -> str:
    return reverse("specimens:outline", args=[view.specimen_id, place])


def test_keeps_outlines_written_as_text(
    view: View, office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    lines = "10,10 60.5,12 40,50\r\n\r\n  200 , 100   250,100 225,160\n"
    response = client.post(url(view), {"what": "outline", "polygons": lines}, follow=True)
    assert "The outline is kept." in response.content.decode()
    region = Region.objects.get()
    assert region.family == plant.specks
    assert region.polygons == [
        [[10.0, 10.0], [60.5, 12.0], [40.0, 50.0]],
        [[200.0, 100.0], [250.0, 100.0], [225.0, 160.0]],
    ]
    page = client.get(url(view)).content.decode()
    assert "10,10 60.5,12 40,50\n200,100 250,100 225,160" in page
    client.post(url(view), {"what": "outline", "polygons": " "})
    assert not Region.objects.exists()


@pytest.mark.parametrize(
    ("polygons", "words"),
    [
        ("10,10 20,20", "Outline 1 has 2 points. Set at least three."),
        ("10,10 20;20 30,30", "two numbers with a comma between"),
        ("10,10 60,10 40,50\n0,0 900,0 0,90", "Outline 2: point 2 (900.0, 0.0) lies outside"),
        ("-5,10 60,10 40,50", "point 1 (-5.0, 10.0) lies outside"),
        ("0,0 100,100 100,0 0,100", "crosses itself: sides 1 and 3"),
        ("<script>alert(1)</script>", "two numbers"),
        ("1,1 " * 20_000, "at most 60000 characters"),
        ("9" * 400 + ",1 1,1 2,5", "two numbers"),
    ],
)
def test_a_bad_outline_is_named_and_stays_in_the_form(
    view: View,
    office: SignIn,
    quality: Person,
    plant: SimpleNamespace,
    polygons: str,
    words: str,
) -> None:
    outline_region(view=view, family=plant.specks, polygons=[[[1, 1], [9, 1], [5, 9]]])
    response = office(quality).post(url(view), {"what": "outline", "polygons": polygons})
    assert response.status_code == 400
    page = response.content.decode()
    assert words in page
    assert "<script>alert" not in page
    assert len(Region.objects.get().polygons[0]) == 3


def test_sets_the_scale_by_a_known_length(view: View, office: SignIn, quality: Person) -> None:
    sent = {"what": "scale", "x1": "100", "y1": "50", "x2": "300", "y2": "50", "millimetres": "40"}
    response = office(quality).post(url(view), sent, follow=True)
    assert "5 px per mm" in response.content.decode()
    view.refresh_from_db()
    assert view.px_per_mm == Decimal(5)


@pytest.mark.parametrize(
    "fields",
    [
        {"millimetres": "0"},
        {"millimetres": "forty"},
        {"x2": "104", "y2": "50"},
        {"x2": "4000"},
        {"x1": ""},
        {"x1": "nan"},
        {"millimetres": "4999"},
    ],
)
def test_a_scale_that_cannot_be_is_refused(
    view: View, office: SignIn, quality: Person, fields: dict[str, str]
) -> None:
    sent = {"what": "scale", "x1": "100", "y1": "50", "x2": "300", "y2": "50", "millimetres": "40"}
    response = office(quality).post(url(view), sent | fields)
    assert response.status_code == 400
    assert "To put right" in response.content.decode()
    view.refresh_from_db()
    assert view.px_per_mm is None


def test_what_else_is_sent_changes_nothing(view: View, office: SignIn, quality: Person) -> None:
    assert office(quality).post(url(view), {"polygons": "1,1 9,1 5,9"}).status_code == 400
    assert not Region.objects.exists()


def test_who_may_and_what_there_is(
    view: View,
    office: SignIn,
    floor: SignIn,
    trainer: Person,
    auditor: Person,
    quality: Person,
) -> None:
    sent = {"what": "outline", "polygons": "1,1 9,1 5,9"}
    for client in (office(trainer), office(auditor), floor(quality)):
        assert client.get(url(view)).status_code == 403
        assert client.post(url(view), sent).status_code == 403
    assert Client().post(url(view), sent).status_code == 302
    client = office(quality)
    assert client.get(url(view, 1)).status_code == 404
    unknown = reverse("specimens:outline", args=[uuid.uuid4(), 0])
    assert client.get(unknown).status_code == 404
    assert client.put(url(view)).status_code == 405
    assert not Region.objects.exists()
    view.frames.all().delete()
    assert client.get(url(view)).status_code == 404


def test_more_outlines_cost_no_more_queries(
    view: View, office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)

    def count(outlines: int) -> int:
        text = "\n".join(f"{x},10 {x + 8},10 {x + 4},18" for x in range(0, outlines * 10, 10))
        with CaptureQueriesContext(connection) as caught:
            assert client.post(url(view), {"what": "outline", "polygons": text}).status_code == 302
        return len(caught)

    count(1)
    assert count(3) == count(30)
