"""Reference decisions: facts, one after the other, each under one revision of the limits."""

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import NOON, TODAY
from training.floor.limits import parse_line
from training.floor.models import Job, LimitLine, WorkInstruction
from training.people.models import Person
from training.people.record.chain import erase
from training.people.record.verify import verify
from training.specimens.models import ReferenceDecision, Specimen
from training.specimens.services.deciding import decide_by_measurement, decide_reference
from training.specimens.standards import CannotMeasureError, Looked, Standard

Make = Callable[..., Specimen]


@pytest.fixture
def specimen(make_specimen: Make) -> Specimen:
    return make_specimen()


def decide(
    specimen: Specimen, plant: SimpleNamespace, by: Person, **fields: Any
) -> ReferenceDecision:
    usual: dict[str, Any] = {
        "work_instruction": plant.sheet,
        "decision": "reject",
        "family": plant.specks,
        "action": "segregate",
        "basis": "quality",
    }
    return decide_reference(specimen=specimen, by=by, moment=NOON, **(usual | fields))


def test_a_decision_is_a_fact_and_the_next_corrects_it(
    specimen: Specimen, plant: SimpleNamespace, quality: Person
) -> None:
    first = decide(specimen, plant, quality, reason="Seen by two of us.")
    second = decide(specimen, plant, quality, decision="accept", action="keep_running")
    assert first.corrects is None
    assert second.corrects == first
    assert first.reason is not None
    assert str(first.reason) == "Seen by two of us."
    assert verify().breaks == ()
    erase(first.reason, by_id=quality.pk, because="asked", moment=NOON)
    assert verify().breaks == ()


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"decision": "maybe"}, "decision"),
        ({"basis": "guess"}, "basis"),
        ({"action": "shrug"}, "action"),
        ({"action": "keep_running"}, "action"),
        ({"decision": "accept"}, "action"),
        ({"decision": "accept", "action": "keep_running", "clear": True}, "clear"),
        ({"family": None}, "family"),
    ],
)
def test_a_decision_that_contradicts_itself_is_refused(
    specimen: Specimen, plant: SimpleNamespace, quality: Person, fields: dict[str, Any], field: str
) -> None:
    with pytest.raises(ValidationError) as caught:
        decide(specimen, plant, quality, **fields)
    assert field in caught.value.message_dict
    assert not ReferenceDecision.objects.exists()


def test_the_sheet_of_another_job_is_refused(
    specimen: Specimen, plant: SimpleNamespace, quality: Person
) -> None:
    other = Job.objects.create(number="902", part={"en": "Lid"}, group=plant.job.group)
    sheet = WorkInstruction.objects.create(job=other, revision="A", day=TODAY)
    with pytest.raises(ValidationError) as caught:
        decide(specimen, plant, quality, work_instruction=sheet)
    assert "work_instruction" in caught.value.message_dict


@pytest.mark.parametrize(
    ("severity", "decision", "ratio", "clear"),
    [
        ("0", "accept", "0", False),
        ("0.24", "accept", "0.8", False),
        ("0.28", "accept", "0.9333", False),
        ("0.32", "reject", "1.0667", False),
        ("0.44", "reject", "1.4667", False),
        ("0.45", "reject", "1.5", True),
        ("3", "reject", "10", True),
    ],
)
def test_decides_by_the_measured_severity(
    make_specimen: Make, quality: Person, severity: str, decision: str, ratio: str, clear: bool
) -> None:
    fact = decide_by_measurement(
        specimen=make_specimen(severity=severity), by=quality, moment=NOON, day=TODAY
    )
    assert (fact.decision, fact.severity_ratio, fact.clear) == (decision, Decimal(ratio), clear)
    assert fact.action == ("segregate" if decision == "reject" else "keep_running")
    assert fact.basis == "measured"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"severity": None, "unit": ""}, "Measure it"),
        ({"unit": "mm2"}, "not measured in the severity's unit"),
        ({"zone": "B"}, "Neither the job's sheet"),
    ],
)
def test_says_why_a_measurement_does_not_decide(
    make_specimen: Make, quality: Person, fields: dict[str, Any], words: str
) -> None:
    specimen = make_specimen(**fields)
    with pytest.raises(ValidationError, match=words):
        decide_by_measurement(specimen=specimen, by=quality, moment=NOON, day=TODAY)
    assert not ReferenceDecision.objects.exists()


