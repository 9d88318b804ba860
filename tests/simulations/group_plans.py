"""20,000 persons a row sit the group plans: passed against the exact chance.

Run: python -m tests.simulations.group_plans > tests/simulations/output/group_plans.txt
"""

import numpy as np

from training.statistics.group_plan import GroupPlan, design_group_plan, group_risks

PERSONS = 20_000
BOUND = 4.5


def row(plan: GroupPlan, rates: list[float], false_rate: float, what: str) -> float:
    """Print one row and return its largest deviation in standard errors."""
    rng = np.random.default_rng([2026, len(rates), *(round(1000 * r) for r in rates)])
    missed = rng.binomial(plan.per_family, rates, (PERSONS, len(rates)))
    strict = rng.binomial(plan.good, false_rate, PERSONS)
    group = (missed.sum(axis=1) <= plan.misses_allowed) & (strict <= plan.false_rejects_allowed)
    own = missed <= plan.family_misses_allowed
    risks = group_risks(plan, rates, false_rate)
    first = risks.by_family[plan.families[0]]
    pairs = [
        (float((group & own[:, 0]).mean()), first),
        (float((group & own.all(axis=1)).mean()), risks.all_families),
    ]
    worst = max(abs(o - e) / np.sqrt(max(e * (1 - e), 1e-9) / PERSONS) for o, e in pairs)
    shown = "  ".join(f"{observed:.4f} ({exact:.4f})" for observed, exact in pairs)
    print(f"{len(rates)} families, {what:38s} {shown}  {worst:.1f} standard errors")
    return float(worst)


def main() -> None:
    print(f"{PERSONS:,} persons a row: first family certified (exact)  all certified (exact)")
    worst = 0.0
    for families in (4, 5, 6, 7):
        plan = design_group_plan(families)
        print(
            f"-- {plan.per_family} each, {plan.misses_allowed} of {plan.bad} missed allowed, "
            f"{plan.family_misses_allowed} of a family's own"
        )
        for rate in (0.01, 0.02, 0.05, 0.10, 0.20):
            worst = max(worst, row(plan, [rate] * families, 0.0, f"{rate:.0%} everywhere"))
        for rate in (0.50, 0.30, 0.20):
            rates = [rate] + [0.01] * (families - 1)
            worst = max(worst, row(plan, rates, 0.0, f"{rate:.0%} in the first, 1% elsewhere"))
        worst = max(worst, row(plan, [0.02] * families, 0.05, "2% missed, 5% false rejects"))
    print(f"largest deviation {worst:.1f} standard errors (bound {BOUND})")
    assert worst < BOUND


if __name__ == "__main__":
    main()
