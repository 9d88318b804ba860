"""Specimens wanted: what plans, bank and blueprint lack, and who and which presses wait for it."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from training.floor.models import FamilyGroup, Turn, WorkInstruction
from training.people.models import Employment
from training.quizzes.blueprint import Stratum, quotas, strata_for_bad
from training.quizzes.drawing import Candidate, clear_of, draw_sitting
from training.quizzes.plan_draw import LEAST_CRITICAL
from training.quizzes.plan_rules import Rules, read_rules
from training.quizzes.selectors.bank import OWN_JOBS_WITHIN
from training.quizzes.selectors.plans import EXAM_FORMS, plans_in_force
from training.quizzes.selectors.plant_bank import FamilyBank, PlantBank, plant_bank
from training.quizzes.worked_plan import Form
from training.statistics.bank_ladder import LEAST_FRESH, BankStep, best_plan_for_bank


class Why(StrEnum):
    """What is not possible without the specimens; the first ones keep people from an exam."""

    NO_EXAM = "no_exam"
    NO_CRITICAL = "no_critical"
    SHORT = "short"
    STRATUM = "stratum"
    PHOTOGRAPHED = "photographed"


# Without these somebody cannot be examined at all, or not at the level the job needs.
BLOCKING = (Why.NO_EXAM, Why.NO_CRITICAL)


@dataclass(frozen=True)
class Demand:
    """Who waits for a family: people and presses of the jobs in force that need it."""

    jobs: tuple[str, ...] = ()
    presses: frozenset[str] = frozenset()
    people: frozenset[uuid.UUID] = frozenset()
    critical: bool = False


@dataclass(frozen=True)
class WantedRow:
    """So many specimens of a family, or good ones for a group: which, from which jobs, and why.

    `family` and `group` are names in several languages; one of them is None. Without `stratum` any
    severity will do.
    """

    family: dict[str, str] | None
    group: dict[str, str] | None
    slug: str
    number: int
    bad: bool
    why: Why
    demand: Demand
    stratum: Stratum | None = None
    clear: bool = False
    undecided: int = 0
    without_outline: int = 0
    plan: str = ""

    @property
    def blocks(self) -> bool:
        return self.why in BLOCKING


@dataclass
class _Jobs:
    """Jobs in force that need a family, while they are collected."""

    jobs: dict[str, int] = field(default_factory=dict)
    presses: set[str] = field(default_factory=set)
    people: set[uuid.UUID] = field(default_factory=set)
    critical: bool = False


def specimens_wanted(day: dt.date) -> list[WantedRow]:
    """Return what is wanted, what keeps people from an exam first, then by who waits for it.

    Out of every plan in force, the ladder of the bank and the strata of the blueprint. Costs fourteen
    queries, whatever the size of the plant.
    """
    rules = _pictured_rules(day)
    # The usual exam; where the group plan is withdrawn, the next one down the ladder.
    ladder = (Form.GROUP, Form.SHORT_BANK)
    usual = next((each for form in ladder for each in rules.values() if each.form is form), None)
    if usual is None:
        return []
    bank = plant_bank(day)
    demands = demand_by_family(day)
    rows: list[WantedRow] = []
    for held in bank.families:
        demand = demands.get(held.family.slug)
        if demand is not None:
            rows += _of_family(held, demand, usual)
    rows += _good_of_groups(bank, demands, usual)
    rows += _photographed(bank, demands, rules)
    return sorted(
        rows,
        key=lambda row: (
            not row.blocks,
            -len(row.demand.people),
            -len(row.demand.presses),
            -row.number,
            row.slug,
        ),
    )


def _pictured_rules(day: dt.date) -> dict[str, Rules]:
    """Return the rules of the plans in force that examine with pictures, by their code."""
    exams = (plan for plan in plans_in_force(day) if plan.form in EXAM_FORMS)
    rules = {plan.code: read_rules(plan.form, plan.parameters) for plan in exams}
    return {code: each for code, each in rules.items() if each.pictured}


def demand_by_family(day: dt.date) -> dict[str, Demand]:
    """Return who waits for each family that a job in force needs. Costs four queries.

    People wait who stood at such a job within a year and are employed on the day.
    """
    worked: dict[uuid.UUID, set[uuid.UUID]] = defaultdict(set)
    employed = Employment.objects.on(day).values("person")
    turns = Turn.objects.filter(
        day__gt=day - OWN_JOBS_WITHIN, day__lte=day, person__in=employed
    ).values_list("job", "person")
    for job, person in turns.distinct():
        worked[job].add(person)
    found: dict[str, _Jobs] = defaultdict(_Jobs)
    sheets = WorkInstruction.objects.in_force(day).filter(job__ended_day=None)
    for sheet in sheets.select_related("job__press"):
        for slug, level in sheet.needs.items():
            entry = found[slug]
            people = worked.get(sheet.job_id, set())
            entry.jobs[sheet.job.number] = len(people)
            entry.people |= people
            entry.critical |= level == "critical"
            if sheet.job.press is not None:
                entry.presses.add(sheet.job.press.code)
    return {slug: _demand(entry) for slug, entry in found.items()}


def _demand(entry: _Jobs) -> Demand:
    jobs = sorted(entry.jobs, key=lambda number: (-entry.jobs[number], number))
    return Demand(tuple(jobs), frozenset(entry.presses), frozenset(entry.people), entry.critical)


def _of_family(held: FamilyBank, demand: Demand, rules: Rules) -> list[WantedRow]:
    """Return what one family lacks: of the ladder, of the critical block, of its strata.

    The ladder is climbed for whoever of those who need it finds the fewest fresh.
    """
    name, slug = dict(held.family.name), held.family.slug
    fresh = {person: held.fresh_for(person) for person in demand.people}
    ladder = best_plan_for_bank(min(fresh.values(), default=held.total), held.total)
    step = ladder.step
    waiting_people = frozenset(
        person
        for person, n in fresh.items()
        if best_plan_for_bank(n, held.total).step in (BankStep.NONE, step)
    )
    base = WantedRow(
        family=name, group=None, slug=slug, number=0, bad=True, why=Why.SHORT, demand=demand
    )
    in_hand = replace(base, undecided=held.undecided, without_outline=held.without_outline)
    if step is BankStep.NONE:
        waiting = replace(demand, people=waiting_people)
        return [replace(in_hand, number=ladder.wanted, why=Why.NO_EXAM, demand=waiting)]
    rows = []
    lacking = 0
    if step is BankStep.SHORT and rules.form is Form.GROUP:
        lacking = ladder.wanted_for_next
    if demand.critical or held.family.always_critical:
        clear = LEAST_CRITICAL - _clear_left(held, rules)
        if clear > 0:
            rows.append(replace(base, number=clear, why=Why.NO_CRITICAL, clear=True))
    for stratum, number in _short_strata(held, rules):
        rows.append(replace(base, number=number, why=Why.STRATUM, stratum=stratum))
        lacking -= number
    if lacking > 0:
        rows.append(replace(in_hand, number=lacking))
    return rows


def _clear_left(held: FamilyBank, rules: Rules) -> int:
    """Return the clear specimens that a usual draw leaves for the critical block."""
    n = min(LEAST_FRESH, len(held.bad))
    slug = held.family.slug
    drawn = draw_sitting(
        held.bad, bad={slug: n}, good=0, critical={}, seed="wanted", bad_strata=rules.bad_strata
    )
    taken = {pick.candidate for pick in drawn.picks}
    return sum(each not in taken for each in clear_of(held.bad, slug))


def _short_strata(held: FamilyBank, rules: Rules) -> list[tuple[Stratum, int]]:
    strata = strata_for_bad([each.ratio for each in held.bad], rules.bad_strata)
    if strata != rules.bad_strata:
        return []
    return _lacking(held.bad, strata, LEAST_FRESH)


def _lacking(
    candidates: Iterable[Candidate], strata: tuple[Stratum, ...], n: int
) -> list[tuple[Stratum, int]]:
    """Return the strata that cannot give their share of one draw, and how many they lack."""
    held = list(candidates)
    wanted = quotas(n, strata)
    found = [
        (stratum, wanted[stratum.code] - sum(stratum.holds(each.ratio) for each in held))
        for stratum in strata
    ]
    return [(stratum, number) for stratum, number in found if number > 0]


def _good_of_groups(
    bank: PlantBank, demands: Mapping[str, Demand], rules: Rules
) -> list[WantedRow]:
    """Return the good specimens that a group's sitting lacks, near the limit or clean."""
    by_group: dict[str, list[FamilyBank]] = defaultdict(list)
    for held in bank.families:
        if held.family.slug in demands and held.plan.step is not BankStep.NONE:
            by_group[held.family.group.code].append(held)
    groups = {group.code: group for group in FamilyGroup.objects.all()}
    clean = [each for each in bank.candidates if each.clean]
    rows = []
    for code, families in by_group.items():
        slugs = {held.family.slug for held in families}
        near = [
            each
            for each in bank.candidates
            if not each.bad and each.family in slugs and not each.clean
        ]
        demand = _together([demands[slug] for slug in slugs])
        for stratum, number in _lacking(near + clean, rules.good_strata, rules.good):
            rows.append(
                WantedRow(
                    family=None,
                    group=dict(groups[code].name),
                    slug=code,
                    number=number,
                    bad=False,
                    why=Why.STRATUM,
                    stratum=stratum,
                    demand=demand,
                )
            )
    return rows


