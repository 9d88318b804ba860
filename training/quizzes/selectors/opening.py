"""What an invigilator needs to open an exam: the person, the families, and what the bank carries."""

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Q

from training.floor.models import Family, FamilyGroup, Turn, WorkInstruction
from training.floor.selectors import families_by_group
from training.people.models import Badge, Employment, Person
from training.quizzes.models import ExamPlan
from training.quizzes.offers import Offer, Offers, best_offers, offer_under
from training.quizzes.plan_rules import read_rules
from training.quizzes.selectors.bank import OWN_JOBS_WITHIN, Bank, bank_for
from training.quizzes.selectors.results import last_exams
from training.quizzes.working_out import Holding, holdings
from training.specimens.models import Pool

MOST_PEOPLE = 24


@dataclass(frozen=True, slots=True)
class FoundPerson:
    """Somebody who could sit an exam."""

    person: Person
    badge: str


@dataclass(frozen=True, slots=True)
class FamilyOption:
    """A family as it can be examined today: what the bank holds for this person, and the last exam.

    `need` is the level at which the person's own jobs need the family, "" where none does.
    """

    family: Family
    holding: Holding
    need: str
    last_at: dt.datetime | None
    last_result: str
    without_outline: int
    undecided: int


@dataclass(frozen=True, slots=True)
class GroupOption:
    """A group of look-alike families and what can be examined of it."""

    group: FamilyGroup
    families: tuple[FamilyOption, ...]


def find_people(query: str, day: dt.date) -> list[FoundPerson]:
    """Return employed people by name, personnel number or badge. Costs two queries."""
    employed = Employment.objects.on(day).values("person")
    badges = Badge.objects.on(day)
    people = Person.objects.filter(pk__in=employed, is_active=True).select_related("crew")
    if query:
        people = people.filter(
            Q(name__icontains=query)
            | Q(personnel_no=query)
            | Q(pk__in=badges.filter(number=query).values("person"))
        )
    found = list(people.order_by("name")[:MOST_PEOPLE])
    numbers = dict(badges.filter(person__in=found).values_list("person", "number"))
    return [FoundPerson(person, numbers.get(person.pk, "")) for person in found]


def exam_options(
    person: Person, day: dt.date, *, pictured_only: bool = True
) -> tuple[Bank, list[GroupOption]]:
    """Return the bank for a person and every family as it can be examined. Costs twelve queries.

    The bank is of pictures, or without `pictured_only` of numbered real parts.
    """
    bank = bank_for(person, pool=Pool.EXAM, day=day, pictured_only=pictured_only)
    groups = families_by_group()
    slugs = [family.slug for _group, families in groups for family in families]
    held = holdings(bank.candidates, slugs)
    needs = needs_of(person, day)
    last = last_exams(person, slugs)
    return bank, [
        GroupOption(
            group,
            tuple(
                FamilyOption(
                    family=family,
                    holding=held[family.slug],
                    need=needs.get(family.slug, ""),
                    last_at=last.get(family.slug, (None, ""))[0],
                    last_result=last.get(family.slug, (None, ""))[1],
                    without_outline=bank.without_outline.get(family.slug, 0),
                    undecided=bank.undecided.get(family.slug, 0),
                )
                for family in families
            ),
        )
        for group, families in groups
    ]


def needs_of(person: Person, day: dt.date) -> dict[str, str]:
    """Return the families that the person's own jobs need, each at its highest level. Two queries."""
    worked = Turn.objects.filter(person=person, day__gt=day - OWN_JOBS_WITHIN, day__lte=day)
    needs: dict[str, str] = {}
    for sheet in WorkInstruction.objects.in_force(day).filter(job__in=worked.values("job")):
        for slug, level in sheet.needs.items():
            if needs.get(slug) != "critical":
                needs[slug] = level
    return needs


def exam_offers(
    bank: Bank,
    families: Sequence[Family],
    critical: Collection[str],
    *,
    group: ExamPlan | None,
    short: ExamPlan | None,
) -> Offers:
    """Return the sittings that the bank carries for these families, under the plans in force."""
    return best_offers(
        bank.candidates,
        [family.slug for family in families],
        critical,
        group=read_rules(group.form, group.parameters) if group is not None else None,
        short=read_rules(short.form, short.parameters) if short is not None else None,
    )


def other_offers(
    bank: Bank,
    families: Sequence[Family],
    critical: Collection[str],
    plans: Sequence[ExamPlan],
    *,
    pictured_only: bool,
) -> list[tuple[ExamPlan, Offer]]:
    """Return what else could be opened: the fixed and own plans in force that the bank carries."""
    found = []
    for plan in plans:
        rules = read_rules(plan.form, plan.parameters)
        if plan.form not in (ExamPlan.Form.FIXED, ExamPlan.Form.OWN):
            continue
        if rules.pictured != pictured_only:
            continue
        offer = offer_under(rules, bank.candidates, [each.slug for each in families], critical)
        if offer is not None:
            found.append((plan, offer))
    return found
