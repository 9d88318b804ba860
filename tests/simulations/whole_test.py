"""Operators sit both sides of an examination: fixed, curtailed, Wald's and our sequential plan.

Run: python -m tests.simulations.whole_test > tests/simulations/output/whole_test.txt
"""

import numpy as np

from training.statistics.checks import FloatArray, IntArray
from training.statistics.sampling_plan import DecisionTable, curtail, design_plan
from training.statistics.sequential_plan import design_sequential, expected_sitting
from training.statistics.wald import wald_lines, wald_table

OPERATORS = 20_000
# Miss rate and false-reject rate; 3 in 10 good parts carry no blemish to be strict about.
KINDS = {
    "very good (0.8 %)": (0.008, 0.0056),
    "good (2 %)": (0.020, 0.0140),
    "middling (4.5 %)": (0.045, 0.0315),
    "noisy (10 %)": (0.100, 0.0700),
    "lenient (10 % missed)": (0.100, 0.0200),
    "strict (10 % false)": (0.020, 0.1000),
    "guesser": (0.500, 0.5000),
}
# Simulated earlier with another program and a psychometric function: certified, judgements.
STUDY = {
    "curtailed": (0.998, 124.9, 0.946, 124.8, 0.566, 111.8),
    "Wald, cap 97": (0.996, 62.9, 0.921, 76.1, 0.528, 87.8),
}


def decided(
    table: DecisionTable, rate: float, rng: np.random.Generator
) -> tuple[IntArray, IntArray]:
    """Return at which judgement each operator's side is decided, and whether it passed."""
    wrong = (rng.random((OPERATORS, table.cap)) < rate).cumsum(axis=1)
    ends = (wrong <= table.accept[1:]) | (wrong >= table.reject[1:])
    n = ends.argmax(axis=1) + 1
    return n, wrong[np.arange(OPERATORS), n - 1] <= np.array(table.accept)[n]


def sitting(
    table: DecisionTable, rates: tuple[float, float], rng: np.random.Generator
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return passed, scored judgements and all judgements of each operator."""
    sides = [decided(table, rate, rng) for rate in rates]
    kinds = rng.random((OPERATORS, 6 * table.cap)) < 0.5
    shown = [kinds.cumsum(axis=1), (~kinds).cumsum(axis=1)]
    # The place in the mixed order at which each side comes to its decision.
    places = [
        (count < n[:, np.newaxis]).sum(axis=1) + 1
        for count, (n, _) in zip(shown, sides, strict=True)
    ]
    passed = [side[1] for side in sides]
    failed_at = [np.where(ok, 10**6, place) for ok, place in zip(passed, places, strict=True)]
    end = np.minimum(np.minimum(*failed_at), np.maximum(*places))
    rows = np.arange(OPERATORS)
    scored = sum(
        np.minimum(count[rows, end - 1], n) for count, (n, _) in zip(shown, sides, strict=True)
    )
    return (passed[0] & passed[1]).astype(float), np.asarray(scored, float), end.astype(float)


def noticing(table: DecisionTable, rate: float, fillers: bool, rng: np.random.Generator) -> float:
    """Return how often somebody passes who answers by kind after five alike in a row."""
    passes = 0
    for _ in range(OPERATORS // 4):
        errors, counts, state, run = [0, 0], [0, 0], ["continue", "continue"], (0, 0)
        while "continue" in state and "reject" not in state:
            if fillers or state == ["continue", "continue"]:
                side = int(rng.random() < 0.5)
            else:
                side = state.index("continue")
            warned = run == (side, 5)
            wrong = int(not warned and rng.random() < (rate if side == 0 else 0.005))
            run = (side, min(5, run[1] + 1 if run[0] == side else 1))
            if state[side] == "continue":
                counts[side] += 1
                errors[side] += wrong
                state[side] = table.decide(errors[side], counts[side]).value
        passes += state == ["accept", "accept"]
    return passes / (OPERATORS // 4)


def main() -> None:
    fixed = design_plan(0.02, 0.10, 0.05, 0.10)
    wald = wald_table(wald_lines(0.02, 0.10, 0.06, 0.10), 97, 4)
    tables = {
        "curtailed": curtail(fixed.n, fixed.c),
        "Wald, cap 97": wald,
        "ours": design_sequential(0.02, 0.10, 0.05, 0.10),
    }
    print(
        f"{OPERATORS:,} operators a row, both sides 2 %/10 %; fixed plan: {2 * fixed.n} judgements"
    )
    for name, table in tables.items():
        print(f"-- {name}: certified, scored judgements, with fillers (exact), 95 in 100 below")
        for i, (kind, rates) in enumerate(KINDS.items()):
            rng = np.random.default_rng([79, i])
            passed, scored, total = sitting(table, rates, rng)
            exact = expected_sitting(table, rates[0], table, rates[1])
            assert abs(scored.mean() - exact.scored) < 4.5 * scored.std() / OPERATORS**0.5 + 1e-9
            assert abs(total.mean() - exact.total) < 4.5 * total.std() / OPERATORS**0.5 + 1e-9
            study = STUDY.get(name, ())[2 * i : 2 * i + 2]
            beside = f"  study {study[0]:.3f} {study[1]:.1f}" if study else ""
            print(
                f"{kind:22s} {passed.mean():.3f}  {scored.mean():6.1f}  {total.mean():6.1f} "
                f"({exact.total:6.1f})  {np.quantile(total, 0.95):4.0f}{beside}"
            )
    rng = np.random.default_rng([79, 99])
    print("-- somebody missing 10 % who answers by kind after five alike in a row passes with")
    print(f"without fillers {noticing(wald, 0.10, False, rng):.3f} (study .413)")
    print(f"with fillers    {noticing(wald, 0.10, True, rng):.3f} (exact without noticing .098)")


if __name__ == "__main__":
    main()