def _together(demands: list[Demand]) -> Demand:
    jobs = dict.fromkeys(job for each in demands for job in each.jobs)
    return Demand(
        tuple(jobs),
        frozenset().union(*(each.presses for each in demands)),
        frozenset().union(*(each.people for each in demands)),
        any(each.critical for each in demands),
    )


def _photographed(
    bank: PlantBank, demands: Mapping[str, Demand], rules: Mapping[str, Rules]
) -> list[WantedRow]:
    """Return photographed parts wanted where the strictest plan allows fewer drawn ones."""
    if not rules:
        return []
    code, strictest = min(rules.items(), key=lambda row: row[1].most_synthetic)
    rows = []
    for held in bank.families:
        demand = demands.get(held.family.slug)
        if demand is None or held.plan.step is BankStep.NONE:
            continue
        drawn_least = max(0, LEAST_FRESH - (len(held.bad) - held.synthetic))
        lacking = drawn_least - strictest.most_synthetic * LEAST_FRESH // 100
        if lacking > 0:
            rows.append(
                WantedRow(
                    family=dict(held.family.name),
                    group=None,
                    slug=held.family.slug,
                    number=lacking,
                    bad=True,
                    why=Why.PHOTOGRAPHED,
                    demand=demand,
                    plan=code,
                )
            )
    return rows
