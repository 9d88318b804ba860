"""The table and the single answer are the same rule."""

from collections import Counter
from datetime import timedelta

import numpy as np
import pytest

from certification.certificates.standing import Asked, StandingTable, Verdict, explain, table
from certification.certificates.standing_table import ALONE, BUDDY, NO
from tests.certification.certificates.plants import RULES, TODAY, Plant

CODES = {Verdict.NO: NO, Verdict.BUDDY: BUDDY, Verdict.ALONE: ALONE}


def compare(seed: int, seen: Counter[int]) -> None:
    """All people on all jobs of one random plant, on an edge day."""
    plant = Plant(seed)
    people, jobs = plant.people(3), plant.jobs(3)
    day = TODAY + timedelta(days=plant.random.choice((-1, 0, 0, 1)))
    found = table(people, jobs, RULES, day)
    expected = np.array(
        [
            [CODES[explain(person, job, RULES, Asked(day)).verdict] for job in jobs]
            for person in people
        ]
    )
    np.testing.assert_array_equal(found, expected, err_msg=f"plant {seed}, day {day}")
    seen.update(expected.ravel().tolist())


@pytest.mark.parametrize("block", range(4))
def test_table_gives_what_explain_gives(block: int) -> None:
    seen: Counter[int] = Counter()
    for seed in range(block * 600, (block + 1) * 600):
        compare(seed, seen)
    assert sum(seen.values()) == 5400
    # Every answer must occur often, or the comparison would say nothing about it.
    assert min(seen[NO], seen[BUDDY], seen[ALONE]) > 150


def test_one_layout_answers_many_days() -> None:
    plant = Plant(7)
    people, jobs = plant.people(5), plant.jobs(3)
    layout = StandingTable(people, jobs, RULES)
    for offset in range(-3, 4):
        day = TODAY + timedelta(days=offset)
        np.testing.assert_array_equal(layout.on(day), table(people, jobs, RULES, day))


@pytest.mark.parametrize(("persons", "jobs"), [(0, 0), (0, 2), (2, 0)])
def test_nobody_or_nothing_to_run(persons: int, jobs: int) -> None:
    plant = Plant(1)
    assert table(plant.people(persons), plant.jobs(jobs), RULES, TODAY).shape == (persons, jobs)
