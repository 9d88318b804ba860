"""The worker processes that draw pictures: two of them, small in memory, results in the order asked."""

import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from typing import Any

WORKERS = 2
# Numerical libraries start threads of their own; two processes on two cores need none. The largest
# arrays go back to the system when they are let go (the C library of Linux keeps them otherwise);
# of the rest some memory is kept, for to hand back each one and ask for it again costs a sixth of
# the time.
SURROUNDINGS = {
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
    "MALLOC_MMAP_THRESHOLD_": str(8 * 2**20),
    "MALLOC_TRIM_THRESHOLD_": str(24 * 2**20),
}
# A worker is replaced after so many, so that what it has gathered stays small.
MOST_TASKS = 60


def drawing_pool() -> ProcessPoolExecutor:
    # A fresh interpreter holds neither this one's database connection nor its memory.
    for name, value in SURROUNDINGS.items():
        os.environ.setdefault(name, value)
    context = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(WORKERS, mp_context=context, max_tasks_per_child=MOST_TASKS)


def in_order(
    pool: ProcessPoolExecutor, work: Callable[..., Any], arguments: Iterable[tuple[Any, ...]]
) -> Iterator[Any]:
    """Yield results in the order asked for, with a few jobs in flight so that memory stays small."""
    waiting: list[Future[Any]] = []
    for given in arguments:
        waiting.append(pool.submit(work, *given))
        if len(waiting) > 3 * WORKERS:
            yield waiting.pop(0).result()
    for future in waiting:
        yield future.result()
