"""The page that brings a part in from its pictures, and the page for one more view."""

import io
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.training.specimens import photographs as photo
from training.people.models import Person
from training.specimens.models import Frame, Specimen, View

SignIn = Callable[[Person], Client]
URL = "/specimens/add/"

pytestmark = pytest.mark.usefixtures("clock")


def files() -> list[Path]:
    return [path for path in Path(settings.PICTURE_DIR).rglob("*") if path.is_file()]


def form(plant: SimpleNamespace, *pictures: SimpleUploadedFile, **fields: Any) -> dict[str, Any]:
    sent: dict[str, Any] = {
        "pictures": list(pictures) or [photo.upload(photo.phone_jpeg())],
        "change": "none",
        "job": plant.job.pk,
        "zone": "A",
        "family": plant.specks.pk,
        "severity": "0.4",
        "unit": "mm",
        "pool": "exam",
    } | fields
    return {name: value for name, value in sent.items() if value is not None}


def test_keeps_three_phone_pictures_upright(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    turned = [photo.upload(photo.oriented_jpeg(n), f"IMG_{n}.jpg") for n in (6, 3, 8)]
    response = office(quality).post(URL, form(plant, *turned, note="From the bag of 24 Nov"))
    specimen = Specimen.objects.get()
    assert response.status_code == 302
    assert response.headers["Location"] == reverse("specimens:specimen_detail", args=[specimen.pk])
    assert specimen.note == {"en": "From the bag of 24 Nov"}
    assert specimen.created_by == quality
    assert {(f.width, f.height) for f in Frame.objects.all()} == {(400, 300)}


@pytest.mark.parametrize(
    ("data", "name", "words"),
    [
        (b"job;part\n101;fascia\n", "list.jpg", "text file"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "logo.png", "drawing (SVG)"),
        (photo.phone_jpeg()[:-300], "IMG_7.jpg", "damaged or incomplete"),
        (b"", "empty.jpg", "The file is empty"),
        (photo.png_bomb(20_000, 10_000), "huge.png", "At most 50 megapixels"),
        (photo.encoded(photo.quarters(), "GIF"), "moving.gif", "GIF files are not taken"),
    ],
)
def test_a_bad_file_is_named_with_its_remedy_and_nothing_is_kept(
    office: SignIn, quality: Person, plant: SimpleNamespace, data: bytes, name: str, words: str
) -> None:
    bad = SimpleUploadedFile(name, data, content_type="image/jpeg")
    good = photo.upload(photo.phone_jpeg())
    response = office(quality).post(URL, form(plant, good, bad))
    assert response.status_code == 400
    page = response.content.decode()
    assert f"{name}: " in page
    assert words in page
    assert "Choose the pictures again" in page
    assert files() == []
    assert not Specimen.objects.exists()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"pictures": None}, "This field is required"),
        ({"unit": ""}, "Say in which unit"),
        ({"severity": "-1"}, "greater than or equal to 0"),
        ({"severity": "0,4 mm"}, "Enter a number"),
        ({"job": "11111111-1111-1111-1111-111111111111"}, "valid choice"),
        ({"zone": "Q"}, "valid choice"),
        ({"pool": "both"}, "valid choice"),
        ({"px_per_mm": "0"}, "greater than or equal"),
        ({"number": "x" * 21}, "at most 20 characters"),
    ],
)
def test_bad_facts_are_refused_by_field(
    office: SignIn, quality: Person, plant: SimpleNamespace, fields: dict[str, Any], words: str
) -> None:
    response = office(quality).post(URL, form(plant, **fields))
    assert response.status_code == 400
    assert words in response.content.decode()
    assert files() == []
    assert not Specimen.objects.exists()


def test_starts_from_the_job_asked_for(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    page = office(quality).get(URL, {"job": plant.job.pk}).content.decode()
    assert f'value="{plant.job.pk}" selected' in page
    assert "901 Bench cover" in page


def test_others_may_not(
    office: SignIn,
    floor: SignIn,
    plant: SimpleNamespace,
    operator: Person,
    trainer: Person,
    auditor: Person,
    quality: Person,
) -> None:
    clients = [office(person) for person in (operator, trainer, auditor)] + [floor(quality)]
    for client in clients:
        assert client.get(URL).status_code == 403
        assert client.post(URL, form(plant)).status_code == 403
    assert Client().post(URL, form(plant)).status_code == 302
    assert files() == []
    assert office(quality).put(URL).status_code == 405


def test_queries_do_not_grow_with_the_pictures(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)

    def count(pictures: int) -> int:
        sent = [photo.upload(photo.phone_jpeg(), f"{n}.jpg") for n in range(pictures)]
        with CaptureQueriesContext(connection) as caught:
            assert client.post(URL, form(plant, *sent, change="tilt")).status_code == 302
        return len(caught)

    count(1)
    assert count(1) == count(6)


def test_one_more_view(
    office: SignIn, quality: Person, make_specimen: Callable[..., Specimen]
) -> None:
    specimen = make_specimen()
    url = reverse("specimens:view_add", args=[specimen.pk])
    client = office(quality)
    assert client.get(url).status_code == 200
    sent = {"pictures": [photo.upload(photo.phone_jpeg())], "kind": "close_up", "change": "none"}
    response = client.post(url, sent)
    assert response.headers["Location"].endswith(f"{specimen.pk}/?view=1")
    assert specimen.views.count() == 2
    pair = [photo.upload(photo.phone_jpeg()) for _ in range(2)]
    two: dict[str, Any] = {"pictures": pair, "kind": "close_up"}
    response = client.post(url, two | {"change": "none"})
    assert response.status_code == 400
    assert "differ in tilt or in light" in response.content.decode()
    assert client.post(url, two | {"change": "tilt"}).status_code == 400, "files are read once"
    for upload in pair:
        upload.seek(0)
    assert client.post(url, two | {"change": "tilt"}).status_code == 302
    assert View.objects.count() == 3


def test_one_more_view_has_its_own_checks(
    office: SignIn, quality: Person, trainer: Person, make_specimen: Callable[..., Specimen]
) -> None:
    specimen = make_specimen()
    url = reverse("specimens:view_add", args=[specimen.pk])
    before = len(files())
    bad = {"pictures": [photo.upload(b"words", "a.jpg")], "kind": "whole", "change": "none"}
    response = office(quality).post(url, bad)
    assert response.status_code == 400
    assert "a.jpg: This is a text file" in response.content.decode()
    assert office(trainer).post(url, bad).status_code == 403
    assert office(quality).delete(url).status_code == 405
    unknown = reverse("specimens:view_add", args=["11111111-1111-1111-1111-111111111111"])
    assert office(quality).get(unknown).status_code == 404
    assert len(files()) == before


def test_a_form_without_files_at_all(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    response = office(quality).post(URL, io.BytesIO(b"rubbish"), content_type="image/jpeg")
    assert response.status_code == 400


def test_says_in_spanish_what_is_taken(office: SignIn, quality: Person) -> None:
    page = office(quality).get(URL, headers={"accept-language": "es"}).content.decode()
    assert "directo del teléfono; hasta 40 MB" in page
