"""Exact risks of 500 random sequential designs against those asked.

Run: python -m tests.simulations.sequential_designs > tests/simulations/output/sequential_designs.txt
"""

from tests.training.statistics.random_designs import random_designs
from training.statistics.sampling_plan import curtail, design_plan
from training.statistics.sequential_plan import (
    MOST_FOR_SEQUENTIAL,
    design_sequential,
    operating_characteristic,
)

DESIGNS = 500


def main() -> None:
    savings: list[float] = []
    alpha_left: list[float] = []
    beta_left: list[float] = []
    caps: list[float] = []
    refused = 0
    for p_ok, p_bad, alpha, beta in random_designs(2 * DESIGNS, seed=500):
        fixed = design_plan(p_ok, p_bad, alpha, beta)
        if fixed.n > MOST_FOR_SEQUENTIAL:
            refused += 1
            continue
        if len(caps) == DESIGNS:
            break
        table = design_sequential(p_ok, p_bad, alpha, beta)
        at_ok, at_bad = (operating_characteristic(table, p) for p in (p_ok, p_bad))
        assert 1 - at_ok.p_accept <= alpha
        assert at_bad.p_accept <= beta
        assert table.cap <= 1.5 * fixed.n
        assert list(table.accept) == sorted(table.accept)
        assert list(table.reject) == sorted(table.reject)
        curtailed = [
            operating_characteristic(curtail(fixed.n, fixed.c), p).expected_n for p in (p_ok, p_bad)
        ]
        savings.append(1 - (at_ok.expected_n + at_bad.expected_n) / sum(curtailed))
        alpha_left.append(1 - (1 - at_ok.p_accept) / alpha)
        beta_left.append(1 - at_bad.p_accept / beta)
        caps.append(table.cap / fixed.n)
    print(f"{DESIGNS} random designs: every exact risk within those asked, every cap <= 1.5 n,")
    print("acceptance and rejection numbers never fall")
    print(f"besides them refused as too long (more than {MOST_FOR_SEQUENTIAL}): {refused}")
    for name, values in (
        ("saved against the curtailed fixed plan, mean of both rates", savings),
        ("of alpha left unused", alpha_left),
        ("of beta left unused", beta_left),
    ):
        ordered = sorted(values)
        print(
            f"share {name}: least {ordered[0]:.3f}, median {ordered[DESIGNS // 2]:.3f}, "
            f"most {ordered[-1]:.3f}"
        )
    print(f"cap / n: {min(caps):.2f} to {max(caps):.2f}")
    critical = design_sequential(0.02, 0.10, 0.05, 0.10)
    print(
        f"2 %/10 %, 5 %/10 %: cap {critical.cap}, c {critical.c}, exact risks "
        f"{critical.alpha:.5f} and {critical.beta:.5f}, expected judgements "
        f"{critical.expected_ok:.3f} and {critical.expected_bad:.3f} (asked: 40.1 and 31.8)"
    )


if __name__ == "__main__":
    main()
