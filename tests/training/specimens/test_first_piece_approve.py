"""The page that approves a first piece: pictures and tag, signed by quality, all or nothing."""

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.conf import settings
from django.test import Client

from tests.conftest import NOON, PASSWORD
from tests.training.specimens import photographs as photo
from training.floor.models import FirstPiece, Job
from training.people.models import Person
from training.people.signing import signatures_of

SignIn = Callable[[Person], Client]
URL = "/jobs/901/first-piece/"

pytestmark = pytest.mark.usefixtures("clock")


def files() -> list[Path]:
    return [path for path in Path(settings.PICTURE_DIR).rglob("*") if path.is_file()]


def fields(**changed: Any) -> dict[str, Any]:
    sent: dict[str, Any] = {
        "pictures": [photo.upload(photo.oriented_jpeg(6), "IMG_1.jpg")],
        "revision": "A",
        "press": "P01",
        "reason": "start of run",
        "run": "R-9",
        "px_per_mm": "4.5",
        "secret": PASSWORD,
    } | changed
    return {name: value for name, value in sent.items() if value is not None}


def test_it_is_approved_signed_and_shown_on_the_sheet(
    office: SignIn, quality: Person, trainer: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    response = client.post(URL, fields(checked_by=trainer.personnel_no))
    assert response.status_code == 302
    piece = FirstPiece.objects.get()
    assert (piece.job, piece.approved_by, piece.checked_by) == (plant.job, quality, trainer)
    assert (piece.approved_at, piece.work_instruction) == (NOON, plant.sheet)
    assert piece.tag == {
        "press": "P01",
        "run": "R-9",
        "reason": "start of run",
        "wi_revision": "A",
    }
    signature = signatures_of(piece).get()
    assert (signature.person, signature.meaning, signature.method) == (
        quality,
        "approves first piece",
        "password",
    )
    page = client.get("/jobs/901/").content.decode()
    assert f"/first-pieces/{piece.pk}/" in page
    assert "Quentin Quality" in page
    assert client.get(f"/first-pieces/{piece.pk}/").status_code == 200


def test_the_whole_part_comes_first_then_close_ups(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    pictures = [photo.upload(photo.phone_jpeg(), f"IMG_{n}.jpg") for n in range(3)]
    office(quality).post(URL, fields(pictures=pictures))
    views = FirstPiece.objects.get().views.order_by("position")
    assert [view.kind for view in views] == ["whole", "close_up", "close_up"]
    assert [view.px_per_mm is not None for view in views] == [True, False, False]


def test_the_page_says_what_is_in_force(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    client.post(URL, fields(revision="C"))
    response = client.get(URL)
    assert response.context["form"].initial["revision"] == "C"
    assert "Revision C, approved" in response.content.decode()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"pictures": None}, "pictures"),
        ({"pictures": [photo.upload(b"no picture", "note.jpg")]}, "pictures"),
        ({"revision": ""}, "revision"),
        ({"press": "P99"}, "press"),
        ({"reason": ""}, "reason"),
        ({"px_per_mm": "-1"}, "px_per_mm"),
        ({"checked_by": "0"}, "checked_by"),
        ({"secret": "wrong"}, "secret"),
        ({"secret": ""}, "secret"),
    ],
)
def test_bad_input_names_the_field_and_keeps_nothing(
    office: SignIn,
    quality: Person,
    plant: SimpleNamespace,
    changed: dict[str, Any],
    field: str,
) -> None:
    for upload in changed.get("pictures") or []:
        upload.seek(0)
    response = office(quality).post(URL, fields(**changed))
    assert response.status_code == 400
    assert field in response.context["form"].errors
    assert not FirstPiece.objects.exists()
    assert files() == []


def test_who_approves_is_not_who_checked(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    response = office(quality).post(URL, fields(checked_by=quality.personnel_no))
    assert response.status_code == 400
    assert "not who checked it" in response.content.decode()
    assert not FirstPiece.objects.exists()
    assert files() == []


def test_a_job_without_a_sheet_says_what_to_do(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    Job.objects.create(number="902", part=plant.job.part, group=plant.job.group)
    page = office(quality).get("/jobs/902/first-piece/").content.decode()
    assert "Import or publish its first revision." in page
    response = office(quality).post("/jobs/902/first-piece/", fields(press=None))
    assert response.status_code == 400
    assert not FirstPiece.objects.exists()


def test_others_may_not(
    office: SignIn, trainer: Person, supervisor: Person, plant: SimpleNamespace
) -> None:
    for person in (trainer, supervisor):
        assert office(person).post(URL, fields()).status_code == 403
    assert not FirstPiece.objects.exists()


def test_an_unknown_job(office: SignIn, quality: Person) -> None:
    assert office(quality).get("/jobs/999/first-piece/").status_code == 404


def test_wrong_method(office: SignIn, quality: Person, plant: SimpleNamespace) -> None:
    assert office(quality).delete(URL).status_code == 405


def test_queries(
    office: SignIn,
    quality: Person,
    plant: SimpleNamespace,
    django_assert_max_num_queries: Callable[..., Any],
) -> None:
    client = office(quality)
    with django_assert_max_num_queries(12):
        client.get(URL)
