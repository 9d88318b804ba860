"""How well an operator's line is found, alone and within a family, and what is said of it.

Run: python -m tests.simulations.operator_limit_recovery \
    > tests/simulations/output/operator_limit_recovery.txt
"""

import math

import numpy as np
from scipy.special import ndtr

from tests.training.statistics.simulated import Table
from training.statistics.operator_limit import OperatorLimit, fit_family, fit_limit

LINE_SD, SIGMA, SIGMA_SPREAD = 0.15, 0.20, 0.40
RATIOS = (1.0, 0.95, 0.9, 0.85, 0.8, 0.7)


def judged(rng: np.random.Generator, shown: Table, line: float, sigma: float) -> Table:
    chance = 0.01 + 0.98 * ndtr((shown - line) / sigma)
    return (rng.random(shown.size) < chance).astype(float)


def summary(limits: list[OperatorLimit], lines: Table, sigmas: Table) -> str:
    kept = [i for i, limit in enumerate(limits) if limit.ratio is not None]
    numbers = [limits[i] for i in kept]
    ratio, low, high = (
        np.log([float(getattr(limit, end)) for limit in numbers])
        for end in ("ratio", "low", "high")
    )
    error = ratio - lines[kept]
    covered = ((low <= lines[kept]) & (lines[kept] <= high)).mean()
    spread = np.array([limit.log_sigma for limit in numbers]) - np.log(sigmas[kept])
    return (
        f"{error.mean():+.3f}  {np.sqrt((error**2).mean()):.3f}  {covered:.3f}"
        f"  {(high - low).mean() / 2:.3f}  {spread.mean():+.2f}  {np.sqrt((spread**2).mean()):.2f}"
        f"  {1 - len(kept) / len(limits):.1%}"
    )


def recovery() -> None:
    print("Pictures within 70 % either way (log 0.7), lines N(0, 0.15), log sigma N(log .2, .4)")
    print("n   how          bias    rmse   cover  half-w sigma: bias rmse  no number")
    for count in (24, 36, 48):
        shown = np.linspace(-0.7, 0.7, count)
        rows: dict[str, tuple[list[OperatorLimit], list[float], list[float]]] = {
            "alone": ([], [], []),
            "family of 30": ([], [], []),
            "family of 5": ([], [], []),
        }
        for size, name, families in ((30, "family of 30", 20), (5, "family of 5", 80)):
            rng = np.random.default_rng([31, count, size])
            for _ in range(families):
                lines = rng.normal(0, LINE_SD, size)
                sigmas = np.exp(rng.normal(math.log(SIGMA), SIGMA_SPREAD, size))
                family = [
                    (shown, judged(rng, shown, line, sigma))
                    for line, sigma in zip(lines, sigmas, strict=True)
                ]
                rows[name][0].extend(fit_family(family).limits)
                rows[name][1].extend(lines)
                rows[name][2].extend(sigmas)
                if size == 30:
                    rows["alone"][0].extend(fit_limit(*pair) for pair in family)
                    rows["alone"][1].extend(lines)
                    rows["alone"][2].extend(sigmas)
        for name, (limits, all_lines, all_sigmas) in rows.items():
            print(
                f"{count}  {name:12} {summary(limits, np.array(all_lines), np.array(all_sigmas))}"
            )


def called_strict(limit: OperatorLimit) -> bool:
    if limit.p_too_strict is None:
        return limit.reason is not None and "below every picture" in limit.reason
    return limit.p_too_strict >= 0.95


def claims() -> None:
    print("\nShare called 'at least 10 % too strict', sigma 0.2, 300 operators each")
    print("reach  n   " + "  ".join(f"{ratio:5.2f}" for ratio in RATIOS))
    for reach, counts in ((0.4, (24, 36, 48)), (0.7, (24, 48, 72))):
        for count in counts:
            rng = np.random.default_rng([5, count, round(10 * reach)])
            shown = np.linspace(-reach, reach, count)
            shares = [
                np.mean(
                    [
                        called_strict(fit_limit(shown, judged(rng, shown, math.log(ratio), 0.2)))
                        for _ in range(300)
                    ]
                )
                for ratio in RATIOS
            ]
            print(f"{reach:5}  {count}  " + "  ".join(f"{share:5.3f}" for share in shares))


if __name__ == "__main__":
    recovery()
    claims()
