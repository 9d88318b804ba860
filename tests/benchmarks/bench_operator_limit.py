"""A family of 30 operators and 48 judgements each, in calibration loops.

Run: python -m tests.benchmarks.bench_operator_limit
"""

import tracemalloc
from statistics import median
from time import perf_counter

import numpy as np

from tests.benchmarks.calibration import ADDITIONS, calibration_loop
from tests.training.statistics.simulated import operators
from training.statistics.operator_limit import fit_family

OPERATORS, JUDGEMENTS, RUNS = 30, 48, 5


def main() -> None:
    rng = np.random.default_rng(31)
    shown = np.linspace(-0.4, 0.4, JUDGEMENTS)
    rejects = operators(rng, OPERATORS).rejects(shown)
    family = [(shown, rng.random(JUDGEMENTS) < chance) for chance in rejects]
    times, loops = [], []
    for _ in range(RUNS):
        began = perf_counter()
        fit_family(family)
        times.append(perf_counter() - began)
        loops.append(calibration_loop())
    tracemalloc.start()
    fit_family(family)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    print(f"fit_family, {OPERATORS} operators x {JUDGEMENTS} judgements")
    print(
        f"  {1000 * median(times):.0f} ms = {median(times) / median(loops):.2f} calibration loops "
        f"of {ADDITIONS:,} additions ({1000 * median(loops):.0f} ms)"
    )
    print(f"  peak memory {peak / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
