"""People of known error rates sit exams through the site's own services; what they come to."""

import datetime as dt
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from certification.certificates.services import grant_from_sitting
from tests.simulations.exam_bank import new_person
from training.floor.models import Family
from training.people.models import Person
from training.quizzes.models import ExamPlan, Presented, Sitting
from training.quizzes.plan_rules import own_table, read_rules
from training.quizzes.services.judging import Given, record_judgements
from training.quizzes.services.opening import open_qualification
from training.statistics.group_plan import design_group_plan, group_risks
from training.statistics.sequential_plan import operating_characteristic

NOON = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)
# A device holds the part to be judged and five ahead.
BATCH = 6
# Four standard errors of a binomial share: by chance about one comparison in 16,000 lies beyond.
ERRORS_ALLOWED = 4.0
# Kinds of people at a group of five: miss rate everywhere, in the first family, false rejects.
AT_GROUP: dict[str, tuple[float, float, float]] = {
    "misses 2 % everywhere": (0.02, 0.02, 0.02),
    "misses 5 % everywhere": (0.05, 0.05, 0.02),
    "misses 10 % everywhere": (0.10, 0.10, 0.02),
    "misses 20 % everywhere": (0.20, 0.20, 0.02),
    "misses half of one family": (0.01, 0.50, 0.02),
    "refuses 20 % of good parts": (0.01, 0.01, 0.20),
}
# The population of an own plan: share, miss rate, false-reject rate.
POPULATION: dict[str, tuple[float, float, float]] = {
    "very good": (0.60, 0.008, 0.0056),
    "good": (0.20, 0.020, 0.0140),
    "middling": (0.10, 0.045, 0.0315),
    "noisy": (0.025, 0.100, 0.0700),
    "lenient": (0.025, 0.100, 0.0200),
    "strict": (0.025, 0.020, 0.1000),
    "guessing": (0.025, 0.500, 0.5000),
}


@dataclass(frozen=True)
class Outcome:
    """What one sitting came to: families certified, those at critical level, judgements made."""

    certified: frozenset[str]
    critical: frozenset[str]
    judged: int


@dataclass(frozen=True)
class Compared:
    """A share that came out of n people, beside the exact one."""

    what: str
    found: float
    exact: float
    n: int

    @property
    def tolerance(self) -> float:
        """Four binomial standard errors, and one person more where a chance is almost 0 or 1."""
        error: float = (self.exact * (1 - self.exact) / self.n) ** 0.5
        return ERRORS_ALLOWED * error + 1 / self.n

    @property
    def holds(self) -> bool:
        return abs(self.found - self.exact) <= self.tolerance

    def __str__(self) -> str:
        return (
            f"{self.what:52s} {self.found:5.3f}  exact {self.exact:5.3f}  "
            f"tolerance {self.tolerance:5.3f}  of {self.n:3d}  {'holds' if self.holds else 'FAILS'}"
        )


def sit(
    plant: SimpleNamespace,
    person: Person,
    families: Sequence[Family],
    plan: ExamPlan,
    miss: Mapping[str, float],
    refuse: float,
    rng: np.random.Generator,
    *,
    critical: Sequence[Family] = (),
    moment: dt.datetime = NOON,
) -> Outcome:
    """Open an exam, answer it by the person's true rates, and let quality grant what was passed."""
    sitting = open_qualification(
        person=person,
        families=families,
        plan=plan,
        invigilator=plant.invigilator,
        signature_method="pin",
        critical=critical,
        seed=rng.bytes(8).hex(),
        moment=moment,
    )
    _answer(sitting, miss, refuse, rng, moment)
    sitting = Sitting.objects.select_related("plan", "person", "end").get(pk=sitting.pk)
    granted = []
    if sitting.end.result == "passed":
        grant = grant_from_sitting(sitting=sitting, decided_by=plant.quality, moment=moment)
        granted = list(grant.certificates)
    return Outcome(
        frozenset(each.family.slug for each in granted),
        frozenset(each.family.slug for each in granted if each.level == "critical"),
        sitting.judgements.filter(scored=True).count(),
    )


