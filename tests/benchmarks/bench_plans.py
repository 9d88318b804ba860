"""How long plans take to design, as ratios to a plain Python loop timed in the same run.

Run: python -m tests.benchmarks.bench_plans
"""

import tracemalloc
from collections.abc import Callable
from functools import partial
from statistics import median
from time import perf_counter

from training.statistics.group_plan import design_group_plan, group_risks
from training.statistics.sampling_plan import design_plan
from training.statistics.sequential_plan import design_sequential, operating_characteristic

ADDITIONS = 10_000_000
MOST_LOOPS = 30
DESIGNS = [
    (0.02, 0.10, 0.05, 0.10),
    (0.05, 0.20, 0.05, 0.10),
    (0.02, 0.10, 0.05, 0.05),
    (0.10, 0.30, 0.05, 0.10),
    (0.01, 0.05, 0.05, 0.05),
    (0.03, 0.06, 0.05, 0.10),
]


def calibration_loop() -> None:
    total = 0
    for i in range(ADDITIONS):
        total += i


def seconds(task: Callable[[], object], repeats: int = 3) -> float:
    """Return the median time of a task."""
    times = []
    for _ in range(repeats):
        began = perf_counter()
        task()
        times.append(perf_counter() - began)
    return median(times)


def first_search(design: tuple[float, float, float, float]) -> None:
    design_sequential.cache_clear()
    design_sequential(*design)


def main() -> None:
    loop = seconds(calibration_loop)
    print(f"calibration loop of {ADDITIONS:,} additions: {loop:.2f} s; all else in such loops")
    for design in DESIGNS:
        first = seconds(partial(first_search, design)) / loop
        cached = seconds(partial(design_sequential, *design), 99) / loop
        n = design_plan(*design).n
        print(
            f"design_sequential{design}: fixed n {n}, first search {first:.2f} "
            f"(asked: under {MOST_LOOPS}), cached {cached:.7f}"
        )
        assert first < MOST_LOOPS
    table = design_sequential(*DESIGNS[0])
    plan = design_group_plan(6)
    for name, task in (
        ("operating_characteristic, one rate", lambda: operating_characteristic(table, 0.05)),
        ("design_plan", lambda: design_plan(*DESIGNS[0])),
        ("group_risks, six families", lambda: group_risks(plan, 0.05)),
    ):
        print(f"{name}: {seconds(task, 25) / loop:.5f}")
    tracemalloc.start()
    first_search(DESIGNS[-1])
    print(
        f"memory at most in the largest search: {tracemalloc.get_traced_memory()[1] / 1e6:.0f} MB"
    )


if __name__ == "__main__":
    main()
