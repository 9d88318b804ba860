"""What has to be read, and by when. The rule is common practice, no source."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from certification.certificates.standing import (
    Asked,
    Detail,
    Remedy,
    Verdict,
    plant_day,
)
from certification.certificates.standing_facts import (
    Alert,
    Level,
    Reading,
    ReadingKind,
    Revision,
    Span,
)
from tests.certification.certificates.cases import (
    DAY,
    JOB,
    LONG_AGO,
    ask,
    codes,
    days,
    unread,
)


@pytest.mark.parametrize("kind", list(ReadingKind))
def test_anything_unread_is_no_whoever_stands_beside(kind: ReadingKind) -> None:
    answer = ask(unread(kind))
    assert answer.verdict is Verdict.NO
    assert codes(answer) == [f"{kind.value}_unread"]
    assert [reason.remedy for reason in answer.reasons] == [Remedy.READ]


def test_the_twins_reading_does_not_count() -> None:
    twin = Reading(ReadingKind.WORK_INSTRUCTION, "D", DAY, "104", check_passed=True)
    person = unread(ReadingKind.WORK_INSTRUCTION)
    answer = ask(replace(person, readings=(*person.readings, twin)))
    assert [reason.params for reason in answer.reasons] == [{"subject": "103", "revision": "D"}]


def test_a_changed_instruction_needs_its_check_passed() -> None:
    person = unread(ReadingKind.WORK_INSTRUCTION)
    read = Reading(ReadingKind.WORK_INSTRUCTION, "D", DAY, "103")
    answer = ask(replace(person, readings=(*person.readings, read)))
    assert [reason.detail for reason in answer.reasons] == [Detail.CHECK_OPEN]
    unchanged = replace(JOB, revisions=(Revision("C", LONG_AGO), Revision("D", DAY)))
    assert ask(replace(person, readings=(*person.readings, read)), unchanged).reasons == ()


def test_the_revision_of_the_day_before_is_another_one() -> None:
    answer = ask(asked=Asked(DAY - days(1)))
    assert [(r.code.value, r.revision) for r in answer.reasons] == [("wi_unread", "C")]


def test_a_job_without_instruction_cannot_be_run() -> None:
    answer = ask(job=replace(JOB, revisions=()))
    assert [reason.detail for reason in answer.reasons] == [Detail.NO_INSTRUCTION]


def test_an_alert_stands_on_its_first_and_last_day() -> None:
    person = unread(ReadingKind.ALERT)
    for offset, stands in [(-1, False), (0, True), (30, True), (31, False)]:
        alert = Alert("A-09", Span(DAY - days(offset), DAY + days(30 - offset)))
        answer = ask(person, replace(JOB, alerts=(alert,)))
        assert bool(answer.reasons) is stands, offset


@pytest.mark.parametrize(("late", "verdict"), [(15, Verdict.ALONE), (16, Verdict.NO)])
def test_a_reading_counts_up_to_fifteen_minutes_after_the_turn_began(
    late: int, verdict: Verdict
) -> None:
    began = datetime(2025, 11, 24, 22, 0, tzinfo=UTC)
    read = Reading(ReadingKind.ALERT, "A-09", DAY, moment=began + timedelta(minutes=late))
    person = unread(ReadingKind.ALERT)
    person = replace(person, readings=(*person.readings, read))
    assert ask(person, asked=Asked(DAY, began)).verdict is verdict
    assert ask(person).verdict is Verdict.ALONE


def test_a_reading_just_after_the_change_of_day_counts_for_the_turn_before() -> None:
    began = datetime(2025, 11, 25, 5, 55, tzinfo=UTC)
    asked = Asked.at(began, UTC)
    assert asked.day == DAY
    moment = began + timedelta(minutes=10)
    read = Reading(ReadingKind.ALERT, "A-09", plant_day(moment, UTC), moment=moment)
    person = unread(ReadingKind.ALERT)
    assert ask(replace(person, readings=(*person.readings, read)), asked=asked).reasons == ()


def test_a_revision_may_bring_its_own_needs() -> None:
    changed = Revision("D", DAY, needs_check=True, needs={"burn": Level.ORDINARY})
    job = replace(JOB, revisions=(Revision("C", LONG_AGO), changed))
    assert [(r.code.value, r.subject) for r in ask(job=job).reasons] == [("not_certified", "burn")]
    before = ask(job=job, asked=Asked(DAY - days(1)))
    assert "burn" not in {reason.subject for reason in before.reasons}
