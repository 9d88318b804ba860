"""How often panels settle a specimen and how often the key is then wrong.

Run: python -m tests.simulations.panel_rules > tests/simulations/output/panel_rules.txt
"""

import numpy as np
from scipy.special import ndtr

from training.statistics.panel import settle

SPECIMENS = 1_000_000
NEAR = 0.05
# Experts, verdicts each, most dissents; then settled and wrong among them in the study.
RULES = [
    (3, 2, 0, 0.64, 0.0018),
    (4, 2, 1, 0.77, 0.0019),
    (5, 1, 0, 0.66, 0.0014),
    (3, 1, 0, 0.74, 0.0132),
    (4, 1, 0, 0.69, 0.0052),
    (4, 2, 0, 0.59, 0.0001),
    (5, 2, 1, 0.72, 0.0011),
]


def main() -> None:
    print(f"{SPECIMENS:,} specimens a row; experts' bias sd .08, noise .10, lapses 2 %;")
    print("|log(severity / limit)| gamma(1.5, .2), either side alike")
    print("experts x verdicts, dissents allowed: settled, wrong among them, near (< 5 %) settled")
    for shared in (0.0, 0.08):
        print(f"-- a bias all experts share, sd {shared:g}")
        for experts, repeats, dissents, settled, wrong in RULES:
            rng = np.random.default_rng([7, experts, repeats, round(100 * shared)])
            distance = rng.gamma(1.5, 0.2, SPECIMENS) * rng.choice([-1, 1], SPECIMENS)
            bias = rng.normal(0, 0.08, (SPECIMENS, experts, 1))
            bias += rng.normal(0, shared, (SPECIMENS, 1, 1)) if shared else 0.0
            chance = 0.01 + 0.98 * ndtr((distance[:, None, None] - bias) / 0.10)
            rejects = rng.random((SPECIMENS, experts, repeats)) < chance
            votes = rejects.sum(axis=(1, 2))
            dissent = np.minimum(votes, experts * repeats - votes)
            done = dissent <= dissents
            key = 2 * votes > experts * repeats
            bad = float((key != (distance > 0))[done].mean())
            near = np.abs(distance) < NEAR
            ours = used(experts, repeats, dissents)
            print(
                f"{experts} x {repeats}, {dissents}: {done.mean():.3f}  {bad:.4f}  "
                f"{done[near].mean():.3f}"
                + ("" if shared else f"  study {settled:.2f} {wrong:.4f}")
                + ("  <- a rule of settle()" if ours else "")
            )


def used(experts: int, repeats: int, dissents: int) -> bool:
    """Whether the panel with that many dissents is one `settle` just accepts."""

    def panel(wrong: int) -> dict[str, list[str]]:
        verdicts = [["reject"] * repeats for _ in range(experts)]
        for i in range(wrong):
            verdicts[i][0] = "accept"
        return {str(i): each for i, each in enumerate(verdicts)}

    return settle(panel(dissents)).settled and not settle(panel(dissents + 1)).settled


if __name__ == "__main__":
    main()
