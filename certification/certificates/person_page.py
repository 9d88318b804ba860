"""All certificates and observed checks of one person, the most urgent first, for those who look after people."""

import datetime as dt
from dataclasses import dataclass
from typing import Any

from certification.certificates.facts import certificates_of, rules_in_force
from certification.certificates.models import Certificate, ObservedCheck
from certification.certificates.selectors import language_now, names, today_at_the_plant
from certification.certificates.standing import FamilyStanding, Standing, family_standing
from certification.certificates.standing_facts import Level
from certification.certificates.waiting import waiting_of
from certification.certificates.wording import standing_text
from training.people.models import Person
from training.people.texts import in_language

LEVELS = {"ordinary": Level.ORDINARY, "critical": Level.CRITICAL}
RANK = {
    Standing.SUSPENDED: 0,
    Standing.LAPSED: 1,
    Standing.UNDER_SUPERVISION: 2,
    Standing.DUE_SOON: 3,
    Standing.IN_DATE: 4,
    Standing.NOT_CERTIFIED: 5,
}


@dataclass(frozen=True)
class FamilyRow:
    """One family: what it is worth today, and every certificate ever granted, newest first."""

    name: str
    level: str
    standing: FamilyStanding
    standing_text: str
    certificates: tuple[Certificate, ...]


@dataclass(frozen=True)
class CheckRow:
    """One observed check: the jobs it holds for, who observed and who signed second."""

    check: ObservedCheck
    jobs: str


def person_context(person: Person, moment: dt.datetime) -> dict[str, Any]:
    """Return the context of a person's page of certificates. A fixed number of queries."""
    day, language, known = today_at_the_plant(moment), language_now(), names()
    rules, held = rules_in_force(day), certificates_of([person.pk])[person.pk]
    by_family: dict[str, list[Certificate]] = {}
    granted = Certificate.objects.filter(person=person, corrections=None)
    for each in granted.select_related("family", "sitting").order_by("-granted_day", "-position"):
        by_family.setdefault(each.family.slug, []).append(each)

    def row(slug: str, certificates: list[Certificate]) -> FamilyRow:
        level = LEVELS[certificates[0].level]
        standing = family_standing(held, slug, level, day, rules)
        return FamilyRow(
            name=in_language(known.families.get(slug), language) or slug,
            level=str(certificates[0].get_level_display()),
            standing=standing,
            standing_text=standing_text(standing, language, today=day),
            certificates=tuple(certificates),
        )

    rows = [row(slug, certificates) for slug, certificates in by_family.items()]
    checks = ObservedCheck.objects.filter(person=person, corrections=None)
    groups = known.job_groups
    return {
        "person": person,
        "rows": sorted(rows, key=_urgency),
        "checks": [
            CheckRow(check, in_language(groups.get(check.job_group.code), language))
            for check in checks.select_related("job_group", "observer", "second_signer").order_by(
                "-observed_day", "-position"
            )
        ],
        "undecided": waiting_of(person),
        "rules_revision": rules.revision,
    }


def _urgency(row: FamilyRow) -> tuple[int, int, str]:
    soon = row.standing.standing is Standing.DUE_SOON
    left = (row.standing.days_left or 0) if soon else 0
    return RANK[row.standing.standing], left, row.name.casefold()
