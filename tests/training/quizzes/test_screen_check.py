"""The check of a screen: what is shown by chance, what passes, and its colours against CIELAB."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.screen_check import (
    CARD_MM,
    FEWEST,
    LIGHTNESS,
    LINE_PLACES,
    Fault,
    ScreenAnswer,
    faults,
    grey,
    make_test,
    pixels_per_mm,
)

RIGHT = make_test("bench")
ANSWER = ScreenAnswer(RIGHT.shown, RIGHT.line, 324, 200)


@given(st.text(max_size=20))
def test_every_test_has_four_to_eight_squares_and_one_line(seed: str) -> None:
    test = make_test(seed)
    assert FEWEST <= test.shown <= len(LIGHTNESS) == len(test.fields)
    assert 1 <= test.line <= LINE_PLACES
    assert make_test(seed) == test


def test_every_number_and_place_comes_up_about_equally_often() -> None:
    tests = [make_test(str(place)) for place in range(2000)]
    for counted, values in (
        (Counter(test.shown for test in tests), range(FEWEST, len(LIGHTNESS) + 1)),
        (Counter(test.line for test in tests), range(1, LINE_PLACES + 1)),
    ):
        share = len(tests) / len(values)
        assert set(counted) == set(values)
        assert all(abs(counted[value] - share) < 0.2 * share for value in values)


def test_what_was_seen_and_measured_passes() -> None:
    assert faults(RIGHT, ANSWER) == []


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"squares": RIGHT.shown - 1}, Fault.GREY),
        ({"squares": 0}, Fault.GREY),
        ({"line": RIGHT.line % LINE_PLACES + 1}, Fault.LINE),
        ({"card_fits": False}, Fault.CARD),
        ({"card_width_px": 100}, Fault.CARD),
        ({"card_width_px": 2000, "density_percent": 400}, Fault.CARD),
    ],
)
def test_each_fault_is_told_apart(changes: dict[str, int], fault: Fault) -> None:
    assert faults(RIGHT, replace(ANSWER, **changes)) == [fault]


def test_the_size_of_a_screen_by_a_card() -> None:
    """96 CSS pixels to the inch of 25.4 mm: a card of 85.60 mm (ISO/IEC 7810, ID-1) is 323.5 wide."""
    width = round(CARD_MM * 96 / 25.4)
    assert width == 324
    assert pixels_per_mm(width, 100) == pytest.approx(96 / 25.4, rel=0.002)
    assert pixels_per_mm(width, 200) == 2 * pixels_per_mm(width, 100)


@pytest.mark.parametrize(
    ("lightness", "level"),
    # sRGB levels of neutral L*, from the definitions of CIE 15 and IEC 61966-2-1: L* 53.4 is level
    # 127.5; the booth's #AEAEAE is L* 71.
    [(0, 0), (100, 255), (53.39, 127), (71.1, 0xAE)],
)
def test_greys_are_of_their_lightness(lightness: float, level: int) -> None:
    assert abs(int(grey(lightness)[1:3], 16) - level) <= 1


def test_squares_differ_from_their_fields_on_every_screen_that_shows_256_levels() -> None:
    for seed in range(50):
        for field in make_test(str(seed)).fields:
            if field.square:
                ground, square = (int(each[1:3], 16) for each in (field.ground, field.square))
                assert 5 <= abs(ground - square) <= 14
