"""How well accuracy and consistency are estimated from a plant's operators.

Run: python -m tests.simulations.consistency_recovery > tests/simulations/output/consistency_recovery.txt
"""

import numpy as np

from training.statistics.consistency import (
    DecisionConsistency,
    decision_consistency,
    joint_consistency,
)

PLANTS = 200
# Error rates among operators: mean 4.4 %, as spread as in the study's plants.
SHAPES = (1.2, 26.0)


def plant(
    operators: int, n: int, c: int, cut: float, rng: np.random.Generator
) -> DecisionConsistency:
    errors = rng.binomial(n, rng.beta(*SHAPES, operators))
    return decision_consistency(errors, n, c, cut=cut)


def main() -> None:
    print(f"{PLANTS} plants a row, error rates beta{SHAPES}: truth, then bias and rmse")
    for n, c, cut in ((65, 3, 0.045), (38, 4, 0.10), (40, 4, 0.045)):
        rng = np.random.default_rng([5, n, c])
        truth = plant(400_000, n, c, cut, rng)
        both = joint_consistency(truth, truth)
        print(f"-- {c} of {n} allowed, cut {cut:g}")
        for operators in (30, 100, 300):
            one = [plant(operators, n, c, cut, rng) for _ in range(PLANTS)]
            two = [joint_consistency(a, b) for a, b in zip(one[::2], one[1::2], strict=True)]
            for name, true, estimates in (("one side", truth, one), ("both", both, two)):
                shown = []
                for field in ("accuracy", "consistency"):
                    off = np.array([getattr(e, field) for e in estimates]) - getattr(true, field)
                    shown.append(
                        f"{field} {getattr(true, field):.3f} {off.mean():+.4f} "
                        f"{np.sqrt((off**2).mean()):.3f}"
                    )
                    assert abs(off.mean()) < 0.015
                print(f"{operators:3d} operators, {name:8s}: {'   '.join(shown)}")


if __name__ == "__main__":
    main()
