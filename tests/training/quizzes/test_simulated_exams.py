"""A small excerpt of the simulated exams; 400 people: tests/simulations/exam_services.py."""

import numpy as np
import pytest

from tests.simulations.exam_bank import simulated_plant
from tests.simulations.exam_people import group_sat, own_sat, year_of_one

pytestmark = pytest.mark.django_db


def test_certify_rates_lie_within_the_plans_exact_risks() -> None:
    rng = np.random.default_rng(7)
    plant = simulated_plant((1, 5))
    attentive, blind = "misses 2 % everywhere", "misses half of one family"
    for row in group_sat(plant, [attentive, blind], 3, rng):
        assert row.holds, row
    compared, judged = own_sat(plant, {"very good": 2, "guessing": 1}, rng)
    for row in compared:
        assert row.holds, row
    # The earliest end is known; a guesser is found out long before an attentive eye is believed.
    assert max(judged["guessing"]) < min(judged["very good"]) < 2 * 91


def test_a_years_exams_certify_an_attentive_operator_within_320_judgements() -> None:
    rng = np.random.default_rng(3)
    plant = simulated_plant((4, 5))
    outcome = year_of_one(plant, plant.families[0], 0.0, rng)
    assert (len(outcome.certified), len(outcome.critical)) == (9, 4)
    # 40 bad and 30 good in each, and the block of 29 once; with 5 and 6 more families 317.
    assert outcome.judged == 70 + 70 + 29
    assert outcome.judged + 70 + 78 <= 320
