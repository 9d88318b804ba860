"""Granting certificates from passed sittings, by a named person or by the published rule."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NoReturn

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from certification.certificates.carrying_over import (
    PaperCertificate,
    carry_over,
    carry_over_many,
    paper_errors,
)
from certification.certificates.deciders import AT_EVERY_LEVEL, tie_text, ties_to
from certification.certificates.facts import published_rules, rules_of
from certification.certificates.granting import (
    EXAMS,
    decision_of,
    granted_of,
    is_short_bank,
    last_days,
    levels_of,
    reopened,
    undecided_sittings,
)
from certification.certificates.models import Certificate, SittingDecision, ValidityRules
from certification.certificates.selectors import today_at_the_plant
from training.floor.models import Family, Level
from training.people.models import ChainHead, Employment, Person
from training.people.record.chain import append, erasable
from training.people.record.models import PLANT
from training.quizzes.models import Sitting, SittingEnd
from training.quizzes.selectors.turned import counted_now
from training.specimens.models import Frame

__all__ = [
    "Grant",
    "PaperCertificate",
    "carry_over",
    "carry_over_many",
    "grant_by_rule",
    "grant_from_sitting",
    "paper_errors",
    "refuse_sitting",
    "rule_grants",
]

Outcome = SittingDecision.Outcome


@dataclass(frozen=True)
class Grant:
    """What rests on a sitting after a decision; no decision while critical families still wait."""

    certificates: tuple[Certificate, ...]
    decision: SittingDecision | None


@transaction.atomic
def grant_from_sitting(
    *,
    sitting: Sitting,
    decided_by: Person | None,
    moment: dt.datetime,
    ordinary_only: bool = False,
    reason: str = "",
) -> Grant:
    """Certify the families that a sitting passed, each once.

    Without ``decided_by`` the published rule grants at ordinary level and leaves the families that
    may be certified at critical level to a named person. With the critical block passed, that
    person grants those at critical level, or with a reason at ordinary level only. A certificate
    is good from the day of the decision; its days count from the day the sitting was passed. Done
    again it changes nothing.
    """
    _lock_the_plant()
    earlier, held = decision_of(sitting), granted_of(sitting)
    if earlier is not None and not reopened(sitting, earlier):
        if earlier.outcome == Outcome.NOT_GRANTED:
            _refuse(_("It was decided not to grant this sitting."), "decided")
        return Grant(tuple(held.values()), earlier)
    end = _passed_end(sitting, moment)
    rules = published_rules(today_at_the_plant(moment))
    levels = levels_of(sitting, counted_now(sitting), ordinary_only=ordinary_only)
    if decided_by is None:
        decider = _publisher(rules)
        critical = [slug for slug, level in levels.items() if level == Level.CRITICAL]
        levels = {slug: level for slug, level in levels.items() if slug not in critical}
    else:
        decider, critical = decided_by, []
        _check_decider(decider, sitting, at_critical_level=Level.CRITICAL in levels.values())
        if ordinary_only and not reason.strip():
            _refuse(_("Say why the critical level is not granted."), "reason")
    wanted = {slug: level for slug, level in levels.items() if slug not in held}
    new = _certificates(sitting, end, wanted, rules, moment)
    for certificate in new:
        certificate.decided_by, certificate.by_rule = decider, decided_by is None
        certificate.recorded_by = decided_by
    decision = None
    if not critical:
        outcome = Outcome.ORDINARY_ONLY if ordinary_only else Outcome.GRANTED
        decision = _decision(sitting, outcome, decider, reason, by_rule=decided_by is None)
        decision.corrects = earlier
    append(*new, *([decision] if decision else []), moment=moment)
    return Grant((*held.values(), *new), decision)


@transaction.atomic
def grant_by_rule(*, moment: dt.datetime) -> list[Certificate]:
    """Grant at ordinary level, by the published rule, everything that waits and needs nobody.

    What may be certified at critical level goes on waiting for a named person. Without a rule that
    grants by itself nothing happens.
    """
    granted: list[Certificate] = []
    if not rule_grants(moment):
        return granted
    for sitting in undecided_sittings():
        before = granted_of(sitting)
        try:
            grant = grant_from_sitting(sitting=sitting, decided_by=None, moment=moment)
        except ValidationError:
            # Too old, or passed on a day outside employment: a named person looks at it.
            continue
        granted.extend(each for each in grant.certificates if each.family.slug not in before)
    return granted


def rule_grants(moment: dt.datetime) -> bool:
    """Return whether a published rule grants at ordinary level by itself. One query."""
    rules = published_rules(today_at_the_plant(moment))
    published = rules is not None and rules.published_by is not None
    return published and rules_of(rules).ordinary_by_rule


@transaction.atomic
def refuse_sitting(
    *, sitting: Sitting, decided_by: Person, reason: str, moment: dt.datetime
) -> SittingDecision:
    """Decide, with a reason, that a passed sitting gives no certificate (beyond what the rule gave)."""
    _lock_the_plant()
    _passed_end(sitting, moment)
    earlier = decision_of(sitting)
    if earlier is not None and not reopened(sitting, earlier):
        _refuse(_("This sitting has been decided already."), "decided")
    _check_decider(decided_by, sitting, at_critical_level=False)
    if not reason.strip():
        _refuse(_("Say why nothing is granted: the person will read it."), "reason")
    decision = _decision(sitting, Outcome.NOT_GRANTED, decided_by, reason, by_rule=False)
    decision.corrects = earlier
    append(decision, moment=moment)
    return decision


def _lock_the_plant() -> None:
    # One after the other from here on, so that two deciders never grant the same sitting.
    ChainHead.objects.select_for_update().filter(name=PLANT).first()


def _passed_end(sitting: Sitting, moment: dt.datetime) -> SittingEnd:
    """Return how the sitting ended; refuse one that decides nothing."""
    if sitting.kind not in EXAMS:
        _refuse(_("Practice decides nothing: only a qualification is granted."), "practice")
    end = SittingEnd.objects.filter(sitting=sitting).first()
    if end is None:
        _refuse(_("Sitting %(number)s has not ended yet.") % {"number": sitting.number}, "running")
    said = counted_now(sitting)
    if said.result != SittingEnd.Result.PASSED or not said.families_passed:
        _refuse(_("Sitting %(number)s was not passed.") % {"number": sitting.number}, "not_passed")
    if moment < end.ended_at:
        _refuse(_("The decision cannot lie before the end of the sitting."), "too_early")
    return end


def _publisher(rules: ValidityRules | None) -> Person:
    """Return who published the rule that grants by itself."""
    if rules is None or rules.published_by is None or not rules_of(rules).ordinary_by_rule:
        _refuse(
            _("No published rule grants by itself: a named person of quality decides."), "no_rule"
        )
    return rules.published_by


def _check_decider(decider: Person, sitting: Sitting, *, at_critical_level: bool) -> None:
    ties = ties_to(decider, sitting)
    hurdles = ties if at_critical_level else [tie for tie in ties if tie in AT_EVERY_LEVEL]
    if hurdles:
        words = tie_text(hurdles[0], decider=decider.name, person=sitting.person.name)
        _refuse(words, hurdles[0] if hurdles[0] in AT_EVERY_LEVEL else "not_independent")


def _certificates(
    sitting: Sitting,
    end: SittingEnd,
    levels: Mapping[str, str],
    row: ValidityRules | None,
    moment: dt.datetime,
) -> list[Certificate]:
    """Return the certificates to be written, without who decided. Costs four queries."""
    day, passed = today_at_the_plant(moment), today_at_the_plant(end.ended_at)
    _check_employed(sitting.person, passed)
    families = {each.slug: each for each in Family.objects.filter(slug__in=levels)}
    ends, basis = last_days(sitting, end, levels, row), _basis(sitting)
    new = [
        Certificate(
            person=sitting.person,
            family=families[slug],
            level=level,
            granted_day=day,
            expires_day=ends[slug],
            basis=basis,
            rules=row,
            sitting=sitting,
            short_bank=is_short_bank(sitting),
        )
        for slug, level in levels.items()
    ]
    if any(certificate.expires_day < day for certificate in new):
        _refuse(_("This sitting is too old to be granted: sit again with other parts."), "too_old")
    return new


def _basis(sitting: Sitting) -> str:
    pictured = Frame.objects.filter(view__specimen__presented__sitting=sitting).exists()
    return Certificate.Basis.SITTING if pictured else Certificate.Basis.PHYSICAL


def _check_employed(person: Person, day: dt.date) -> None:
    stays = list(Employment.objects.filter(person=person))
    first = min((stay.from_day for stay in stays), default=None)
    if first is None or day < first:
        _refuse(
            _("This day lies before hiring; no certificate is older than that."), "before_hiring"
        )
    if not any(stay.from_day <= day <= (stay.to_day or day) for stay in stays):
        _refuse(_("%(name)s is not employed on this day.") % {"name": person.name}, "not_employed")


def _decision(
    sitting: Sitting, outcome: str, decider: Person, reason: str, *, by_rule: bool
) -> SittingDecision:
    return SittingDecision(
        sitting=sitting,
        outcome=outcome,
        decided_by=decider,
        by_rule=by_rule,
        reason=erasable(reason.strip()) if reason.strip() else None,
        recorded_by=None if by_rule else decider,
    )


def _refuse(words: str, code: str) -> NoReturn:
    raise ValidationError(words, code=code)
