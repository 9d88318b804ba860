"""The bulk path: hundreds of specimens with few queries, all or nothing."""

import datetime as dt
import uuid
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image

from tests.conftest import NOON, TODAY
from tests.training.specimens import photographs as photo
from tests.training.specimens.conftest import SQUARE
from training.floor.models import FirstPiece, GeneralLimits, Job, LimitLine, WorkInstruction
from training.people.models import Person
from training.people.record.verify import verify
from training.specimens.models import Frame, ReferenceDecision, Region, Specimen, View
from training.specimens.pictures.encode import encode
from training.specimens.services.bulk import (
    ByMeasurement,
    Decided,
    NewFrame,
    NewRegion,
    NewSpecimen,
    NewView,
    add_first_piece_views,
    add_specimens,
)
from training.specimens.standards import Looked

Bank = Callable[..., list[Specimen]]


def files() -> list[Path]:
    return [path for path in Path(settings.PICTURE_DIR).rglob("*") if path.is_file()]


def test_keeps_specimens_with_everything_that_hangs_on_them(make_bank: Bank) -> None:
    made = make_bank(4)
    assert [each.number for each in made] == ["S-00001", "S-00002", "S-00003", "S-00004"]
    bad, good = made[0], made[1]
    assert bad.decisions.get().decision == "reject"
    assert bad.decisions.get().severity_ratio == Decimal("1.5")
    assert bad.decisions.get().clear
    assert good.decisions.get().decision == "accept"
    assert good.decisions.get().severity_ratio == Decimal("0.5")
    assert not good.decisions.get().clear
    view = bad.views.get()
    assert view.px_per_mm == Decimal("4.58")
    assert view.regions.get().polygons == [SQUARE]
    frame = view.frames.get()
    assert (frame.width, frame.height) == (240, 180)
    assert len(files()) == 8
    assert all(each.synthetic for each in made)


def test_the_chain_of_the_record_holds(make_bank: Bank) -> None:
    make_bank(3)
    assert verify().breaks == ()
    assert verify().facts == 3


@pytest.mark.parametrize("count", [3, 30])
def test_queries_do_not_grow_with_the_specimens(make_bank: Bank, count: int) -> None:
    with CaptureQueriesContext(
        connection,
    ) as caught:
        make_bank(count)
    assert len(caught) <= 22


def test_takes_pictures_in_three_forms(plant: SimpleNamespace, quality: Person) -> None:
    image = photo.quarters(240, 180)
    forms = [
        NewFrame(image, -10),
        NewFrame(encode(image), 0),
        NewFrame(photo.encoded(image, "WEBP"), 10.5),
        NewFrame(photo.encoded(image)),
    ]
    view = NewView(forms, change=View.Change.TILT)
    new = NewSpecimen(plant.job, "A", plant.specks, [view])
    (specimen,) = add_specimens([new], day=TODAY, moment=NOON, by=quality)
    frames = list(specimen.views.get().frames.all())
    assert [each.file.rpartition(".")[2] for each in frames] == ["jpg", "jpg", "webp", "jpg"]
    assert [each.angle_deg for each in frames] == [-10, 0, Decimal("10.5"), None]
    for frame in frames:
        shown = photo.opened((Path(settings.PICTURE_DIR) / frame.file).read_bytes())
        difference = np.subtract(photo.corners(shown), photo.corners(image))
        assert np.abs(difference).max() <= 4
    assert specimen.decisions.count() == 0


def test_scales_a_large_picture_with_its_outline_and_its_millimetres(
    plant: SimpleNamespace,
) -> None:
    view = NewView(
        [NewFrame(Image.new("RGB", (6000, 3000)))],
        px_per_mm=20,
        regions=[NewRegion(plant.specks, [[[0, 0], [600, 0], [600, 300]]])],
    )
    (made,) = add_specimens(
        [NewSpecimen(plant.job, "A", plant.specks, [view])], day=TODAY, moment=NOON
    )
    kept = made.views.get()
    assert kept.px_per_mm == 10
    assert kept.regions.get().polygons == [[[0, 0], [300, 0], [300, 150]]]


def test_takes_a_decision_that_is_known(plant: SimpleNamespace, make_bank: Bank) -> None:
    known = Decided("reject", "stop", plant.burn, severity_ratio=Decimal("1.2"))
    (made,) = make_bank(1, decision=known)
    fact = made.decisions.get()
    assert (fact.decision, fact.action, fact.family, fact.basis) == (
        "reject",
        "stop",
        plant.burn,
        "quality",
    )
    assert fact.work_instruction == plant.sheet


def test_a_limit_of_none_is_present_or_absent(plant: SimpleNamespace, make_bank: Bank) -> None:
    bad, clean = make_bank(1, family=plant.burn, severity=0.2) + make_bank(
        1, family=plant.burn, severity=0
    )
    assert bad.decisions.get().decision == "reject"
    assert bad.decisions.get().severity_ratio is None
    assert bad.decisions.get().clear
    assert clean.decisions.get().decision == "accept"
    assert clean.decisions.get().severity_ratio == 0


def test_more_marks_than_the_limit_are_rejected_though_each_is_small(make_bank: Bank) -> None:
    (made,) = make_bank(1, severity=0.2, decision=ByMeasurement(Looked(count=3), "stop"))
    fact = made.decisions.get()
    assert (fact.decision, fact.action, fact.severity_ratio) == ("reject", "stop", Decimal(3))


