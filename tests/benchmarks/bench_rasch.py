"""Rasch fit with group means against girth's, on the same answers and in the same run.

Run: OPENBLAS_NUM_THREADS=1 python -m tests.benchmarks.bench_rasch
(one thread, as in a web worker; where OPENBLAS_CORETYPE names an old processor, unset
it for this command).
"""

import os
import tracemalloc
from collections.abc import Callable
from functools import partial
from statistics import median
from time import perf_counter

import girth
import numpy as np

from tests.training.statistics.simulated import Bank, Table, judged_bank, rasch_bank
from training.statistics.item_difficulty import fit_rasch, severity_covariates

# Persons, items, items each person saw, times faster than girth wanted and hoped for.
SIZES = ((200, 2000, 400, 8, 15), (500, 5000, 1000, 4, 8))
RUNS = 9


def seconds(work: Callable[[], object]) -> float:
    began = perf_counter()
    work()
    return perf_counter() - began


def in_turn(bank: Bank, group: Table) -> tuple[list[float], list[float]]:
    """Time both alternately, so that a busy moment of the machine hits both."""
    coded = np.where(bank.seen == 1, bank.answers, girth.INVALID_RESPONSE).T.astype(int)
    ours, theirs = [], []
    for _ in range(RUNS):
        ours.append(seconds(lambda: fit_rasch(bank.answers, bank.seen, group)))
        theirs.append(seconds(lambda: girth.rasch_mml(coded)))
    return ours, theirs


def iterations_with_covariates(persons: int, items: int, each: int, group: Table) -> int:
    bank, distance = judged_bank(np.random.default_rng(9), persons, items, each)
    severity = severity_covariates(np.where(np.isinf(distance), -2.0, distance))
    return fit_rasch(bank.answers, bank.seen, group, severity).iterations


def peak_memory(work: Callable[[], object]) -> int:
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def main() -> None:
    print(f"OPENBLAS_NUM_THREADS {os.environ.get('OPENBLAS_NUM_THREADS', 'not set')}")
    for persons, items, each, wanted, hoped in SIZES:
        rng = np.random.default_rng(8)
        bank = rasch_bank(rng, persons, items, each)
        group = rng.integers(0, 2, persons).astype(float)
        ours, theirs = in_turn(bank, group)
        ratios = sorted(their / our for our, their in zip(ours, theirs, strict=True))
        fit = fit_rasch(bank.answers, bank.seen, group)
        helped = iterations_with_covariates(persons, items, each, group)
        peak = peak_memory(partial(fit_rasch, bank.answers, bank.seen, group))

        print(f"{persons} persons, {items:,} items, {int(bank.seen.sum()):,} answers, two groups")
        print(
            f"  fit_rasch {1000 * median(ours):.1f} ms, girth rasch_mml "
            f"{1000 * median(theirs):.0f} ms"
        )
        print(
            f"  {median(ratios):.1f} times faster (single runs {ratios[0]:.1f} to "
            f"{ratios[-1]:.1f}); wanted {wanted}, hoped for {hoped}"
        )
        print(
            f"  iterations {fit.iterations} plain (at most 20), {helped} with covariates (at most 60)"
        )
        print(
            f"  peak memory beside the arguments {peak / 1e6:.0f} MB, "
            f"{peak / (8 * persons * items):.1f} times a table of doubles"
        )


if __name__ == "__main__":
    main()
