"""The six standings of a certificate, and renewal."""

from datetime import date, timedelta

import pytest

from certification.certificates.standing import Rules, Standing, family_standing
from certification.certificates.standing_facts import Certificate, Level, Stop, StopKind

DAY = date(2025, 11, 24)
RULES = Rules()


def held(granted: int, expires: int, level: Level = Level.CRITICAL, *stops: Stop) -> Certificate:
    return Certificate(
        "crack",
        level,
        DAY + timedelta(days=granted),
        DAY + timedelta(days=expires),
        stops,
        f"{granted}:{expires}",
    )


@pytest.mark.parametrize(
    ("certificates", "standing", "left"),
    [
        ([held(-300, 31)], Standing.IN_DATE, 31),
        ([held(-300, 30)], Standing.DUE_SOON, 30),
        ([held(-300, 0)], Standing.DUE_SOON, 0),
        ([held(-300, -1)], Standing.LAPSED, -1),
        ([held(-300, -9), held(-200, -5)], Standing.LAPSED, -5),
        ([held(-300, 5), held(0, 370)], Standing.IN_DATE, 370),
        ([held(-300, 5), held(1, 370)], Standing.DUE_SOON, 5),
        ([held(-9, 9, Level.CRITICAL, Stop(StopKind.SUSPENDED, DAY))], Standing.SUSPENDED, 9),
        (
            [held(-9, 9, Level.CRITICAL, Stop(StopKind.SUPERVISED, DAY))],
            Standing.UNDER_SUPERVISION,
            9,
        ),
        ([held(-9, 9, Level.CRITICAL, Stop(StopKind.WITHDRAWN, DAY))], Standing.LAPSED, -1),
        ([held(-300, 300, Level.ORDINARY)], Standing.NOT_CERTIFIED, None),
        ([], Standing.NOT_CERTIFIED, None),
    ],
)
def test_standing(certificates: list[Certificate], standing: Standing, left: int | None) -> None:
    found = family_standing(certificates, "crack", Level.CRITICAL, DAY, RULES)
    assert (found.standing, found.days_left) == (standing, left)
    if left is not None:
        assert found.ends == DAY + timedelta(days=left)


def test_the_level_held_is_told_where_it_is_not_enough() -> None:
    found = family_standing([held(-9, 9, Level.ORDINARY)], "crack", Level.CRITICAL, DAY, RULES)
    assert found.held is Level.ORDINARY


def test_the_certificate_the_standing_rests_on() -> None:
    found = family_standing([held(-300, 5), held(0, 370)], "crack", Level.ORDINARY, DAY, RULES)
    assert found.certificate == "0:370"


def test_other_families_do_not_count() -> None:
    found = family_standing([held(-9, 9)], "flash", Level.ORDINARY, DAY, RULES)
    assert found.standing is Standing.NOT_CERTIFIED


@pytest.mark.parametrize(
    ("early", "end"),
    [(0, 365), (30, 395), (31, 365), (-1, 365)],
)
def test_renewal_up_to_thirty_days_early_keeps_the_old_end(early: int, end: int) -> None:
    old = DAY + timedelta(days=early)
    assert RULES.renewed_until(DAY, old) == DAY + timedelta(days=end)


def test_a_first_certificate_runs_a_year() -> None:
    assert RULES.renewed_until(date(2027, 3, 1), None) == date(2028, 2, 29)
