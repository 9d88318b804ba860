"""A loop that takes every machine about as long as its Python is slow, to divide by."""

from time import perf_counter

ADDITIONS = 10_000_000


def calibration_loop() -> float:
    """Seconds that ten million additions in Python take."""
    began = perf_counter()
    total = 0
    for number in range(ADDITIONS):
        total += number
    return perf_counter() - began
