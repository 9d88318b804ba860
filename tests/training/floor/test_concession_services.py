"""A concession: two signers, its days and parts, what it may loosen and what nothing may."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.conftest import NOON, TODAY
from training.floor.alerts import raise_alert
from training.floor.concessions import (
    Conceded,
    count_parts,
    sign_concession,
    withdraw_concession,
    write_concession,
)
from training.floor.limits import JudgedBy, Line, Measure, Unit
from training.floor.models import Concession, ConcessionCount, LimitLine
from training.floor.paper_selectors import (
    PaperState,
    concession_with_lines,
    newest_number,
    state_of_concession,
    unsigned_concessions,
)
from training.floor.selectors import lines_of_sheet, rulings_on
from training.floor.services import publish_work_instruction
from training.people.models import Person, Role

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
NOTHING = Line("A", Measure.NONE, JudgedBy.EYE, family="burn")
LOOSER = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.5, unit=Unit.MM)


@pytest.fixture
def second(make_person: Callable[..., Person]) -> Person:
    return make_person("Sigrid Second", Role.QUALITY)


def write(plant: SimpleNamespace, by: Person, **given: Any) -> Concession:
    return write_concession(
        **{
            "number": "CN-01",
            "job": plant.job,
            "lines": [Conceded(LOOSER, NOTHING)],
            "from_day": TODAY,
            "to_day": TODAY + 5 * DAY,
            "max_quantity": None,
            "reason": "Customer K, letter of 20 Nov",
            "written_by": by,
            "today": TODAY,
            **given,
        }
    )


def said(plant: SimpleNamespace, day: dt.date = TODAY) -> list[tuple[str, str]]:
    found = rulings_on(plant.job, day, "burn", "A")
    return [(each.source.kind.value, each.line.measure.value) for each in found]


SHEET = [("work_instruction", "none")]
LOOSENED = [("concession", "at_most")]


def test_it_does_nothing_before_the_second_signature(
    plant: SimpleNamespace, quality: Person, second: Person
) -> None:
    paper = write(plant, quality, from_day=TODAY)
    assert said(plant) == SHEET
    assert state_of_concession(paper, TODAY) is PaperState.WAITING
    assert len(unsigned_concessions(TODAY)) == 1
    signed = sign_concession(concession=paper, person=second, today=TODAY + DAY)
    assert signed.second_signer == second.name
    # Signed a day late, it does not reach back to the first day it was written for.
    assert said(plant) == SHEET
    assert said(plant, TODAY + DAY) == LOOSENED
    assert said(plant, TODAY + 5 * DAY) == LOOSENED
    assert said(plant, TODAY + 6 * DAY) == SHEET
    (ruling,) = rulings_on(plant.job, TODAY + DAY, "burn", "A")
    assert ruling.over[0].line == NOTHING
    assert len(unsigned_concessions(TODAY + DAY)) == 0


def test_nobody_signs_their_own(plant: SimpleNamespace, quality: Person) -> None:
    paper = write(plant, quality)
    with pytest.raises(ValidationError, match="Ask another person"):
        sign_concession(concession=paper, person=quality, today=TODAY)
    with pytest.raises(IntegrityError, match="two_signers"), transaction.atomic():
        Concession.objects.filter(pk=paper.pk).update(
            second_signed_by=quality, second_signed_day=TODAY
        )


def test_it_is_signed_once_and_in_time(
    plant: SimpleNamespace, quality: Person, second: Person
) -> None:
    paper = write(plant, quality)
    with pytest.raises(ValidationError, match="does not wait"):
        sign_concession(concession=paper, person=second, today=TODAY + 6 * DAY)
    assert state_of_concession(paper, TODAY + 6 * DAY) is PaperState.NEVER_SIGNED
    sign_concession(concession=paper, person=second, today=TODAY)
    with pytest.raises(ValidationError, match="does not wait"):
        sign_concession(concession=paper, person=second, today=TODAY)


def test_a_sheet_revised_meanwhile_is_not_signed_away(
    plant: SimpleNamespace, quality: Person, second: Person
) -> None:
    paper = write(plant, quality)
    tighter = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.2, unit=Unit.MM)
    publish_work_instruction(
        job=plant.job, revision="B", day=TODAY, needs=plant.sheet.needs, lines=[tighter]
    )
    with pytest.raises(ValidationError, match="is not in force"):
        sign_concession(concession=paper, person=second, today=TODAY)


def test_a_new_revision_ends_what_it_changes_and_keeps_what_it_copies(
    plant: SimpleNamespace, quality: Person, second: Person
) -> None:
    sign_concession(concession=write(plant, quality), person=second, today=TODAY)
    kept = lines_of_sheet(plant.sheet)
    given = {"job": plant.job, "needs": plant.sheet.needs}
    publish_work_instruction(revision="B", day=TODAY + DAY, lines=kept, **given)
    assert said(plant, TODAY + DAY) == LOOSENED
    changed = [line for line in kept if line.family != "burn"]
    tighter = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.2, unit=Unit.MM)
    publish_work_instruction(revision="C", day=TODAY + 2 * DAY, lines=[*changed, tighter], **given)
    assert said(plant, TODAY + 2 * DAY) == [("work_instruction", "at_most")]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"to_day": None}, "A concession ends"),
        ({"from_day": TODAY - DAY}, "does not reach back"),
        ({"to_day": TODAY - DAY}, "end before it begins"),
        ({"max_quantity": 0}, "one part or more"),
        ({"lines": []}, "at least one line"),
        ({"lines": [Conceded(LOOSER, NOTHING)] * 2}, "take the place of the same one"),
        ({"lines": [Conceded(NOTHING, NOTHING)]}, "lets nothing through"),
        ({"lines": [Conceded(LOOSER, LOOSER)]}, "is not in force"),
        (
            {"lines": [Conceded(Line("A", Measure.ANY, JudgedBy.EYE, family="burn"), NOTHING)]},
            "how far it goes",
        ),
        ({"number": " "}, "cannot be blank"),
        ({"reason": ""}, "cannot be blank"),
    ],
)
def test_what_cannot_be_conceded(
    plant: SimpleNamespace, quality: Person, given: dict[str, Any], words: str
) -> None:
    with pytest.raises(ValidationError, match=words):
        write(plant, quality, **given)
    assert not Concession.objects.exists()
    assert not LimitLine.objects.exclude(concession=None).exists()


@pytest.mark.parametrize("why", ["line", "job", "family"])
def test_nothing_critical_is_loosened(plant: SimpleNamespace, quality: Person, why: str) -> None:
    if why == "line":
        row = LimitLine.objects.get(family=plant.burn)
        row.measure = {**row.measure, "level": "critical"}
        row.save()
    elif why == "job":
        plant.sheet.needs = {**plant.sheet.needs, "burn": "critical"}
        plant.sheet.save()
    else:
        plant.burn.always_critical = True
        plant.burn.save()
    (line,) = [line for line in lines_of_sheet(plant.sheet) if line.family == "burn"]
    with pytest.raises(ValidationError, match="critical"):
        write(plant, quality, lines=[Conceded(LOOSER, line)])


def test_a_second_concession_on_the_same_line_is_named(
    plant: SimpleNamespace, quality: Person
) -> None:
    write(plant, quality)
    for days in ({}, {"from_day": TODAY + 5 * DAY, "to_day": None, "max_quantity": 9}):
        with pytest.raises(ValidationError, match="CN-01 speaks of the same line"):
            write(plant, quality, number="CN-02", **days)
    later = {"from_day": TODAY + 6 * DAY, "to_day": TODAY + 9 * DAY}
    assert write(plant, quality, number="CN-02", **later)


def test_one_carried_over_from_paper_overlaps_too(plant: SimpleNamespace, quality: Person) -> None:
    old = Concession.objects.create(
        number="CN-00",
        job=plant.job,
        from_day=TODAY,
        to_day=TODAY,
        reason="letter",
        signed_by=quality,
        second_signature="customer, on paper",
    )
    LimitLine.objects.create(
        concession=old,
        family=plant.burn,
        zone="A",
        measure={"measure": "none", "judged_by": "eye", "value": 0.5, "unit": "mm"},
    )
    write(plant, quality).delete()
    LimitLine.objects.filter(concession=old).update(
        measure={"measure": "none", "judged_by": "eye", "level": "ordinary"}
    )
    with pytest.raises(ValidationError, match="CN-00 speaks"):
        write(plant, quality, number="CN-02")


def test_it_ends_with_its_parts(plant: SimpleNamespace, quality: Person, second: Person) -> None:
    paper = write(plant, quality, to_day=None, max_quantity=400)
    with pytest.raises(ValidationError, match="while a concession is in force"):
        count_parts(concession=paper, parts=1, by=quality, moment=NOON, day=TODAY)
    sign_concession(concession=paper, person=second, today=TODAY)
    for parts in (100, 400):
        assert said(plant) == LOOSENED
        paper = concession_with_lines(paper.pk)
        count_parts(concession=paper, parts=parts, by=quality, moment=NOON, day=TODAY)
    paper = concession_with_lines(paper.pk)
    assert said(plant) == SHEET
    assert state_of_concession(paper, TODAY) is PaperState.USED_UP
    # A count too many is put right by the next one, and both stay on record.
    count_parts(concession=paper, parts=390, by=quality, moment=NOON, day=TODAY)
    assert said(plant) == LOOSENED
    assert ConcessionCount.objects.count() == 3
    assert said(plant, TODAY + 300 * DAY) == LOOSENED


def test_parts_that_cannot_be_counted(
    plant: SimpleNamespace, quality: Person, second: Person
) -> None:
    paper = sign_concession(concession=write(plant, quality), person=second, today=TODAY)
    with pytest.raises(ValidationError, match="no number of parts"):
        count_parts(concession=paper, parts=1, by=quality, moment=NOON, day=TODAY)
    paper.max_quantity = 5
    paper.save()
    with pytest.raises(ValidationError, match="0 or more"):
        count_parts(concession=paper, parts=-1, by=quality, moment=NOON, day=TODAY)


def test_withdrawn_it_stops_at_once(
    plant: SimpleNamespace, quality: Person, second: Person
) -> None:
    paper = sign_concession(concession=write(plant, quality), person=second, today=TODAY)
    later = TODAY + 2 * DAY
    paper = withdraw_concession(concession=paper, reason="parts came back", by=second, today=later)
    assert said(plant, TODAY + DAY) == LOOSENED
    assert said(plant, later) == SHEET
    assert state_of_concession(paper, later) is PaperState.WITHDRAWN
    assert state_of_concession(paper, later - DAY) is PaperState.IN_FORCE
    with pytest.raises(ValidationError, match="ended already"):
        withdraw_concession(concession=paper, reason="again", by=second, today=later)


def test_one_that_waits_is_taken_back(
    plant: SimpleNamespace, quality: Person, second: Person
) -> None:
    paper = write(plant, quality)
    withdraw_concession(concession=paper, reason="customer said no", by=quality, today=TODAY)
    with pytest.raises(ValidationError, match="does not wait"):
        sign_concession(concession=paper, person=second, today=TODAY)
    # Its line is free again.
    assert write(plant, quality, number="CN-02")


def test_an_alert_stays_above_it(plant: SimpleNamespace, quality: Person, second: Person) -> None:
    sign_concession(concession=write(plant, quality), person=second, today=TODAY)
    given: dict[str, Any] = {
        "number": "A-01",
        "jobs": [plant.job],
        "family": plant.burn,
        "zone": "A",
        "text": {"en": "Look."},
        "from_day": TODAY,
        "to_day": TODAY + DAY,
        "written_day": TODAY,
        "written_by": quality,
    }
    looser = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.6, unit=Unit.MM)
    with pytest.raises(ValidationError, match=r"“up to 0\.5 mm” \(concession CN-01\)"):
        raise_alert(lines=[looser], **given)
    tighter = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.4, unit=Unit.MM)
    raise_alert(lines=[tighter], **given)
    (ruling,) = rulings_on(plant.job, TODAY, "burn", "A")
    assert (ruling.source.reference, ruling.line.value) == ("A-01", 0.4)


@pytest.mark.parametrize(
    ("numbers", "newest"), [([], ""), (["CN-9", "CN-10"], "CN-10"), (["CN-02", "CN-01"], "CN-02")]
)
def test_the_newest_number(numbers: list[str], newest: str) -> None:
    assert newest_number(numbers) == newest
