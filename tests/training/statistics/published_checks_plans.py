"""Published values for proportions, plans, and decision consistency.

Left out openly: the acceptance probability of a draw without replacement from a lot
(20 of 120 with 22 bad, .0762970752), which no instrument here computes because an
operator's errors are not drawn from a lot; `test_sampling_plan.py` checks it with scipy.
Also the average outgoing quality of a plan, which concerns lots, and Lee's, Rudner's,
Huynh's and Subkoviak's indices, of which none is used.
"""

from collections.abc import Callable, Iterator
from functools import cache, partial

from tests.training.statistics.published_check import Check, Status
from tests.training.statistics.published_data import numbers
from training.statistics.beta_law import BetaLaw
from training.statistics.family_evidence import accumulate, critical_block
from training.statistics.group_plan import design_group_plan, group_risks
from training.statistics.livingston_lewis import LivingstonLewis, classify, livingston_lewis
from training.statistics.proportions import Interval, clopper_pearson, upper_bound, wilson
from training.statistics.sampling_plan import acceptance_probability, design_plan
from training.statistics.sequential_plan import operating_characteristic
from training.statistics.wald import wald_lines, wald_table

NEWCOMBE = (
    "Newcombe (1998), Statistics in Medicine 17, Table I, from memory; "
    "further digits R prop.test and binom.test"
)
HANDBOOK = "NIST/SEMATECH e-Handbook of Statistical Methods, section"
STUDY = "own study of exact plans"

# x, n, then low and high by Wilson's and by Clopper and Pearson's method.
NEWCOMBE_TABLE = [
    (81, 263, (0.255289, 0.36621), (0.252737, 0.367622)),
    (15, 148, (0.062386, 0.160487), (0.057844, 0.16165)),
    (0, 20, (0.0, 0.161125), (0.0, 0.168433)),
    (1, 29, (0.006113, 0.171755), (0.000873, 0.177644)),
]

# n, c and the per cent rejectable at each probability of acceptance.
ACCEPTANCE = (0.99, 0.95, 0.90, 0.75, 0.50, 0.25, 0.10, 0.05, 0.01)
ISO_2859 = [
    (13, 0, (0.077, 0.394, 0.807, 2.189, 5.192, 10.115, 16.232, 20.582, 29.830)),
    (32, 1, (0.471, 1.122, 1.674, 3.006, 5.190, 8.195, 11.620, 13.985, 19.009)),
    (50, 1, (0.300, 0.715, 1.069, 1.923, 3.334, 5.295, 7.558, 9.140, 12.552)),
    (80, 2, (0.550, 1.030, 1.385, 2.163, 3.329, 4.842, 6.516, 7.661, 10.095)),
    (125, 3, (0.664, 1.100, 1.403, 2.032, 2.930, 4.053, 5.266, 6.086, 7.813)),
    (200, 5, (0.900, 1.314, 1.583, 2.114, 2.830, 3.689, 4.588, 5.184, 6.422)),
]
HANDBOOK_OC = (0.998, 0.980, 0.930, 0.845, 0.739, 0.620, 0.502, 0.394, 0.300, 0.223, 0.162, 0.115)

DESIGNS = [
    ((0.02, 0.08, 0.05, 0.10), 98, 4, "; also W. C. Guenther and the NIST handbook, from memory"),
    ((0.01, 0.06, 0.05, 0.10), 110, 3, ""),
    ((0.01, 0.05, 0.05, 0.10), 132, 3, ""),
    ((0.01, 0.10, 0.05, 0.10), 52, 2, ""),
    ((0.025, 0.10, 0.05, 0.10), 78, 4, ""),
    ((0.05, 0.20, 0.05, 0.10), 38, 4, ""),
]

# Slope, distances of the lines, then chance to pass and mean number at p1, slope, p2.
WALD = [
    (
        (0.01, 0.10, 0.05, 0.10),
        (0.039747, 0.938862, 1.205379),
        (0.977953, 30.2127),
        (0.618631, 39.0469),
        (0.099579, 22.3692),
    ),
    (
        (0.01, 0.06, 0.05, 0.10),
        (0.028111, 1.221149, 1.567800),
        (0.971418, 63.58),
        (0.603790, 86.43),
        (0.098921, 50.51),
    ),
]

# Families, miss rate everywhere, one family certified, all certified.
GROUPS = [
    (4, 0.01, 0.996, 0.983),
    (4, 0.05, 0.885, 0.697),
    (4, 0.20, 0.060, 0.020),
    (5, 0.01, 0.997, 0.987),
    (5, 0.05, 0.909, 0.743),
    (5, 0.20, 0.066, 0.028),
    (6, 0.01, 0.997, 0.984),
    (6, 0.05, 0.920, 0.702),
    (6, 0.20, 0.053, 0.015),
]


def end(method: Callable[..., Interval], x: int, n: int, side: str, level: float = 0.95) -> float:
    """Return one end of an interval."""
    return float(getattr(method(x, n, level), side))


