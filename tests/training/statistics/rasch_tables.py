"""Small tables of answers for the tests of the Rasch fit."""

import numpy as np
from hypothesis import strategies as st

from tests.training.statistics.simulated import Table
from training.statistics.item_difficulty import RaschFit

small_tables = st.tuples(st.integers(1, 8), st.integers(1, 8), st.integers(0, 2**32 - 1))


def random_table(shape: tuple[int, int, int]) -> tuple[Table, Table]:
    """Answers with gaps, at least one of them given."""
    persons, items, seed = shape
    rng = np.random.default_rng(seed)
    seen = (rng.random((persons, items)) < rng.uniform(0.3, 1)).astype(float)
    seen[0, 0] = 1
    return (rng.random((persons, items)) < rng.uniform(0, 1)) * seen, seen


def assert_finite(fit: RaschFit) -> None:
    for values in (fit.difficulty, fit.difficulty_se, fit.ability, fit.ability_se, fit.group_mean):
        assert np.isfinite(values).all()
    assert (fit.difficulty_se > 0).all()
    assert (fit.ability_se >= 0).all()
