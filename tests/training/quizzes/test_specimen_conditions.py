"""What is missed by crew and hour, beside what the specimens let expect."""

import zoneinfo

import pytest

from tests.conftest import NOON
from tests.training.quizzes.answered import Given, answers
from training.quizzes.specimen_conditions import HourRow, by_crew_and_hour
from training.quizzes.specimen_figures import bank_figures

ZONE = zoneinfo.ZoneInfo("UTC")


def at_hour(given: list[Given], hour: int, crew: str) -> list[Given]:
    at = NOON.replace(hour=hour)
    return [
        Given(each.specimen_id, each.person_id, at=at, bad=each.bad, right=each.right, crew=crew)
        for each in given
    ]


def rows(*groups: list[Given]) -> list[HourRow]:
    book = [each for group in groups for each in group]
    bank = bank_figures(book, ratios={}, panels={}, now=NOON)
    return by_crew_and_hour(book, bank, ZONE)


def test_crews_stand_in_the_order_of_the_day_and_hours_from_six_on() -> None:
    found = rows(
        at_hour(answers(1, 20, 25), 4, "N"),
        at_hour(answers(1, 20, 25), 23, "N"),
        at_hour(answers(1, 20, 25), 7, "D"),
        at_hour(answers(1, 20, 25), 15, "L"),
    )
    assert [(row.crew, row.start, row.end) for row in found] == [
        ("D", 6, 8),
        ("L", 14, 16),
        ("N", 22, 0),
        ("N", 4, 6),
    ]


def test_what_is_expected_is_what_everybody_missed_of_the_same_parts() -> None:
    easy, hard = answers(1, 60, 60), answers(2, 30, 60, first=100)
    found = rows(at_hour(easy, 7, "D"), at_hour(hard, 15, "L"))
    assert [row.found.expected for row in found] == pytest.approx([0.0, 30.0])
    assert not any(row.found.more for row in found)


def test_a_tired_hour_is_named_although_its_parts_are_the_same() -> None:
    found = rows(
        at_hour(answers(1, 95, 100), 7, "D"),
        at_hour(answers(1, 94, 100, first=100), 15, "L"),
        at_hour(answers(1, 70, 100, first=200), 4, "N"),
    )
    assert [row.crew for row in found if row.found.more] == ["N"]


def test_a_wrong_key_and_good_parts_are_no_misses() -> None:
    found = rows(
        at_hour(answers(1, 0, 30), 7, "D"),
        at_hour(answers(2, 10, 30, bad=False), 7, "D"),
        at_hour(answers(3, 25, 30), 7, "D"),
    )
    assert [(row.found.missed, row.found.shown, row.people) for row in found] == [(5, 30, 30)]


def test_hours_are_those_of_the_plant_s_clock() -> None:
    book = at_hour(answers(1, 20, 25), 3, "N")
    bank = bank_figures(book, ratios={}, panels={}, now=NOON)
    found = by_crew_and_hour(book, bank, zoneinfo.ZoneInfo("America/Monterrey"))
    assert [row.start for row in found] == [20]
