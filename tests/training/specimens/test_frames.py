"""Pictures behind an access check: bytes that tell nothing but the picture."""

import uuid
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON
from tests.training.specimens import photographs as photo
from training.floor.models import FirstPiece
from training.people.models import Person
from training.specimens.models import Frame, Specimen
from training.specimens.services.bulk import NewFrame, NewView, add_first_piece_views

STEP = 16 * 1024
Bank = Callable[..., list[Specimen]]
SignIn = Callable[[Person], Client]


def body(response: Any) -> bytes:
    content: bytes = response.content
    return content


def address(specimen: Specimen, name: str = "frame", view: int = 0, frame: int = 0) -> str:
    return reverse(f"specimens:{name}", args=[specimen.pk, view, frame])


@pytest.mark.parametrize("name", ["frame", "small_frame"])
def test_quality_gets_the_picture(
    make_bank: Bank, office: SignIn, quality: Person, name: str
) -> None:
    (specimen,) = make_bank(1)
    response = office(quality).get(address(specimen, name))
    assert response.status_code == 200
    assert response.headers["Content-Type"] == "image/jpeg"
    stored = Frame.objects.get().file
    kept = (Path(settings.PICTURE_DIR) / stored).read_bytes()
    shown = photo.opened(body(response))
    if name == "frame":
        assert np.array_equal(np.asarray(shown), np.asarray(photo.opened(kept)))
    assert max(shown.size) == 240


def test_nothing_but_the_picture_is_told(make_bank: Bank, office: SignIn, quality: Person) -> None:
    """Good and bad, photographed and rendered: the heads of the answers are the same."""
    client = office(quality)
    heads = []
    for specimen in make_bank(2):
        response = client.get(address(specimen))
        assert len(body(response)) % STEP == 0
        heads.append(dict(response.headers))
    assert heads[0] == heads[1]
    head = heads[0]
    assert head["Cache-Control"] == "private, max-age=3600, no-transform"
    assert head["Content-Disposition"] == "inline"
    assert head["X-Content-Type-Options"] == "nosniff"
    for telling in ("ETag", "Last-Modified", "Content-Location", "Link", "Server-Timing"):
        assert telling not in head
    assert not any("S-0000" in value or ".jpg" in value for value in head.values())


def test_a_browser_is_never_told_that_nothing_changed(
    make_bank: Bank, office: SignIn, quality: Person
) -> None:
    (specimen,) = make_bank(1)
    response = office(quality).get(
        address(specimen),
        headers={"if-modified-since": "Wed, 21 Oct 2099 07:28:00 GMT", "if-none-match": "*"},
    )
    assert response.status_code == 200


def test_webp_of_our_own_is_sent_as_webp(make_bank: Bank, office: SignIn, quality: Person) -> None:
    picture = photo.encoded(photo.quarters(), "WEBP")
    (specimen,) = make_bank(1, views=[NewView([NewFrame(picture)])])
    response = office(quality).get(address(specimen))
    assert response.headers["Content-Type"] == "image/webp"
    assert len(body(response)) % STEP == 0
    before, after = photo.opened(picture), photo.opened(body(response))
    assert np.array_equal(np.asarray(before), np.asarray(after))
    small = office(quality).get(address(specimen, "small_frame"))
    assert small.headers["Content-Type"] == "image/jpeg"


def test_trainers_see_what_teaches_and_nothing_that_examines(
    make_bank: Bank, office: SignIn, trainer: Person, auditor: Person
) -> None:
    (exam,) = make_bank(1)
    (teaching,) = make_bank(1, pool="teaching")
    assert office(trainer).get(address(exam)).status_code == 404
    assert office(trainer).get(address(exam, "small_frame")).status_code == 404
    assert office(trainer).get(address(teaching)).status_code == 200
    assert office(auditor).get(address(exam)).status_code == 200


def test_others_may_not(
    make_bank: Bank,
    office: SignIn,
    floor: SignIn,
    operator: Person,
    supervisor: Person,
    quality: Person,
) -> None:
    (specimen,) = make_bank(1)
    for client in (office(operator), office(supervisor), floor(operator), floor(quality)):
        for name in ("frame", "small_frame"):
            assert client.get(address(specimen, name)).status_code == 403
    assert Client().get(address(specimen)).status_code == 302


