"""The steps of the Rasch fit written out cell by cell: slow, and easy to check by eye."""

import math
from typing import Any

import numpy as np
import numpy.typing as npt

from tests.training.statistics.simulated import Table


def plain_rasch(
    answers: Table,
    seen: Table,
    group: npt.NDArray[np.int64],
    covariates: Table | None = None,
) -> dict[str, Any]:
    persons, items = answers.shape
    weight, first_sd = (40, 1.5) if covariates is None else (20, 0.8)
    design = [[1.0, *([] if covariates is None else covariates[i])] for i in range(items)]
    right = [sum(answers[p, i] for p in range(persons) if seen[p, i]) for i in range(items)]
    given = [sum(seen[p, i] for p in range(persons)) for i in range(items)]
    b = [-math.log((x + 0.5) / (n - x + 0.5)) for x, n in zip(right, given, strict=True)]
    means, sd = [0.0] * (int(group.max()) + 1), 0.8
    mu, tau2 = [(sum(b) - 3) / (items + 2)] * items, first_sd**2
    iteration, change = 0, math.inf
    while change >= 1e-3 and iteration < 200:
        iteration += 1
        mean, second, excess, information = _expected(answers, seen, means, sd, group, b, right)
        shift = sum(mean) / persons
        curvature = [h + 1 / tau2 for h in information]
        new_b = [
            b[i] + min(1, max(-1, (excess[i] - (b[i] - mu[i]) / tau2) / curvature[i])) - shift
            for i in range(items)
        ]
        raw = [
            sum(mean[p] for p in range(persons) if group[p] == k) / sum(group == k)
            for k in range(len(means))
        ]
        squares = sum(
            second[p] - 2 * mean[p] * raw[group[p]] + raw[group[p]] ** 2 for p in range(persons)
        )
        new_sd = math.sqrt((squares + 10 * 0.49) / (persons + 10))
        new_means = [m - shift for m in raw]
        ridge = np.diag([2.0] + [1e-6] * (len(design[0]) - 1))
        target = np.array(design).T @ np.array(new_b) + np.array([-3.0] + [0.0] * (len(ridge) - 1))
        gamma = np.linalg.solve(np.array(design).T @ np.array(design) + ridge, target)
        mu = [float(np.dot(row, gamma)) for row in design]
        spread = sum((new_b[i] - mu[i]) ** 2 + 1 / curvature[i] for i in range(items))
        tau2 = (spread + weight * first_sd**2) / (items + weight)
        change = max(
            [abs(x - y) for x, y in zip(new_b, b, strict=True)]
            + [abs(x - y) for x, y in zip(new_means, means, strict=True)]
            + [abs(new_sd - sd)]
        )
        b, means, sd = new_b, new_means, new_sd
    return {
        "difficulty": np.array(b),
        "difficulty_se": np.array([1 / math.sqrt(h + 1 / tau2) for h in information]),
        "ability": np.array(mean),
        "ability_se": np.sqrt(np.array(second) - np.array(mean) ** 2),
        "group_mean": np.array(means),
        "ability_sd": sd,
        "item_sd": math.sqrt(tau2),
        "iterations": iteration,
    }


def _expected(
    answers: Table,
    seen: Table,
    means: list[float],
    sd: float,
    group: npt.NDArray[np.int64],
    b: list[float],
    right: list[float],
) -> tuple[list[float], list[float], list[float], list[float]]:
    """The step of expectations: abilities, their squares, and what each specimen's answers say."""
    persons, items = answers.shape
    nodes, weights = _nodes()
    mean, second = [0.0] * persons, [0.0] * persons
    excess, information = [-x for x in right], [0.0] * items
    for p in range(persons):
        theta = [means[group[p]] + sd * z for z in nodes]
        posterior = []
        for q in range(21):
            log_joint = math.log(weights[q])
            for i in range(items):
                if seen[p, i]:
                    gap = theta[q] - b[i]
                    log_joint += answers[p, i] * gap - math.log1p(math.exp(gap))
            posterior.append(math.exp(log_joint))
        total = sum(posterior)
        for q in range(21):
            share = posterior[q] / total
            mean[p] += share * theta[q]
            second[p] += share * theta[q] ** 2
            for i in range(items):
                if seen[p, i]:
                    right_chance = 1 / (1 + math.exp(b[i] - theta[q]))
                    excess[i] += share * right_chance
                    information[i] += share * right_chance * (1 - right_chance)
    return mean, second, excess, information


def _nodes() -> tuple[Any, Any]:
    nodes, weights = np.polynomial.hermite_e.hermegauss(21)
    return nodes, weights / weights.sum()