def intervals() -> Iterator[Check]:
    """Newcombe's table and two further examples."""
    for x, n, *methods in NEWCOMBE_TABLE:
        for method, ends in zip((wilson, clopper_pearson), methods, strict=True):
            for side, value in zip(("low", "high"), ends, strict=True):
                yield Check(
                    id=f"{method.__name__.replace('_', '-')}-{x}-{n}-{side}",
                    what=f"95 % interval of {x} in {n}, {method.__name__}, {side} end",
                    source=NEWCOMBE,
                    status="from memory",
                    published=value,
                    tolerance=1e-6,
                    ours=partial(end, method, x, n, side),
                )
    others: list[tuple[int, int, float, tuple[float, float], str, Status]] = [
        (
            4,
            20,
            0.90,
            (0.071354, 0.401028),
            f"{HANDBOOK} 7.2.4.2, limits from memory",
            "from memory",
        ),
        (
            120,
            300,
            0.95,
            (0.3441290, 0.4578664),
            "R package statpsych, help of ci.prop",
            "published",
        ),
        (50, 50, 0.95, (0.928878, 1.0), "R binom.test", "recomputed"),
    ]
    for x, n, level, ends, source, status in others:
        for side, value in zip(("low", "high"), ends, strict=True):
            yield Check(
                id=f"clopper-pearson-{x}-{n}-{side}",
                what=f"{100 * level:g} % interval of {x} in {n}, clopper_pearson, {side} end",
                source=source,
                status=status,
                published=value,
                tolerance=2e-6,
                ours=partial(end, clopper_pearson, x, n, side, level),
            )


def characteristics() -> Iterator[Check]:
    """Operating characteristics of fixed plans."""
    yield Check(
        id="oc-20-1-18",
        what="chance to pass 20 with 1 allowed at 18 %",
        source="public help text on evaluating single sampling plans",
        status="published",
        published=0.1018322793,
        tolerance=1e-9,
        ours=partial(acceptance_probability, 20, 1, 0.18),
    )
    for percent, value in enumerate(HANDBOOK_OC, 1):
        yield Check(
            id=f"oc-52-3-{percent}",
            what=f"chance to pass 52 with 3 allowed at {percent} %",
            source=f"{HANDBOOK} 6.2.3",
            status="from memory",
            published=value,
            tolerance=1e-3,
            ours=partial(acceptance_probability, 52, 3, percent / 100),
        )
    for n, c, percents in ISO_2859:
        for chance, value in zip(ACCEPTANCE, percents, strict=True):
            yield Check(
                id=f"iso2859-{n}-{c}-{chance:g}",
                what=f"per cent that passes {n} with {c} allowed with chance {chance:g}",
                source="ISO 2859-1, tabulated OC points, recomputed with R's binomial",
                status="recomputed",
                published=value,
                tolerance=6e-4,
                ours=partial(rate_at, n, c, chance, 100.0),
            )
    for chance, value in ((0.95, 0.01213), (0.05, 0.089704)):
        yield Check(
            id=f"oc-68-2-{chance:g}",
            what=f"rate that passes 68 with 2 allowed with chance {chance:g}",
            source="public quality forum, recomputed with R",
            status="published",
            published=value,
            tolerance=5e-6,
            ours=partial(rate_at, 68, 2, chance),
        )


def rate_at(n: int, c: int, chance: float, scale: float = 1.0) -> float:
    """Return the rate that passes with the chance: an upper bound in disguise."""
    return scale * upper_bound(c, n, 1 - chance)


def designs() -> Iterator[Check]:
    """Numbers of designed plans."""
    for risks, n, c, also in DESIGNS:
        for name, value in (("n", n), ("c", c)):
            yield Check(
                id=f"design-{'-'.join(f'{x:g}' for x in risks)}-{name}",
                what=f"{name} of the plan for {100 * risks[0]:g} % and {100 * risks[1]:g} %, risks 5 % and 10 %",
                source=f"R package AcceptanceSampling 1.0-11, find.plan{also}",
                status="recomputed",
                published=value,
                tolerance=0.0,
                ours=partial(design_number, risks, name),
            )


def design_number(risks: tuple[float, float, float, float], name: str) -> float:
    return float(getattr(design_plan(*risks), name))


@cache
def open_ended(risks: tuple[float, float, float, float], p: float) -> tuple[float, float]:
    """Return characteristic and mean number of Wald's test, cut off where nobody arrives."""
    lines = wald_lines(*risks)
    return operating_characteristic(wald_table(lines, 4000, int(lines.slope * 4000)), p)