def test_what_is_judged_by_eye_has_to_be_looked_at(
    make_specimen: Make, plant: SimpleNamespace, quality: Person
) -> None:
    seen_line = {"measure": "not_visible_at", "distance_mm": 600, "time_s": 8, "judged_by": "eye"}
    LimitLine.objects.create(
        work_instruction=plant.sheet, family=plant.specks, zone="A", measure=seen_line
    )
    specimen = make_specimen(severity="0.2")

    def decided(seen: bool | None) -> ReferenceDecision:
        return decide_by_measurement(
            specimen=specimen, by=quality, moment=NOON, day=TODAY, looked=Looked(seen=seen)
        )

    with pytest.raises(ValidationError, match="viewing distance"):
        decided(None)
    assert decided(seen=False).decision == "accept"
    assert decided(seen=True).decision == "reject"


def test_a_line_judged_by_touch_does_not_hold_up_a_picture() -> None:
    touch = {
        "zone": "A",
        "measure": "none",
        "judged_by": "touch",
        "feature": {"en": "notch", "es": "muesca"},
    }
    length = {"zone": "A", "measure": "at_most", "value": 6, "unit": "mm", "judged_by": "eye"}
    said = standard(touch, length).measure(family="weld", zone="A", severity=5, unit="mm")
    assert said.decision == "accept"
    felt = Looked(present=frozenset({"notch"}))
    said = standard(touch, length).measure(
        family="weld", zone="A", severity=5, unit="mm", looked=felt
    )
    assert (said.decision, said.clear) == ("reject", True)


def test_a_limit_that_rests_on_a_sample_is_decided_by_hand() -> None:
    sample = {"zone": "A", "measure": "sample", "sample": "01-WL", "judged_by": "eye"}
    with pytest.raises(CannotMeasureError) as caught:
        standard(sample).measure(family="weld", zone="A", severity=5, unit="mm")
    assert caught.value.code == "undecidable"


def standard(*lines: dict[str, Any]) -> Standard:
    return Standard(
        job=Job(number="1"), day=TODAY, lines=tuple(parse_line(line, "weld") for line in lines)
    )


@given(st.decimals(0, 100, places=4), st.decimals("0.01", 50, places=2))
def test_decision_ratio_and_clearness_agree(severity: Decimal, limit: Decimal) -> None:
    line = {
        "zone": "A",
        "measure": "at_most",
        "value": float(limit),
        "unit": "mm",
        "judged_by": "eye",
    }
    said = standard(line).measure(family="weld", zone="A", severity=severity, unit="mm")
    assert (said.decision == "reject") == (severity > limit)
    assert said.ratio is not None
    assert said.ratio == pytest.approx(severity / limit, abs=Decimal("0.0001"))
    assert said.clear == (severity > limit and float(severity) / float(limit) >= 1.5)


def test_the_newest_decision_under_the_sheet_of_the_day_counts(
    specimen: Specimen, plant: SimpleNamespace, quality: Person
) -> None:
    def counts(day: dt.date) -> str | None:
        return Specimen.objects.with_decision(day).get().decided

    assert counts(TODAY) is None
    decide(specimen, plant, quality)
    assert counts(TODAY) == "reject"
    decide(specimen, plant, quality, decision="accept", action="keep_running")
    assert counts(TODAY) == "accept"
    tomorrow = TODAY + dt.timedelta(days=1)
    newer = WorkInstruction.objects.create(job=plant.job, revision="B", day=tomorrow)
    assert counts(TODAY) == "accept"
    assert counts(tomorrow) is None
    decide(specimen, plant, quality, work_instruction=newer)
    assert counts(tomorrow) == "reject"
    assert counts(TODAY) == "accept"
