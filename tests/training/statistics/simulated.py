"""Made-up banks, operators and judgements with a known truth, for tests and simulations."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import expit, logit, ndtr

Table = npt.NDArray[np.float64]

# Severity mix of a job: distance from the limit, in logarithms, of the blemished parts.
MEAN_DISTANCE, NEAREST, FARTHEST = 0.35, 0.02, 2.0
CLEAN_SHARE = 0.30
# How operators differ: place of their line, its spread, inattention.
LINE_SD, SIGMA, SIGMA_SPREAD, LAPSE = 0.15, 0.20, 0.40, 0.02
CROWD = 2000


@dataclass(frozen=True)
class Bank:
    """Answers of persons to items, and what is true of both."""

    answers: Table
    seen: Table
    ability: Table
    difficulty: Table


@dataclass(frozen=True)
class Operators:
    """Places and spreads of the lines of some operators, in log severity / limit."""

    line: Table
    sigma: Table

    def rejects(self, distance: Table, lapse: float = LAPSE) -> Table:
        """Probability of a reject, shape (operators, items); clean parts stand at -inf."""
        z = (distance - self.line[:, None]) / self.sigma[:, None]
        return lapse / 2 + (1 - lapse) * ndtr(z)


def seen_at_random(rng: np.random.Generator, persons: int, items: int, each: int) -> Table:
    seen = np.zeros((persons, items))
    for row in seen:
        row[rng.choice(items, each, replace=False)] = 1
    return seen


def rasch_bank(rng: np.random.Generator, persons: int, items: int, each: int) -> Bank:
    """Follow the Rasch model: abilities N(0, 0.8), difficulties N(-1.8, 1.2)."""
    ability, difficulty = rng.normal(0, 0.8, persons), rng.normal(-1.8, 1.2, items)
    seen = seen_at_random(rng, persons, items, each)
    right = rng.random((persons, items)) < expit(ability[:, None] - difficulty)
    return Bank(right * seen, seen, ability, difficulty)


def operators(rng: np.random.Generator, count: int) -> Operators:
    line = rng.normal(0, LINE_SD, count)
    return Operators(line, np.exp(rng.normal(np.log(SIGMA), SIGMA_SPREAD, count)))


def distances(rng: np.random.Generator, items: int) -> Table:
    """Log severity / limit of a bank, half of it bad; clean parts at minus infinity."""
    size = rng.gamma(2.0, MEAN_DISTANCE, 20 * items + 50)
    size = size[(size > NEAREST) & (size < FARTHEST)][:items]
    bad = rng.random(items) < 0.5
    clean = ~bad & (rng.random(items) < CLEAN_SHARE)
    return np.where(clean, -np.inf, np.where(bad, size, -size))


def judged_bank(
    rng: np.random.Generator, persons: int, items: int, each: int
) -> tuple[Bank, Table]:
    """Follow psychometric functions; returns the bank and the distances behind it.

    The difficulty called true is minus the log odds of a right answer of a crowd.
    """
    distance = distances(rng, items)
    bad = distance > 0

    def right(who: Operators) -> Table:
        rejects = who.rejects(distance)
        return np.where(bad, rejects, 1 - rejects)

    share = right(operators(rng, CROWD)).mean(axis=0)
    seen = seen_at_random(rng, persons, items, each)
    answers = (rng.random((persons, items)) < right(operators(rng, persons))) * seen
    return Bank(answers, seen, np.zeros(persons), -logit(share)), distance


def centred_errors(estimate: Table, truth: Table) -> Table:
    error: Table = estimate - truth
    centred: Table = error - error.mean()
    return centred
