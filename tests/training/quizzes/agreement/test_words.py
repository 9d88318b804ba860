"""Figures and next steps of a study in words."""

import pytest
from django.utils.translation import override

from tests.training.quizzes.agreement.test_reading import BAD_PARTS, GOOD_PARTS, answers
from training.quizzes.agreement.reading import read_study
from training.quizzes.agreement.step_words import next_steps
from training.quizzes.agreement.words import (
    all_rows,
    finding,
    pair_rows,
    rate_words,
    two_decimals,
    verdict_sentence,
)
from training.quizzes.models import StudyJudge
from training.statistics.agreement import Rate

JUDGES = [StudyJudge(label="A"), StudyJudge(label="B")]


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.878788, "0.88"), (0.776119, "0.78"), (0.788007, "0.79"), (1.0, "1.00"), (None, "–")],
)
def test_decimals_are_rounded_and_not_cut_off(value: float | None, said: str) -> None:
    """The published kappas of the 50 × 3 × 3 table print as .88, .78 and .79."""
    assert two_decimals(value) == said


def test_spanish_writes_a_comma() -> None:
    with override("es"):
        assert two_decimals(0.878788) == "0,88"


def test_a_rate_comes_with_its_total_and_interval() -> None:
    assert rate_words(Rate(45, 50, 0.7819, 0.9667)) == "45 of 50, 78 to 97\N{NO-BREAK SPACE}%"
    assert rate_words(Rate(0, 0, None, None)) == "0 of 0"
    assert rate_words(None) == "–"


def test_the_references_come_before_the_people() -> None:
    odd = ["r aa aa", "r aa rr", "r aa rr", "a rr aa"]
    steps = next_steps(read_study(answers(*GOOD_PARTS, *BAD_PARTS, *odd)), JUDGES)
    assert steps[0].text.startswith("On 1 part most answers contradict the reference")
    assert steps[0].parts == ("P21",)
    assert steps[1].text.startswith("On 3 parts people are steady and differ")
    assert steps[2].text.startswith("A is steady and wrong on both sides")


def test_nothing_disputed_leaves_one_step_and_a_plain_verdict() -> None:
    read = read_study(answers(*GOOD_PARTS, *BAD_PARTS))
    assert [step.text for step in next_steps(read, JUDGES)] == [
        "Nothing is disputed. Repeat the study when limits, light or people change."
    ]
    assert verdict_sentence(read) == "Everybody judges acceptably."
    assert finding(read) == "On 20 of 20 parts every answer is the reference."


def test_without_bad_parts_the_reason_stands_in_place_of_the_verdict() -> None:
    read = read_study(answers(*GOOD_PARTS))
    assert verdict_sentence(read) == "The study needs both good and bad parts for a verdict."
    assert ("Fleiss' kappa", "–") in [row[:2] for row in all_rows(read)]
    assert pair_rows(read) == [("A · B", "–", "")]
