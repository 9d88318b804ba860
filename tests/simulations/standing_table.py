"""Table against single answers on 20,000 random plants; prints what it compared.

Run: python -m tests.simulations.standing_table > tests/simulations/standing_table.txt
"""

from collections import Counter
from time import perf_counter

from certification.certificates.standing import Asked, StandingTable, explain
from certification.certificates.standing_table import ALONE, BUDDY, NO
from tests.certification.certificates.plants import RULES, TODAY, Plant
from tests.certification.certificates.test_standing_table import compare

PLANTS = 20_000


def main() -> None:
    seen: Counter[int] = Counter()
    # Seeds apart from those of the ordinary test.
    for seed in range(1_000_000, 1_000_000 + PLANTS):
        compare(seed, seen)
    print(f"{PLANTS:,} random plants, {sum(seen.values()):,} pairs of person and job compared")
    print(f"alone {seen[ALONE]:,}, with a buddy {seen[BUDDY]:,}, no {seen[NO]:,}; differences 0")
    plant = Plant(0)
    people, jobs = plant.people(300), plant.jobs(60)
    began = perf_counter()
    for person in people:
        for job in jobs:
            explain(person, job, RULES, Asked(TODAY))
    one_by_one = perf_counter() - began
    began = perf_counter()
    layout = StandingTable(people, jobs, RULES)
    laid_out = perf_counter() - began
    began = perf_counter()
    for _ in range(50):
        layout.on(TODAY)
    once = (perf_counter() - began) / 50
    print("300 people and 60 jobs, how many times faster than one by one:")
    print(
        f"first day {one_by_one / (laid_out + once):.0f}, each further day {one_by_one / once:.0f}"
    )


if __name__ == "__main__":
    main()
