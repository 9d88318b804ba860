"""Rates and risks spread as plants might ask for them, the same on every run."""

import random


def random_designs(count: int, seed: int) -> list[tuple[float, float, float, float]]:
    """Return (p_ok, p_bad, alpha, beta) quadruples."""
    rng = random.Random(seed)
    designs = []
    for _ in range(count):
        p_ok = rng.uniform(0.002, 0.15)
        p_bad = min(0.9, p_ok * rng.uniform(1.8, 10))
        designs.append((p_ok, p_bad, rng.uniform(0.01, 0.2), rng.uniform(0.01, 0.2)))
    return designs