def test_what_is_not_there_is_not_found(make_bank: Bank, office: SignIn, quality: Person) -> None:
    one, other = make_bank(2)
    client = office(quality)
    assert client.get(address(one, view=1)).status_code == 404
    assert client.get(address(one, frame=1)).status_code == 404
    assert client.get(reverse("specimens:frame", args=[uuid.uuid4(), 0, 0])).status_code == 404
    assert client.get(address(other)).status_code == 200
    assert client.post(address(other)).status_code == 405


def test_a_lost_file_is_not_found_and_logged(
    make_bank: Bank, office: SignIn, quality: Person, caplog: pytest.LogCaptureFixture
) -> None:
    (specimen,) = make_bank(1)
    (Path(settings.PICTURE_DIR) / Frame.objects.get().file).unlink()
    assert office(quality).get(address(specimen)).status_code == 404
    assert str(Frame.objects.get().pk) in caplog.text


def test_no_name_leads_out_of_the_folder(
    make_bank: Bank, office: SignIn, quality: Person, tmp_path: Path
) -> None:
    (specimen,) = make_bank(1)
    (tmp_path / "secret.jpg").write_bytes(b"secret")
    Frame.objects.update(file="../secret.jpg")
    with pytest.raises(ValueError, match="not the name of a picture"):
        office(quality).get(address(specimen))


@pytest.mark.parametrize("name", ["frame", "small_frame"])
def test_a_picture_costs_few_queries(
    make_bank: Bank, office: SignIn, quality: Person, name: str, django_assert_max_num_queries: Any
) -> None:
    (specimen,) = make_bank(1)
    client = office(quality)
    with django_assert_max_num_queries(6):
        client.get(address(specimen, name))


@pytest.fixture
def piece(plant: SimpleNamespace, quality: Person) -> FirstPiece:
    piece = FirstPiece.objects.create(
        job=plant.job, revision="1", approved_at=NOON, approved_by=quality
    )
    upright = photo.quarters(240, 180)
    frames = [NewFrame(upright), NewFrame(upright.rotate(180))]
    close_up = NewView([NewFrame(photo.quarters(300, 200))], kind="close_up")
    add_first_piece_views(piece, [NewView(frames, change="tilt"), close_up])
    return piece


def test_everybody_who_is_signed_in_sees_the_first_piece(
    piece: FirstPiece, office: SignIn, floor: SignIn, operator: Person, supervisor: Person
) -> None:
    wide = []
    for number in range(3):
        response = floor(operator).get(
            reverse("specimens:first_piece_frame", args=[piece.pk, number])
        )
        assert response.status_code == 200
        assert len(body(response)) % STEP == 0
        wide.append(photo.opened(body(response)).width)
    assert wide == [240, 240, 300]
    first = reverse("specimens:first_piece_frame", args=[piece.pk, 0])
    assert office(supervisor).get(first).status_code == 200
    assert Client().get(first).status_code == 302
    assert office(supervisor).post(first).status_code == 405


def test_the_picture_that_stands_for_a_first_piece_is_the_middle_one_of_its_first_view(
    plant: SimpleNamespace, piece: FirstPiece, office: SignIn, floor: SignIn, operator: Person
) -> None:
    """At the lowest angle of the light there is nearly nothing to see."""
    url = reverse("specimens:first_piece_picture", args=[piece.pk])
    second = reverse("specimens:first_piece_frame", args=[piece.pk, 1])
    first = reverse("specimens:first_piece_frame", args=[piece.pk, 0])
    shown = body(floor(operator).get(url))
    assert shown == body(floor(operator).get(second))
    assert shown != body(floor(operator).get(first))
    assert Client().get(url).status_code == 302
    assert office(operator).post(url).status_code == 405
    nothing = reverse("specimens:first_piece_picture", args=[uuid.uuid4()])
    assert office(operator).get(nothing).status_code == 404
    sheet = floor(operator).get(reverse("floor:job_sheet", args=[plant.job.number]))
    assert f'src="{url}"' in sheet.content.decode()


def test_a_frame_the_first_piece_does_not_have(
    piece: FirstPiece, office: SignIn, quality: Person
) -> None:
    for pk, number in ((piece.pk, 3), (uuid.uuid4(), 0)):
        url = reverse("specimens:first_piece_frame", args=[pk, number])
        assert office(quality).get(url).status_code == 404


def test_a_specimen_cannot_be_had_as_a_first_piece(
    make_bank: Bank, office: SignIn, operator: Person
) -> None:
    (specimen,) = make_bank(1)
    url = reverse("specimens:first_piece_frame", args=[specimen.pk, 0])
    assert office(operator).get(url).status_code == 404
