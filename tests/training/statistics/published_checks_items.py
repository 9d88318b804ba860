"""Published values for difficulty, operator's limit, detection and agreement.

The values stand in published/item_values.csv; its last column names the part of a
result below that must agree. Left out openly: the two-parameter fits and the person
parameters by maximum likelihood of the Law School Admission Test, which no instrument
here computes. Conditional maximum likelihood is another estimator of the same
difficulties; its rows compare within the small distance the two keep on these data.
"""

from collections.abc import Callable, Mapping
from functools import cache, partial

import numpy as np

from tests.training.statistics.published_check import Check, Status
from tests.training.statistics.published_data import numbers, patterns, rows
from training.statistics.agreement import (
    AttributeStudy,
    ZoneMethod,
    attribute_study,
    cohen_kappa,
    fleiss_kappa,
    gwet_ac1,
    krippendorff_alpha,
    zone_method,
)
from training.statistics.detection import detection
from training.statistics.item_difficulty import (
    RaschFit,
    alpha_interval,
    classical_analysis,
    fit_rasch,
)
from training.statistics.operator_limit import analytic_method, probit_threshold

STATUSES: dict[str, Status] = {
    "published": "published",
    "from memory": "from memory",
    "recomputed": "recomputed",
    "own study": "own study",
}
COHEN_1960 = [[88, 14, 18], [10, 40, 10], [2, 6, 12]]
FLEISS_1969 = [[106, 10, 4], [22, 28, 10], [2, 12, 6]]
FLEISS_BOOK = [[75, 1, 4], [5, 4, 1], [0, 0, 10]]


def lsat(section: int, ability_sd: float | None) -> RaschFit:
    """Fit the Rasch model (ability_sd 1) or the one-parameter model (None)."""
    answers = patterns(f"lsat{section}.csv")
    return fit_rasch(answers, np.ones_like(answers), prior=False, ability_sd=ability_sd)


def lsat_centred(section: int) -> list[float]:
    """Difficulties in logits, their mean taken off."""
    difficulty = lsat(section, None).difficulty
    return list(difficulty - difficulty.mean())


def ability_by_score() -> list[float]:
    """Expected ability at 0 to 5 right."""
    scores = patterns("lsat6.csv").sum(axis=1)
    ability = lsat(6, None).standard_ability
    return [float(ability[scores == score][0]) for score in range(6)]


def study() -> AttributeStudy:
    table = rows("attribute_study_50x3x3.csv")
    ratings = [
        [[int(row[f"{who}{trial}"]) for trial in (1, 2, 3)] for who in "ABC"] for row in table
    ]
    return attribute_study(ratings, [int(row["reference"]) for row in table])


def zones() -> ZoneMethod:
    table = rows("attribute_study_50x3x3.csv")
    values = [float(row["ref_value"]) for row in table]
    return zone_method(values, [row["code"] for row in table], (0.45, 0.55))


def variances_1969() -> list[float]:
    """Non-null and null variance of kappa."""
    found = cohen_kappa(FLEISS_1969)
    assert found.se_nonnull is not None
    assert found.se_null is not None
    return [found.se_nonnull**2, found.se_null**2]


GAUGE = numbers("attribute_gauge_analytic.csv").T
CHOICE = numbers("psignifit_demo_2afc.csv").T
DIAGNOSES = numbers("fleiss1971_counts_30x5.csv")
TEN_BY_FIVE = numbers("fleiss_10x5.csv")

RESULTS: Mapping[str, Callable[[], object]] = {
    "lsat6_rasch": partial(lsat, 6, 1.0),
    "lsat6_1pl": partial(lsat, 6, None),
    "lsat7_rasch": partial(lsat, 7, 1.0),
    "lsat7_1pl": partial(lsat, 7, None),
    "lsat6_centred": partial(lsat_centred, 6),
    "lsat7_centred": partial(lsat_centred, 7),
    "lsat6_ability_by_score": ability_by_score,
    "lsat6": lambda: classical_analysis(patterns("lsat6.csv")),
    "lsat7": lambda: classical_analysis(patterns("lsat7.csv")),
    "sat12_scored": lambda: classical_analysis(numbers("sat12_scored.csv")),
    "kr20_10x10": lambda: classical_analysis(numbers("kr20_10x10.csv")),
    "ctt_10x5": lambda: classical_analysis(numbers("ctt_10x5.csv")),
    "feldt": lambda: alpha_interval(0.85, items=7, persons=89),
    "gauge": lambda: analytic_method(GAUGE[0], GAUGE[1], 20, -0.010),
    "gauge_probit": lambda: probit_threshold(*GAUGE),
    "forced_choice": lambda: probit_threshold(*CHOICE, guess=0.5),
    "sdt_raw": lambda: detection(20, 25, 10, 25, "none"),
    "sdt_log_linear": lambda: detection(20, 25, 10, 25),
    "sdt_82_46": lambda: detection(82, 100, 46, 100),
    "sdt_perfect": lambda: detection(25, 25, 0, 25),
    "study": study,
    "zones": zones,
    "cohen_1960": lambda: cohen_kappa(COHEN_1960),
    "cohen_fleiss_1969": lambda: cohen_kappa(FLEISS_1969),
    "variances_1969": variances_1969,
    "fleiss_book": lambda: cohen_kappa(FLEISS_BOOK),
    "diagnoses": lambda: fleiss_kappa(DIAGNOSES),
    "diagnoses_ac1": lambda: gwet_ac1(DIAGNOSES),
    "diagnoses_alpha": lambda: krippendorff_alpha(DIAGNOSES),
    "fleiss_10x5": lambda: fleiss_kappa(TEN_BY_FIVE),
    "ac1_10x5": lambda: gwet_ac1(TEN_BY_FIVE),
    "paradox_45_15_25_15": lambda: cohen_kappa([[45, 15], [25, 15]]),
    "paradox_25_35_5_35": lambda: cohen_kappa([[25, 35], [5, 35]]),
    "paradox_20_5_10_15": lambda: cohen_kappa([[20, 5], [10, 15]]),
}


@cache
def result(name: str) -> object:
    return RESULTS[name]()


def ours(path: str) -> float:
    """Follow a path such as ``study.pairs.0.kappa.se_null`` from a result to a number."""
    name, *steps = path.split(".")
    found = result(name)
    for step in steps:
        found = found[int(step)] if step.isdigit() else getattr(found, step)  # type: ignore[index]
    if found is None:
        raise AssertionError(f"{path} is None: the instrument gave no value")
    return float(found)  # type: ignore[arg-type]


CHECKS: list[Check] = [
    Check(
        id=row["id"],
        what=row["what"],
        source=row["source"],
        status=STATUSES[row["status"]],
        published=float(row["published"]),
        tolerance=float(row["tolerance"]),
        ours=partial(ours, row["ours"]),
    )
    for row in rows("item_values.csv")
]