def test_the_site_s_general_limits_decide_where_the_sheet_is_silent(
    plant: SimpleNamespace, make_bank: Bank
) -> None:
    general = GeneralLimits.objects.create(revision="3", day=dt.date(2026, 1, 1))
    measure = {"measure": "at_most", "value": 0.5, "unit": "mm", "judged_by": "eye"}
    LimitLine.objects.create(general=general, family=plant.specks, zone="C", measure=measure)
    (made,) = make_bank(1, zone="C", severity=0.4)
    fact = made.decisions.get()
    assert (fact.decision, fact.general, fact.work_instruction) == ("accept", general, plant.sheet)


def test_each_specimen_is_decided_by_the_sheet_of_the_day(
    plant: SimpleNamespace, make_bank: Bank
) -> None:
    later = WorkInstruction.objects.create(
        job=plant.job, revision="B", day=TODAY + dt.timedelta(days=1)
    )
    (made,) = make_bank(1)
    assert made.decisions.get().work_instruction == plant.sheet
    assert made.decisions.get().work_instruction != later


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"unit": "furlong"}, "unit"),
        ({"severity": None}, "severity"),
        ({"zone": "C"}, "limit"),
        ({"zone": "Q"}, "valid choice"),
        ({"views": []}, "picture"),
        ({"views": [NewView([])]}, "picture"),
        ({"views": [NewView([NewFrame(b"GIF89a")])]}, "GIF files are not taken"),
        ({"views": [NewView([NewFrame(photo.phone_jpeg())])]}, "carries notes"),
        ({"views": [NewView([NewFrame(photo.encoded(photo.quarters())[:900])])]}, "cannot be kept"),
        (
            {"views": [NewView([NewFrame(Image.new("RGB", s)) for s in ((200, 100), (100, 200))])]},
            "sizes",
        ),
        ({"decision": Decided("reject", "keep_running")}, "run on"),
        ({"number": "x" * 21}, "20 characters"),
    ],
)
def test_one_bad_specimen_leaves_nothing_behind(
    plant: SimpleNamespace, make_bank: Bank, fields: dict[str, object], words: str
) -> None:
    first = NewSpecimen(plant.job, "A", plant.specks, [NewView([NewFrame(photo.quarters())])])
    bad = make_bank_of(plant, fields)
    with pytest.raises(ValidationError, match=words) as caught:
        add_specimens([first, bad], day=TODAY, moment=NOON)
    assert caught.value.messages[0].startswith(("№ 2: ", "xxxx"))
    for model in (Specimen, View, Frame, Region, ReferenceDecision):
        assert not model._default_manager.exists()
    assert files() == []


def make_bank_of(plant: SimpleNamespace, fields: dict[str, object]) -> NewSpecimen:
    usual: dict[str, object] = {
        "job": plant.job,
        "zone": "A",
        "family": plant.specks,
        "severity": 0.4,
        "unit": "mm",
        "decision": ByMeasurement(),
        "views": [NewView([NewFrame(photo.quarters())])],
    }
    return NewSpecimen(**(usual | fields))  # type: ignore[arg-type]


def test_an_outline_beyond_the_picture_is_refused(plant: SimpleNamespace) -> None:
    outline = NewRegion(plant.specks, [[[0, 0], [500, 0], [0, 100]]])
    view = NewView([NewFrame(photo.quarters())], regions=[outline])
    with pytest.raises(ValidationError, match="inside the picture"):
        add_specimens([NewSpecimen(plant.job, "A", plant.specks, [view])], day=TODAY, moment=NOON)
    assert files() == []


def test_a_number_that_is_taken_leaves_nothing_behind(make_bank: Bank) -> None:
    make_bank(1, number="P-7")
    kept = len(files())
    with pytest.raises(ValidationError, match="P-7"):
        make_bank(1, number="P-7")
    with pytest.raises(ValidationError, match="P-8"):
        make_bank(2, number="P-8")
    assert len(files()) == kept


def test_numbers_go_on_after_the_last_of_the_series(make_bank: Bank) -> None:
    make_bank(1, number="S-99999")
    make_bank(1, number="S-12x")
    assert make_bank(2)[1].number == "S-100001"
    assert make_bank(1)[0].number == "S-100002"


def test_a_first_piece_gets_its_views(plant: SimpleNamespace, quality: Person) -> None:
    piece = FirstPiece.objects.create(
        job=plant.job, revision="1", approved_at=NOON, approved_by=quality
    )
    frames = [NewFrame(photo.quarters(240, 180), angle) for angle in (0, 5)]
    whole = NewView(frames, change=View.Change.TILT, px_per_mm=4)
    add_first_piece_views(piece, [whole])
    (second,) = add_first_piece_views(piece, [NewView(frames[:1], kind=View.Kind.CLOSE_UP)])
    assert second.position == 1
    assert [view.frames.count() for view in piece.views.all()] == [2, 1]


def test_jobs_of_several_sheets_in_one_call(plant: SimpleNamespace, make_bank: Bank) -> None:
    other = Job.objects.create(
        id=uuid.uuid4(), number="902", part={"en": "Lid"}, group=plant.job.group
    )
    with pytest.raises(ValidationError, match="limit"):
        make_bank(1, job=other)
