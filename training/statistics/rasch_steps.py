"""Expectation and maximisation steps of the Rasch fit."""

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from training.statistics.checks import FloatArray
from training.statistics.rasch_answers import Answers
from training.statistics.wording import Wording, gettext_noop

# Hyperpriors of the methods study: ten persons of ability sd 0.7 and two items of
# difficulty -1.5 are added to the data; the item sd is held near 1.5 by 40 items, or
# near 0.8 by 20 when covariates explain part of the difficulty.
PSEUDO_PERSONS, PSEUDO_VARIANCE = 10, 0.7**2
PSEUDO_ITEMS, PSEUDO_DIFFICULTY = 2, -1.5
ITEM_SD, ITEM_SD_WEIGHT = 1.5, 40
COVARIATE_ITEM_SD, COVARIATE_ITEM_SD_WEIGHT = 0.8, 20
FIRST_ABILITY_SD = 0.8
LARGEST_STEP = 1.0
# Logits beyond which no answers can tell differences, and below which none are left.
LARGEST_SD, SMALLEST_SD, FARTHEST = 10.0, 0.05, 25.0
# Smaller shares than exp(-300) would become denormal numbers, which slow the products.
LEAST_LOG = -300.0

Quadrature = tuple[FloatArray, FloatArray]


class Parameters(NamedTuple):
    """What the fit estimates; ``precision`` is 0 when no prior holds the items."""

    difficulty: FloatArray
    group_mean: FloatArray
    ability_sd: float
    item_mean: FloatArray
    precision: float

    def distance(self, other: "Parameters") -> float:
        """Largest difference of a difficulty, a group mean or the ability sd."""
        return max(
            float(np.abs(self.difficulty - other.difficulty).max()),
            float(np.abs(self.group_mean - other.group_mean).max()),
            abs(self.ability_sd - other.ability_sd),
        )

    def astray(self) -> Wording | None:
        """Say why these parameters are on their way out of all bounds, or None."""
        farthest = max(float(np.abs(self.difficulty).max()), float(np.abs(self.group_mean).max()))
        if self.ability_sd >= LARGEST_SD or farthest > FARTHEST:
            return Wording(
                gettext_noop(
                    "The answers put some persons or items out of reach of the others: "
                    "differences grow without end."
                )
            )
        if self.ability_sd < SMALLEST_SD:
            return Wording(
                gettext_noop("Persons differ no more than by chance: there is no scale to fit.")
            )
        return None


class Expectation(NamedTuple):
    """What the answers say at given parameters.

    ``excess`` is the expected less the observed number right per item, ``information``
    its derivative; ``mean`` and ``second`` are the first two posterior moments of each
    person's ability.
    """

    excess: FloatArray
    information: FloatArray
    mean: FloatArray
    second: FloatArray
    log_likelihood: float


