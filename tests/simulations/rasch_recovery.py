"""How well difficulties are found: by design, under unfair assignment, with severity.

Run: python -m tests.simulations.rasch_recovery > tests/simulations/output/rasch_recovery.txt
"""

from collections.abc import Iterator
from itertools import combinations

import numpy as np
from scipy.special import expit, logit

from tests.training.statistics.simulated import (
    Bank,
    Table,
    centred_errors,
    judged_bank,
    rasch_bank,
)
from training.statistics.item_difficulty import (
    fit_rasch,
    severity_covariates,
    shrunken_proportion,
)

DESIGNS = (
    (25, 40, 30, 40),
    (25, 120, 40, 40),
    (60, 120, 40, 25),
    (100, 200, 40, 20),
    (300, 200, 40, 8),
    (300, 600, 60, 6),
)
# Share of a weak operator's 40 items that come from half A, and items all see.
SPLITS = (
    ("75-25", 0.75, 0),
    ("95-5", 0.95, 0),
    ("disjoint", 1.0, 0),
    ("disjoint, 10 common", 1.0, 10),
    ("disjoint, 20 common", 1.0, 20),
)


def rmse(errors: list[Table]) -> float:
    return float(np.sqrt(np.mean([(error**2).mean() for error in errors])))


def shrunken_difficulty(bank: Bank) -> Table:
    found = shrunken_proportion(bank.answers.sum(axis=0), bank.seen.sum(axis=0))
    difficulty: Table = -logit(found.proportion)
    return difficulty


def by_design() -> None:
    print("Rasch truth: rmse of difficulty in logits, coverage of the 95 % interval")
    print("design                 answers/item  shrunken p  rasch  coverage  most iterations")
    for persons, items, each, reps in DESIGNS:
        shrunken, fitted, covered, most = [], [], [], 0
        for rep in range(reps):
            rng = np.random.default_rng([2026, persons, items, rep])
            bank = rasch_bank(rng, persons, items, each)
            fit = fit_rasch(bank.answers, bank.seen)
            error = centred_errors(fit.difficulty, bank.difficulty)
            shrunken.append(centred_errors(shrunken_difficulty(bank), bank.difficulty))
            fitted.append(error)
            covered.append((np.abs(error) < 1.96 * fit.difficulty_se).mean())
            most = max(most, fit.iterations)
        print(
            f"{persons:4} x {items:4}, {each} each  {persons * each / items:11.0f}"
            f"  {rmse(shrunken):10.3f}  {rmse(fitted):5.3f}  {np.mean(covered):8.3f}  {most:15}"
        )


