"""What first answers say of a specimen, and from how many answers on."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import NOON
from tests.training.quizzes.answered import Given, answers, key
from training.quizzes.specimen_figures import (
    BankFigures,
    Doubt,
    SpecimenFigures,
    bank_figures,
    windows_of,
)
from training.statistics.item_difficulty import Band, Precision, shrunken_proportion


def figures(*groups: list[Given], panels: dict[int, tuple[int, int]] | None = None) -> BankFigures:
    book = sorted((each for group in groups for each in group), key=lambda each: each.at)
    return bank_figures(
        book,
        ratios={},
        panels={key(number): counts for number, counts in (panels or {}).items()},
        now=NOON,
    )


def one(found: BankFigures, number: int) -> SpecimenFigures:
    return found.of(key(number))


def test_what_may_be_shown_follows_the_number_of_answers() -> None:
    found = figures(
        answers(1, 6, 7),
        answers(2, 7, 8),
        answers(3, 15, 19),
        answers(4, 16, 20),
        answers(5, 25, 30),
    )
    shown = [one(found, number).precision for number in range(1, 6)]
    assert shown == [
        Precision.TOO_FEW,
        Precision.BAND,
        Precision.BAND,
        Precision.NUMBER,
        Precision.RANK,
    ]
    assert one(found, 1).proportion is None
    assert one(found, 2).band is Band.MEDIUM


def test_only_those_with_thirty_answers_are_ranked_the_hardest_first() -> None:
    found = figures(
        *(answers(n, right, 30) for n, right in enumerate((29, 18, 24))), answers(9, 5, 20)
    )
    assert found.not_linked is None
    assert found.ranked == 3
    assert [one(found, n).rank for n in (0, 1, 2, 9)] == [3, 1, 2, None]


def test_specimens_that_share_nobody_are_not_ranked_and_it_is_said_why() -> None:
    found = figures(answers(1, 20, 30), answers(2, 25, 30, first=100))
    assert found.not_linked is not None
    assert found.ranked == 0
    assert one(found, 1).rank is None


def test_most_answers_against_the_key_doubt_it_and_leave_it_out_of_the_bank() -> None:
    sound = [answers(n, 27, 30) for n in range(2, 8)]
    found = figures(answers(1, 3, 20), *sound)
    assert one(found, 1).doubts == (Doubt.CHECK_KEY,)
    assert one(found, 1).proportion is None
    assert one(found, 1).difficulty is None
    alone = shrunken_proportion([27] * 6, [30] * 6)
    assert one(found, 2).proportion == pytest.approx(alone.proportion[0])


def test_fourteen_answers_are_too_few_to_doubt_a_key() -> None:
    assert one(figures(answers(1, 1, 14)), 1).doubts == ()
    assert one(figures(answers(1, 1, 15)), 1).doubts == (Doubt.CHECK_KEY,)


def test_half_right_is_too_close_to_call() -> None:
    assert one(figures(answers(1, 30, 60)), 1).doubts == (Doubt.TOO_CLOSE,)


def test_suddenly_right_is_perhaps_known() -> None:
    book = figures(
        answers(1, 42, 60, days_ago=400),
        answers(1, 60, 60, days_ago=20, first=60),
        answers(2, 50, 60),
    )
    found = one(book, 1)
    assert found.doubts == (Doubt.PERHAPS_KNOWN,)
    assert found.windows is not None
    assert (found.windows.earlier_right, found.windows.earlier) == (42, 60)
    assert (found.windows.recent_right, found.windows.recent) == (60, 60)


def test_fifty_nine_in_one_window_are_too_few_for_drift() -> None:
    book = figures(answers(1, 42, 60, days_ago=400), answers(1, 59, 59, days_ago=20, first=60))
    assert one(book, 1).windows is None
    assert one(book, 1).drift_z is None


@given(st.integers(120, 300), st.integers(0, 300))
def test_both_windows_always_hold_sixty(n: int, within: int) -> None:
    late = min(within, n)
    book = answers(1, n, n - late, days_ago=400) if n > late else []
    book = [*answers(1, n - late, n - late, days_ago=400), *answers(1, late, late, first=500)]
    found = windows_of(book, NOON)
    assert found is not None
    assert found.earlier >= 60
    assert found.recent >= 60
    assert found.earlier + found.recent == n
    if 60 <= late <= n - 60:
        assert found.recent == late


def test_half_a_panel_against_the_key_is_a_doubt_even_without_answers() -> None:
    found = figures(answers(2, 8, 10), panels={1: (2, 4), 2: (3, 4)})
    assert one(found, 1).doubts == (Doubt.PANEL,)
    assert one(found, 1).answered == 0
    assert one(found, 2).doubts == ()


def test_several_doubts_stand_in_the_order_of_urgency() -> None:
    found = figures(answers(1, 2, 20), panels={1: (0, 10)})
    assert one(found, 1).doubts == (Doubt.CHECK_KEY, Doubt.PANEL)


def test_a_difficulty_chooses_only_when_known_well() -> None:
    found = figures(*(answers(n, 45 + n, 60) for n in range(3)), answers(9, 1, 1))
    assert one(found, 0).chooses
    assert not one(found, 9).chooses


def test_nothing_answered_gives_nothing() -> None:
    found = bank_figures([], ratios={}, panels={}, now=NOON)
    assert (found.answers, found.people, found.ranked) == (0, 0, 0)
    assert found.of(key(1)) == SpecimenFigures()


def test_people_are_counted_once() -> None:
    assert figures(answers(1, 5, 5), answers(2, 5, 5)).people == 5