class Model:
    """Prior of the items and spread of ability: what differs between kinds of fit."""

    def __init__(self, columns: FloatArray | None, *, prior: bool, fixed_sd: float | None) -> None:
        self.columns = columns
        self.prior = prior
        self.fixed_sd = fixed_sd
        plain = columns is None
        self.weight = ITEM_SD_WEIGHT if plain else COVARIATE_ITEM_SD_WEIGHT
        self.first_item_sd = ITEM_SD if plain else COVARIATE_ITEM_SD

    def first(self, data: Answers) -> Parameters:
        """Start from the log odds of each item."""
        wrong = data.answered - data.right
        difficulty = -np.log((data.right + 0.5) / (wrong + 0.5))
        pseudo = PSEUDO_ITEMS * PSEUDO_DIFFICULTY
        centre = float(difficulty.sum() + pseudo) / (difficulty.size + PSEUDO_ITEMS)
        return Parameters(
            difficulty,
            np.zeros(len(data.groups)),
            FIRST_ABILITY_SD if self.fixed_sd is None else self.fixed_sd,
            np.full(difficulty.size, centre),
            1.0 / self.first_item_sd**2 if self.prior else 0.0,
        )

    def next(self, data: Answers, old: Parameters, found: Expectation) -> Parameters:
        """Improve every parameter once, then shift the scale to mean ability 0."""
        curvature = found.information + old.precision
        pull = (old.difficulty - old.item_mean) * old.precision
        step = np.clip((found.excess - pull) / curvature, -LARGEST_STEP, LARGEST_STEP)
        shift = float(found.mean.mean())
        difficulty = old.difficulty + step - shift
        sizes = np.array([rows.stop - rows.start for rows in data.groups])
        means = np.add.reduceat(found.mean, [rows.start for rows in data.groups]) / sizes
        own = np.repeat(means, sizes)
        squares = float((found.second - 2 * found.mean * own + own**2).sum())
        item_mean, precision = old.item_mean, old.precision
        if self.prior:
            item_mean = self._prior_mean(difficulty)
            spread = float(((difficulty - item_mean) ** 2 + 1.0 / curvature).sum())
            spread += self.weight * self.first_item_sd**2
            precision = (difficulty.size + self.weight) / spread
        sd = self._ability_sd(squares, found.mean.size)
        return Parameters(difficulty, means - shift, sd, item_mean, precision)

    def _ability_sd(self, squares: float, persons: int) -> float:
        if self.fixed_sd is not None:
            return self.fixed_sd
        if not self.prior:
            return math.sqrt(squares / persons)
        return math.sqrt((squares + PSEUDO_PERSONS * PSEUDO_VARIANCE) / (persons + PSEUDO_PERSONS))

    def _prior_mean(self, difficulty: FloatArray) -> FloatArray:
        """Regress difficulties on the covariates, the pseudo-items added."""
        ones = np.ones((difficulty.size, 1))
        design = ones if self.columns is None else np.hstack([ones, self.columns])
        ridge = np.full(design.shape[1], 1e-6)
        ridge[0] = PSEUDO_ITEMS
        target = design.T @ difficulty
        target[0] += PSEUDO_ITEMS * PSEUDO_DIFFICULTY
        line: FloatArray = design @ np.linalg.solve(design.T @ design + np.diag(ridge), target)
        return line


@lru_cache(maxsize=8)
def quadrature(count: int) -> Quadrature:
    """Return nodes and weights of the standard normal distribution, read-only."""
    points, weights = np.polynomial.hermite_e.hermegauss(count)
    weights = weights / weights.sum()
    points.flags.writeable = weights.flags.writeable = False
    return points, weights


def expect(data: Answers, at: Parameters, rule: Quadrature) -> Expectation:
    """Find the posterior of each ability on the nodes, and what it implies for items.

    The sum of answers times difficulty is the same at every node and drops out of the
    posterior, so that one product with the table of cells seen does for it.
    """
    points, weights = rule
    log_weights = np.log(weights)
    excess, information = -data.right, np.zeros(data.right.size)
    mean, second = np.empty(data.score.size), np.empty(data.score.size)
    log_likelihood = -float(data.right @ at.difficulty)
    easiness = np.exp(-at.difficulty)
    for rows, centre in zip(data.groups, at.group_mean, strict=True):
        theta = centre + at.ability_sd * points
        odds = np.exp(theta)[:, None] * easiness
        plus = 1.0 + odds
        joint = data.score[rows, None] * theta - (np.log(plus) @ data.seen[rows].T).T + log_weights
        top = joint.max(axis=1, keepdims=True)
        posterior = np.exp(np.maximum(joint - top, LEAST_LOG))
        total = posterior.sum(axis=1, keepdims=True)
        posterior /= total
        log_likelihood += float((np.log(total) + top).sum())
        expected_right = (posterior.T @ data.seen[rows]) * (odds / plus)
        excess += expected_right.sum(axis=0)
        information += (expected_right / plus).sum(axis=0)
        mean[rows], second[rows] = posterior @ theta, posterior @ theta**2
    return Expectation(excess, information, mean, second, log_likelihood)
