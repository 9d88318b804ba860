"""Four hundred people of known error rates through the site's own services, and a year of operators.

Run: python -m tests.simulations.exam_services > tests/simulations/output/exam_services.txt
(with the word "people" or "years" only that half; each has random numbers of its own)

Everything between opening an exam and the certificate is the site's own; only the answers are made
here, by a person's true miss rate and false-reject rate. The bank is synthetic and lies in an SQLite
database that is thrown away. What came out stands beside the plans' exact risks.
"""

import os
import sys
import tempfile
from pathlib import Path
from types import SimpleNamespace

import numpy as np

SEED = 1125
AT_EACH_GROUP_KIND = 40
AT_OWN = {
    "very good": 60,
    "good": 30,
    "middling": 25,
    "noisy": 12,
    "lenient": 13,
    "strict": 13,
    "guessing": 7,
}
# Both sides of the fixed plan for 2 % and 10 %: twice 65.
FIXED_BOTH_SIDES = 130
OWN_AT_MOST = 0.65
MEDIAN_GROUPS = (4, 5, 5, 6)
OPERATORS = 10
MOST_SITTINGS, MOST_JUDGEMENTS = 5, 320


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ["DATA_DIR"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "certification.site.settings"
        os.environ["DATABASE_URL"] = f"sqlite:///{Path(folder) / 'simulation.sqlite3'}"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        _report(sys.argv[1:])


def _report(asked: list[str]) -> None:
    from tests.simulations.exam_bank import simulated_plant

    plant = simulated_plant(MEDIAN_GROUPS)
    if "years" not in asked:
        _people(plant)
    if "people" not in asked:
        _years(plant)


def _people(plant: SimpleNamespace) -> None:
    from tests.simulations.exam_people import AT_GROUP, group_sat, own_sat

    rng = np.random.default_rng(SEED)
    people = AT_EACH_GROUP_KIND * len(AT_GROUP) + sum(AT_OWN.values())
    print(f"{people} people, seed {SEED}; tolerance: 4 binomial standard errors and 1 person")
    for row in group_sat(plant, list(AT_GROUP), AT_EACH_GROUP_KIND, rng):
        print(row)
        assert row.holds, row
    compared, judged = own_sat(plant, AT_OWN, rng)
    for row in compared:
        print(row)
        assert row.holds, row
    _own_length(judged)


def _own_length(judged: dict[str, list[int]]) -> None:
    from tests.simulations.exam_people import POPULATION
    from training.quizzes.full_bank import with_full_bank
    from training.quizzes.plan_rules import read_rules
    from training.quizzes.risks import length_law

    plan = with_full_bank(read_rules("own", {}), 1, critical=1)
    mean = exact = variance = 0.0
    print("-- own plan with fillers at critical level (2 %/10 %): judgements of a sitting")
    for kind, (share, miss, refuse) in POPULATION.items():
        law = length_law(plan, miss, refuse)
        numbers = judged[kind]
        print(f"{kind:12s} mean {np.mean(numbers):6.1f}  exact {law.mean:6.1f}")
        mean += share * float(np.mean(numbers))
        exact += share * law.mean
        variance += share**2 * float(np.var(numbers)) / len(numbers)
    print(
        f"population   mean {mean:6.1f} ({mean / FIXED_BOTH_SIDES:.3f} of {FIXED_BOTH_SIDES}), "
        f"exact {exact:.1f} ({exact / FIXED_BOTH_SIDES:.3f}), standard error {variance**0.5:.1f}"
    )
    assert exact <= OWN_AT_MOST * FIXED_BOTH_SIDES
    assert abs(mean - exact) < 4 * variance**0.5


def _years(plant: SimpleNamespace) -> None:
    from tests.simulations.exam_people import year_of_one

    rng = np.random.default_rng([SEED, 2])
    families = plant.families
    print("-- a year of an operator: 20 families in 4 groups, 4 critical; 1 % missed, 1 % refused")
    years = [year_of_one(plant, families[0], 0.01, rng) for _ in range(OPERATORS)]
    judged = float(np.median([each.judged for each in years]))
    certified = float(np.median([len(each.certified) for each in years]))
    critical = float(np.median([len(each.critical) for each in years]))
    whole = sum(len(each.certified) == 20 and len(each.critical) == 4 for each in years)
    print(
        f"critical ones in one group   {len(families)} sittings, {judged:.0f} judgements in the "
        f"median; {whole} of {OPERATORS} certified in all at the first go, with {certified:.0f} "
        f"families and {critical:.0f} critical in the median"
    )
    assert len(families) <= MOST_SITTINGS
    assert judged <= MOST_JUDGEMENTS
    assert (certified, critical) == (20, 4)


if __name__ == "__main__":
    main()