def sequential() -> Iterator[Check]:
    """Wald's lines and exact figures."""
    source = f"{HANDBOOK} 6.2.6, inputs from memory"
    exact = "dynamic programming in R and Python"
    for risks, lines, *points in WALD:
        name = "-".join(f"{x:g}" for x in risks)
        for field, value in zip(("slope", "h_accept", "h_reject"), lines, strict=True):
            yield Check(
                id=f"wald-{name}-{field}",
                what=f"{field} of Wald's test for {risks}",
                source=source if risks[1] == 0.10 else "recomputed by Wald's formulas",
                status="published" if risks[1] == 0.10 else "recomputed",
                published=value,
                tolerance=1e-6,
                ours=partial(line, risks, field),
            )
        for place, (chance, mean) in zip(("p1", "slope", "p2"), points, strict=True):
            for index, value in enumerate((chance, mean)):
                p = {"p1": risks[0], "slope": wald_lines(*risks).slope, "p2": risks[1]}[place]
                fine = 1e-6 if index == 0 else 1e-4 if risks[1] == 0.10 else 6e-3
                yield Check(
                    id=f"wald-{name}-{place}-{('pass', 'mean')[index]}",
                    what=f"exact {('chance to pass', 'mean number')[index]} at {place}, {risks}",
                    source=exact,
                    status="recomputed",
                    published=value,
                    tolerance=fine,
                    ours=partial(at, risks, p, index),
                )


def line(risks: tuple[float, float, float, float], field: str) -> float:
    return float(getattr(wald_lines(*risks), field))


def at(risks: tuple[float, float, float, float], p: float, index: int) -> float:
    return open_ended(risks, p)[index]


@cache
def thousand() -> LivingstonLewis:
    """Livingston and Lewis's estimate for the package's 1,000 scores."""
    return livingston_lewis(numbers("livingston_lewis_1000.csv")[:, 0], 50, 0.7, highest=100)


def consistency() -> Iterator[Check]:
    """Livingston and Lewis."""
    package = "R package betafunctions 1.9.0"
    for field, value in (
        ("true_fail", 0.156123),
        ("false_fail", 0.092579),
        ("true_pass", 0.680858),
        ("false_pass", 0.070440),
        ("accuracy", 0.836981),
        ("consistency", 0.774991),
        ("chance", 0.626302),
        ("kappa", 0.397886),
    ):
        yield Check(
            id=f"livingston-lewis-supplied-{field}",
            what=f"{field}, beta(5, 3) on .25 to .75, length 50, cut one half",
            source=package,
            status="recomputed",
            published=value,
            tolerance=1e-6,
            ours=partial(supplied, field),
        )
    for field, value, fine in (
        ("effective_length", 84.43, 5e-3),
        ("law.alpha", 2.567113, 1e-5),
        ("law.beta", 1.482522, 1e-5),
        ("law.low", 0.319897, 1e-5),
        ("law.high", 0.699307, 1e-5),
        ("classification.accuracy", 0.872640, 1e-5),
        ("classification.consistency", 0.822142, 1e-5),
        ("classification.kappa", 0.527883, 1e-5),
    ):
        yield Check(
            id=f"livingston-lewis-1000-{field}",
            what=f"{field}, 1,000 scores of 100, reliability .7, cut 50",
            source=package,
            status="recomputed",
            published=value,
            tolerance=fine,
            ours=partial(follow, field),
        )


def supplied(field: str) -> float:
    return float(getattr(classify(BetaLaw(5, 3, 0.25, 0.75), 50, 0.5), field))


def follow(path: str) -> float:
    found: object = thousand()
    for step in path.split("."):
        found = getattr(found, step)
    return float(found)  # type: ignore[arg-type]


def groups() -> Iterator[Check]:
    """The project's own exact tables of group plans."""
    for families, rate, one, every in GROUPS:
        for what, value in (("one family", one), ("all families", every)):
            yield Check(
                id=f"group-{families}-{rate:g}-{what.split()[0]}",
                what=f"{what} certified in a group of {families}, {100 * rate:g} % missed everywhere",
                source=STUDY,
                status="own study",
                published=value,
                tolerance=5.1e-4,
                ours=partial(certified, families, rate, what),
            )
    block = critical_block()
    for what, value, found in (
        ("specimens of the critical block", 29.0, float(block.n)),
        ("critical block passed at 10 % misses", 0.047, block.risk),
        ("critical block passed at .5 % lapses", 0.865, block.attentive),
        ("24 specimens, 2 misses allowed, passed at 20 %", 0.115, claim_risk()),
    ):
        yield Check(
            id=what.replace(" ", "-").replace(",", "").replace("%", "percent"),
            what=what,
            source=STUDY,
            status="own study",
            published=value,
            tolerance=5e-4,
            ours=partial(float, found),
        )


def certified(families: int, rate: float, what: str) -> float:
    risks = group_risks(design_group_plan(families), rate)
    return risks.by_family["1"] if what == "one family" else risks.all_families


def claim_risk() -> float:
    risk = accumulate([(0, 8)] * 3).risk
    assert risk is not None
    return risk


CHECKS: list[Check] = [
    *intervals(),
    *characteristics(),
    *designs(),
    *sequential(),
    *consistency(),
    *groups(),
]
