"""Days that change at 06:00, nights, and what runs out during them."""

from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from certification.certificates.standing import (
    Asked,
    Verdict,
    plant_day,
)
from tests.certification.certificates.cases import (
    DAY,
    PERSON,
    ask,
    codes,
    days,
)

LONDON = ZoneInfo("Europe/London")


def test_what_ends_at_midnight_stands_through_the_night_and_is_flagged() -> None:
    night = Asked.at(
        datetime(2025, 11, 24, 22, 0, tzinfo=UTC),
        UTC,
        ends=datetime(2025, 11, 25, 6, 0, tzinfo=UTC),
    )
    answer = ask(asked=night)
    assert answer.verdict is Verdict.ALONE
    assert [(r.code.value, r.subject) for r in answer.ends_during] == [
        ("lapsed", "flash"),
        ("near_vision_overdue", ""),
    ]
    lates = replace(night, ends_on=DAY)
    assert ask(asked=lates).ends_during == ()


def test_what_is_missing_already_is_not_flagged_as_ending() -> None:
    old = replace(PERSON.certificates[0], expires=DAY - days(1))
    person = replace(PERSON, certificates=(old, PERSON.certificates[1]))
    answer = ask(person, asked=Asked(DAY, ends_on=DAY + days(1)))
    assert codes(answer) == ["lapsed"]
    assert [reason.code.value for reason in answer.ends_during] == ["near_vision_overdue"]


def test_a_shift_that_ends_at_midnight_does_not_reach_the_next_day() -> None:
    began = datetime(2025, 11, 24, 16, 0, tzinfo=UTC)
    assert Asked.at(began, UTC, ends=datetime(2025, 11, 25, tzinfo=UTC)).ends_on == DAY


@pytest.mark.parametrize(
    ("moment", "day"),
    [
        ("2025-11-24T06:00:00+00:00", "2025-11-24"),
        ("2025-11-24T05:59:59+00:00", "2025-11-23"),
        ("2025-11-25T00:50:00+00:00", "2025-11-24"),
        ("2026-01-01T02:00:00+00:00", "2025-12-31"),
        ("2028-03-01T05:00:00+00:00", "2028-02-29"),
        # London puts its clocks forward at 01:00 UTC that night: 05:00 UTC is 06:00 there.
        ("2025-03-30T04:59:00+00:00", "2025-03-29"),
        ("2025-03-30T05:00:00+00:00", "2025-03-30"),
        # And back again: 05:30 UTC is 05:30 there.
        ("2025-10-26T05:30:00+00:00", "2025-10-25"),
        ("2025-10-26T06:00:00+00:00", "2025-10-26"),
    ],
)
def test_plant_day(moment: str, day: str) -> None:
    assert plant_day(datetime.fromisoformat(moment), LONDON) == date.fromisoformat(day)


def test_a_moment_without_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        plant_day(datetime(2025, 11, 24, 6, 0), LONDON)  # noqa: DTZ001
