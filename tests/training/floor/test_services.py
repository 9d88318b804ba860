"""Sheets, readings, alerts and first pieces: what is written, and what is refused whole."""

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from tests.conftest import NOON, TODAY
from training.floor.alerts import raise_alert
from training.floor.limits import JudgedBy, Line, Measure, Unit
from training.floor.models import (
    Acknowledgement,
    Alert,
    Caution,
    FirstPiece,
    LimitLine,
    WorkInstruction,
)
from training.floor.selectors import lines_of_sheet
from training.floor.services import (
    acknowledge,
    approve_first_piece,
    publish_work_instruction,
)
from training.people.models import Person

NEEDS = {"black-specks": "ordinary", "burn": "critical"}
LINE = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.4, unit=Unit.MM)


def publish(job: Any, **given: Any) -> WorkInstruction:
    return publish_work_instruction(
        **{"job": job, "revision": "B", "day": TODAY, "needs": NEEDS, "lines": [LINE], **given}
    )


def test_a_revision_that_replaces_another_asks_for_its_check(
    plant: SimpleNamespace, quality: Person
) -> None:
    sheet = publish(
        plant.job, steps={"en": ["Look."], "es": ["Mire."]}, signed_by=quality, reason="Letter"
    )
    assert (sheet.replaces_with_check, sheet.reason, sheet.signed_by) == (True, "Letter", quality)
    assert lines_of_sheet(sheet) == [LINE]
    assert sheet.steps == {"en": ["Look."], "es": ["Mire."]}
    assert list(WorkInstruction.objects.in_force(TODAY)) == [sheet]
    assert list(WorkInstruction.objects.in_force(TODAY - dt.timedelta(days=1))) == [plant.sheet]


def test_a_first_revision_replaces_nothing(plant: SimpleNamespace) -> None:
    plant.sheet.lines.all().delete()
    plant.sheet.delete()
    assert not publish(plant.job, revision="A").replaces_with_check


def test_of_two_revisions_of_one_day_the_later_letter_holds(plant: SimpleNamespace) -> None:
    for revision in ("Z", "AA", "Y"):
        publish(plant.job, revision=revision)
    assert WorkInstruction.objects.in_force(TODAY).get().revision == "AA"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"day": dt.date(2026, 1, 4)}, "Revision A is of 2026-01-05"),
        ({"revision": "A"}, "already exists"),
        ({"revision": " "}, "cannot be blank"),
        ({"needs": {}}, "at least one defect family"),
        ({"needs": {"ghost": "ordinary"}}, "no defect family ghost"),
        ({"needs": {"burn": "very"}}, "ordinary or critical"),
        ({"lines": [Line("A", Measure.NONE, JudgedBy.EYE, family="ghost")]}, "family ghost"),
    ],
)
def test_a_sheet_that_cannot_stand_is_refused_whole(
    plant: SimpleNamespace, given: dict[str, Any], words: str
) -> None:
    lines = LimitLine.objects.count()
    with pytest.raises(ValidationError, match=words):
        publish(plant.job, **given)
    assert WorkInstruction.objects.count() == 1
    assert LimitLine.objects.count() == lines


def test_reading_again_gives_back_the_first_reading(
    plant: SimpleNamespace, operator: Person
) -> None:
    caution = Caution.objects.create(code="hot", title={"en": "Hot"}, text={"en": "Wait."})
    for subject, kind in ((plant.sheet, "wi"), (caution, "caution")):
        first = acknowledge(person=operator, subject=subject, moment=NOON, day=TODAY)
        again = acknowledge(
            person=operator, subject=subject, moment=NOON + dt.timedelta(hours=1), day=TODAY
        )
        assert (again.pk, first.kind, first.read_at) == (first.pk, kind, NOON)
    assert Acknowledgement.objects.count() == 2


def piece(job: Any, quality: Person, **given: Any) -> FirstPiece:
    return approve_first_piece(
        **{
            "job": job,
            "revision": "A",
            "tag": {"tool": "T-1", "press": "P01", "run": "R-1"},
            "approved_by": quality,
            "moment": NOON,
            "day": TODAY,
            **given,
        }
    )


def test_a_first_piece_carries_the_sheet_it_was_judged_by(
    plant: SimpleNamespace, quality: Person, operator: Person
) -> None:
    marks = [{"x": 0.4, "y": 1, "note": {"en": "line", "es": "línea"}}, {"x": 0, "y": 0.5}]
    made = piece(plant.job, quality, marks=marks, checked_by=operator)
    made.refresh_from_db()
    assert (made.work_instruction, made.tag["wi_revision"]) == (plant.sheet, "A")
    assert (made.marks, made.approved_at) == (marks, NOON)


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ([{"x": 1.1, "y": 0.5}], "shares from 0 to 1"),
        ([{"x": "left", "y": 0.5}], "shares from 0 to 1"),
        ([{"x": 0.1, "y": 0.5, "note": "line"}], "Give the words"),
    ],
)
def test_a_mark_beside_the_picture_is_refused(
    plant: SimpleNamespace, quality: Person, marks: list[dict[str, Any]], words: str
) -> None:
    with pytest.raises(ValidationError, match=words):
        piece(plant.job, quality, marks=marks)
    assert not FirstPiece.objects.exists()


def test_four_eyes_approve_a_first_piece(plant: SimpleNamespace, quality: Person) -> None:
    with pytest.raises(ValidationError, match="not who checked it"):
        piece(plant.job, quality, checked_by=quality)


def alert(plant: SimpleNamespace, quality: Person, **given: Any) -> Alert:
    return raise_alert(
        **{
            "number": "A-01",
            "jobs": [plant.job],
            "family": plant.burn,
            "zone": "A",
            "text": {"en": "Look at the corner.", "es": "Mire la esquina."},
            "from_day": TODAY,
            "to_day": TODAY + dt.timedelta(days=30),
            "written_day": TODAY,
            "written_by": quality,
            **given,
        }
    )


def test_an_alert_holds_from_its_first_to_its_last_day(
    plant: SimpleNamespace, quality: Person
) -> None:
    publish(plant.job)
    made = alert(plant, quality, lines=[LINE])
    assert list(made.jobs.all()) == [plant.job]
    assert made.lines.get().measure["value"] == 0.4
    last = TODAY + dt.timedelta(days=30)
    assert Alert.objects.on(last).exists()
    assert not Alert.objects.on(last + dt.timedelta(days=1)).exists()


def test_an_alert_only_tightens(plant: SimpleNamespace, quality: Person) -> None:
    sheet = publish(plant.job)
    looser = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.5, unit=Unit.MM)
    with pytest.raises(ValidationError, match="may only tighten"):
        alert(plant, quality, lines=[looser])
    assert not Alert.objects.exists()
    tighter = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.3, unit=Unit.MM)
    assert alert(plant, quality, lines=[tighter]).lines.count() == 1
    assert sheet.lines.count() == 1


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"jobs": []}, "at least one job"),
        ({"to_day": TODAY - dt.timedelta(days=1)}, "end before it begins"),
        ({"text": {}}, "cannot be blank|Give the words"),
        ({"number": ""}, "cannot be blank"),
    ],
)
def test_an_alert_that_cannot_stand(
    plant: SimpleNamespace, quality: Person, given: dict[str, Any], words: str
) -> None:
    with pytest.raises(ValidationError, match=words):
        alert(plant, quality, **given)
    assert not Alert.objects.exists()
