"""Adding specimens and views from phones: all of it or nothing."""

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from tests.conftest import NOON
from tests.training.specimens import photographs as photo
from training.floor.models import FirstPiece
from training.people.models import Person
from training.specimens.models import Frame, Specimen, View
from training.specimens.services import adding
from training.specimens.services.adding import add_view

Make = Callable[..., Specimen]


def files() -> list[Path]:
    return [path for path in Path(settings.PICTURE_DIR).rglob("*") if path.is_file()]


def problem(call: Callable[[], object]) -> dict[str, list[str]]:
    with pytest.raises(ValidationError) as caught:
        call()
    return caught.value.message_dict


def test_one_picture_is_one_view_of_the_whole_part(
    make_specimen: Make, quality: Person, plant: SimpleNamespace
) -> None:
    made = make_specimen(px_per_mm=Decimal("12.5"))
    made.refresh_from_db()
    assert (made.number, made.severity, made.unit) == ("S-00001", Decimal("0.45"), "mm")
    assert (made.created_by, made.created_at, made.synthetic) == (quality, NOON, False)
    view = made.views.get()
    assert (view.kind, view.change, view.px_per_mm) == ("whole", "none", Decimal("12.5"))
    frame = view.frames.get()
    path = Path(settings.PICTURE_DIR) / frame.file
    assert photo.opened(path.read_bytes()).size == (frame.width, frame.height) == (400, 300)
    assert len(frame.file.split("/")) == 3
    assert "IMG" not in frame.file


def test_several_pictures_are_the_whole_part_and_close_ups(make_specimen: Make) -> None:
    made = make_specimen(photo.phone_jpeg(), photo.phone_jpeg(), photo.phone_jpeg(300, 400))
    assert [(each.kind, each.position) for each in made.views.all()] == [
        ("whole", 0),
        ("close_up", 1),
        ("close_up", 2),
    ]


def test_several_pictures_under_tilt_are_frames_of_one_view(make_specimen: Make) -> None:
    made = make_specimen(photo.phone_jpeg(), photo.phone_jpeg(), change="tilt")
    frames = made.views.get().frames.all()
    assert [each.position for each in frames] == [0, 1]
    assert len({each.file for each in frames}) == 2


def test_frames_of_another_size_are_refused_by_name(make_specimen: Make) -> None:
    errors = problem(
        lambda: make_specimen(photo.phone_jpeg(), photo.phone_jpeg(300, 400), change="light")
    )
    assert "IMG_1.jpg: 300 × 400" in errors["pictures"][0]
    assert_nothing_kept()


def test_the_scale_follows_a_picture_that_is_made_smaller(make_specimen: Make) -> None:
    made = make_specimen(photo.encoded(photo.quarters(6000, 3000)), px_per_mm=Decimal(20))
    assert made.views.get().px_per_mm == 10


def assert_nothing_kept() -> None:
    assert files() == []
    for model in (Specimen, View, Frame):
        assert not model._default_manager.exists()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"words in a file", "text file"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "drawing"),
        (photo.phone_jpeg()[:700], "damaged"),
        (photo.png_bomb(20_000, 10_000), "20000 × 10000"),
    ],
)
def test_one_bad_file_among_good_ones_leaves_nothing_behind(
    make_specimen: Make, data: bytes, words: str
) -> None:
    errors = problem(lambda: make_specimen(photo.phone_jpeg(), data, photo.phone_jpeg()))
    assert len(errors["pictures"]) == 1
    assert errors["pictures"][0].startswith("IMG_1.jpg: ")
    assert words in errors["pictures"][0]
    assert_nothing_kept()


def test_a_failure_while_rows_are_written_leaves_no_file(
    make_specimen: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object, **__: object) -> None:
        raise IntegrityError("the disk is full")

    monkeypatch.setattr(Frame.objects, "bulk_create", fails)
    with pytest.raises(IntegrityError):
        make_specimen()
    assert_nothing_kept()


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"severity": "0.4", "unit": ""}, "unit"),
        ({"severity": None, "unit": "mm"}, "severity"),
        ({"severity": "0.4", "unit": "inch"}, "unit"),
        ({"severity": "-1"}, "severity"),
        ({"zone": "Q"}, "zone"),
        ({"pool": "both"}, "pool"),
        ({"number": "x" * 30}, "number"),
    ],
)
def test_bad_facts_are_named_by_field(
    make_specimen: Make, fields: dict[str, Any], field: str
) -> None:
    assert field in problem(lambda: make_specimen(**fields))
    assert_nothing_kept()


def test_a_number_is_given_once(make_specimen: Make) -> None:
    make_specimen(number=" P-17 ")
    assert "number" in problem(lambda: make_specimen(number="P-17"))
    assert Specimen.objects.get().number == "P-17"
    assert len(files()) == 2


def test_a_number_somebody_else_took_meanwhile_is_passed_over(
    make_specimen: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_specimen()
    offered = iter([iter(["S-00001"]), iter(["S-00001"]), iter(["S-00002"])])
    monkeypatch.setattr(adding, "numbers_from_next", lambda: next(offered))
    assert make_specimen().number == "S-00002"


def test_no_picture_and_too_many_are_refused(make_specimen: Make, plant: SimpleNamespace) -> None:
    with pytest.raises(ValidationError, match="at least one"):
        add_view(pictures=[])
    many = [photo.upload(b"x")] * 25
    with pytest.raises(ValidationError, match="At most 24"):
        add_view(pictures=many, change="tilt")


def test_adds_a_view_after_those_there_are(make_specimen: Make) -> None:
    specimen = make_specimen()
    view = add_view(specimen=specimen, pictures=[photo.upload(photo.phone_jpeg())])
    assert (view.position, view.kind) == (1, "close_up")
    errors = problem(
        lambda: add_view(specimen=specimen, pictures=[photo.upload(photo.phone_jpeg())] * 2)
    )
    assert "change" in errors
    assert specimen.views.count() == 2


def test_adds_a_view_to_a_first_piece(plant: SimpleNamespace, quality: Person) -> None:
    piece = FirstPiece.objects.create(
        job=plant.job, revision="1", approved_at=NOON, approved_by=quality
    )
    view = add_view(first_piece=piece, pictures=[photo.upload(photo.phone_jpeg())], kind="whole")
    assert (view.position, view.first_piece, view.specimen) == (0, piece, None)