def _answer(
    sitting: Sitting,
    miss: Mapping[str, float],
    refuse: float,
    rng: np.random.Generator,
    moment: dt.datetime,
) -> None:
    """Send answers in order and in small batches, as a tablet does after a lost connection."""
    parts = list(
        sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    )
    for start in range(0, len(parts), BATCH):
        batch = [_given(part, miss, refuse, rng, moment) for part in parts[start : start + BATCH]]
        if record_judgements(sitting=sitting, answers=batch, moment=moment).end is not None:
            return


def _given(
    part: Presented,
    miss: Mapping[str, float],
    refuse: float,
    rng: np.random.Generator,
    moment: dt.datetime,
) -> Given:
    bad = part.decision.decision == "reject"
    slug = part.specimen.family.slug
    reject = bad != (rng.random() < (miss[slug] if bad else refuse))
    return Given(
        judgement_id=uuid.UUID(bytes=rng.bytes(16), version=4),
        ordinal=part.ordinal,
        answer="reject" if reject else "accept",
        judging_ms=5000,
        answered_at=moment,
        family=slug if reject else "",
        action="segregate" if reject else "",
    )


def group_sat(
    plant: SimpleNamespace, kinds: Sequence[str], people: int, rng: np.random.Generator
) -> list[Compared]:
    """Let so many people of each kind sit a group of five, and compare who is certified."""
    families, plan = plant.families[1], plant.plans["group"]
    rules = read_rules(plan.form, plan.parameters)
    slugs = [family.slug for family in families]
    design = design_group_plan(slugs, rules.p_ok, rules.p_bad, rules.alpha, rules.beta)
    found = []
    for kind in kinds:
        rate, first, refuse = AT_GROUP[kind]
        miss = {**dict.fromkeys(slugs, rate), slugs[0]: first}
        exact = group_risks(design, miss, refuse)
        out = [
            sit(plant, new_person(plant.crew, kind), families, plan, miss, refuse, rng)
            for _ in range(people)
        ]
        one = sum(slugs[0] in each.certified for each in out) / people
        every = sum(len(each.certified) == len(slugs) for each in out) / people
        found += [
            Compared(f"group, {kind}: one family", one, exact.by_family[slugs[0]], people),
            Compared(f"group, {kind}: all five", every, exact.all_families, people),
        ]
    return found


def own_sat(
    plant: SimpleNamespace, people: Mapping[str, int], rng: np.random.Generator
) -> tuple[list[Compared], dict[str, list[int]]]:
    """Let people of each kind sit an own plan at critical level; also return their judgements."""
    family = plant.families[0][0]
    table = own_table(read_rules("own", plant.plans["own"].parameters), critical=True)
    found, judged = [], {}
    for kind, n in people.items():
        _share, miss, refuse = POPULATION[kind]
        out = [
            sit(
                plant,
                new_person(plant.crew, kind),
                [family],
                plant.plans["own"],
                {family.slug: miss},
                refuse,
                rng,
                critical=[family],
            )
            for _ in range(n)
        ]
        sides = [operating_characteristic(table, rate).p_accept for rate in (miss, refuse)]
        passed = sum(bool(each.critical) for each in out) / n
        found.append(Compared(f"own plan, {kind}", passed, sides[0] * sides[1], n))
        judged[kind] = [each.judged for each in out]
    return found, judged


def year_of_one(
    plant: SimpleNamespace, critical: Sequence[Family], rate: float, rng: np.random.Generator
) -> Outcome:
    """Return a year of one operator: every group once, ten weeks apart, critical ones with them."""
    person = new_person(plant.crew, "Median operator")
    marked = {family.slug for family in critical}
    certified: set[str] = set()
    at_critical: set[str] = set()
    judged = 0
    for place, families in enumerate(plant.families):
        outcome = sit(
            plant,
            person,
            families,
            plant.plans["group"],
            dict.fromkeys((family.slug for family in families), rate),
            rate,
            rng,
            critical=[family for family in families if family.slug in marked],
            moment=NOON - dt.timedelta(weeks=10 * (len(plant.families) - 1 - place)),
        )
        judged += outcome.judged
        certified |= outcome.certified
        at_critical |= outcome.critical
    return Outcome(frozenset(certified), frozenset(at_critical), judged)
