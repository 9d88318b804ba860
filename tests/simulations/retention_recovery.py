"""How well the time after which 90 % are left is estimated, and when it is withheld.

Run: python -m tests.simulations.retention_recovery > tests/simulations/output/retention_recovery.txt
"""

import math

import numpy as np

from training.statistics import retention
from training.statistics.retention import Requalification, fit_retention

PLANTS = 60
GAPS = (0.5, 1.0, 1.5, 2.0)


def history(lost_after: float, rng: np.random.Generator) -> list[Requalification]:
    """Four requalifications of a person who, each time, keeps the eye so many years on average."""
    made = []
    for _ in range(4):
        years = float(rng.choice(GAPS))
        kept = rng.exponential(lost_after) > years
        made.append(Requalification(years, bool(rng.random() < (0.95 if kept else 0.10))))
    return made


def early(rng: np.random.Generator) -> list[Requalification]:
    """The same for loss that comes early: Weibull, shape .6, 10 % lost after a month."""
    scale = 0.09 / (-math.log(0.9)) ** (1 / 0.6)
    made = []
    for _ in range(4):
        years = float(rng.choice(GAPS))
        kept = scale * rng.weibull(0.6) > years
        made.append(Requalification(years, bool(rng.random() < (0.95 if kept else 0.10))))
    return made


def main() -> None:
    print(f"{PLANTS} plants a row, gaps {GAPS} years, four requalifications a person, shape 2")
    print("left after a year, requalifications: rmse of log time, covered by the 90 % interval,")
    print("median width of the interval (high / low), share of plants whose figure is shown")
    for left in (0.90, 0.756, 0.97):
        mean = 2 * (left**-0.5 - 1)
        truth = 2 * (0.9**-0.5 - 1) / mean
        for people in (6, 24, 48, 96):
            errors, covered, widths, shown = [], [], [], []
            for plant in range(PLANTS):
                rng = np.random.default_rng([6, round(1000 * left), people, plant])
                histories = {
                    str(i): history(1 / rng.gamma(2, mean / 2), rng) for i in range(people)
                }
                law, newcomer, _ = retention._posterior(histories, 0.05, 0.10)
                low, high = retention._interval(law)
                errors.append(math.log(retention._lasts(newcomer) / truth))
                covered.append(low <= truth <= high)
                widths.append(high / low)
                shown.append(fit_retention(histories).supported)
            print(
                f"{left:.3f}, {4 * people:3d}: {np.sqrt(np.mean(np.square(errors))):.2f}  "
                f"{np.mean(covered):.2f}  {np.median(widths):.1f}  {np.mean(shown):.2f}"
            )
    shown = []
    for plant in range(PLANTS):
        rng = np.random.default_rng([66, plant])
        fit = fit_retention({str(i): early(rng) for i in range(96)})
        shown.append(fit.supported)
    print(f"early loss, true time .09 years, below every gap: shown for {np.mean(shown):.2f}")


if __name__ == "__main__":
    main()