def unfair_bank(rng: np.random.Generator, share: float, common: int) -> tuple[Bank, Table]:
    """Weak persons, a logit below, see mostly half A, strong ones mostly half B."""
    group = np.repeat([0, 1], 30)
    ability = rng.normal(np.where(group == 0, -0.5, 0.5), 0.8)
    difficulty = rng.normal(-1.8, 1.2, 120)
    seen = np.zeros((60, 120))
    seen[:, : common // 2] = seen[:, 120 - common + common // 2 :] = 1
    own = 40 - common
    for row, weak in zip(seen, group == 0, strict=True):
        home, away = np.flatnonzero(row[:60] == 0), 60 + np.flatnonzero(row[60:] == 0)
        if not weak:
            home, away = away, home
        row[rng.choice(home, round(share * own), replace=False)] = 1
        row[rng.choice(away, own - round(share * own), replace=False)] = 1
    answers = (rng.random(seen.shape) < expit(ability[:, None] - difficulty)) * seen
    return Bank(answers, seen, ability, difficulty), group


def unfair_assignment() -> None:
    print("\nUnfair assignment, 60 x 120, 30 runs: half A looks harder by so many logits")
    print("split                 shrunken p  one population  group means  gap (true 1)  linked")
    for name, share, common in SPLITS:
        bias: list[list[float]] = [[], [], []]
        gaps, linked = [], []
        for rep in range(30):
            rng = np.random.default_rng([91, rep])
            bank, group = unfair_bank(rng, share, common)
            grouped = fit_rasch(bank.answers, bank.seen, group)
            estimates = (
                shrunken_difficulty(bank),
                fit_rasch(bank.answers, bank.seen).difficulty,
                grouped.difficulty,
            )
            for kept, estimate in zip(bias, estimates, strict=True):
                error = estimate - bank.difficulty
                kept.append(error[:60].mean() - error[60:].mean())
            gaps.append(grouped.group_mean[1] - grouped.group_mean[0])
            linked.append(grouped.linked)
        means = [float(np.mean(kept)) for kept in bias]
        print(
            f"{name:20}  {means[0]:+10.2f}  {means[1]:+14.2f}  {means[2]:+11.2f}"
            f"  {np.mean(gaps):12.2f}  {np.mean(linked):6.0%}"
        )


def with_severity() -> None:
    print("\nPsychometric truth: rmse without and with severity in the prior")
    print("design          rating noise  without  with  coverage  iterations")
    for persons, items, each, reps in ((25, 120, 40, 20), (100, 200, 40, 10), (300, 600, 60, 4)):
        for noise in (0.10, 0.25):
            plain, helped, covered, rounds = [], [], [], []
            for rep in range(reps):
                rng = np.random.default_rng([21, rep])
                bank, distance = judged_bank(rng, persons, items, each)
                rated = np.where(np.isinf(distance), -2.0, distance) + rng.normal(0, noise, items)
                without = fit_rasch(bank.answers, bank.seen)
                fit = fit_rasch(bank.answers, bank.seen, covariates=severity_covariates(rated))
                plain.append(centred_errors(without.difficulty, bank.difficulty))
                helped.append(centred_errors(fit.difficulty, bank.difficulty))
                covered.append((np.abs(helped[-1]) < 1.96 * fit.difficulty_se).mean())
                rounds.append(fit.iterations)
            print(
                f"{persons:4} x {items:4}  {noise:12.2f}  {rmse(plain):11.3f}  {rmse(helped):.3f}"
                f"  {np.mean(covered):6.3f}  {min(rounds)} to {max(rounds)}"
            )


def pairs_in_order(estimate: Table, truth: Table) -> Iterator[bool]:
    """Pairs about one logit apart, and whether they stand in the right order."""
    for i, j in combinations(range(0, truth.size, 2), 2):
        gap = truth[i] - truth[j]
        if 0.8 < abs(gap) < 1.2:
            yield bool((estimate[i] - estimate[j]) * gap > 0)


def by_answers() -> None:
    print("\nAnswers an item: errors, and pairs one logit apart in the right order (120 items)")
    print("answers  rmse logit  rmse p  half-width p  coverage p  pairs")
    for answered in (3, 5, 8, 12, 20, 30, 50, 100):
        errors, misses, widths, covered, order = [], [], [], [], []
        for rep in range(12):
            rng = np.random.default_rng([13, answered, rep])
            bank = rasch_bank(rng, 3 * answered, 120, 40)
            crowd = rng.normal(0, 0.8, (2000, 1))
            share = expit(crowd - bank.difficulty).mean(axis=0)
            found = shrunken_proportion(bank.answers.sum(axis=0), bank.seen.sum(axis=0))
            fit = fit_rasch(bank.answers, bank.seen)
            errors.append(centred_errors(fit.difficulty, bank.difficulty))
            misses.append(found.proportion - share)
            widths.append((found.high - found.low).mean() / 2)
            covered.append(((found.low <= share) & (share <= found.high)).mean())
            order += list(pairs_in_order(fit.difficulty, bank.difficulty))
        print(
            f"{answered:7}  {rmse(errors):10.2f}  {rmse(misses):6.3f}  {np.mean(widths):12.3f}"
            f"  {np.mean(covered):10.3f}  {np.mean(order):5.0%}"
        )


if __name__ == "__main__":
    by_design()
    unfair_assignment()
    with_severity()
    by_answers()
