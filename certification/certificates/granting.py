"""What a passed sitting would give: families, levels and last days, before anybody decides."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import QuerySet

from certification.certificates.facts import published_rules, rules_of
from certification.certificates.models import (
    Certificate,
    CertificateEvent,
    SittingDecision,
    ValidityRules,
)
from certification.certificates.selectors import today_at_the_plant
from certification.certificates.validity import end_day
from training.floor.models import Level
from training.people.models import Person
from training.quizzes.models import ExamPlan, Kind, ScoreCorrection, Sitting, SittingEnd
from training.quizzes.selectors.turned import counted_result, newest_correction

EXAMS = (Kind.QUALIFICATION, Kind.REQUALIFICATION)


def decision_of(sitting: Sitting) -> SittingDecision | None:
    """Return what was decided about a sitting, or None while it waits. One query."""
    return SittingDecision.objects.filter(sitting=sitting, corrections=None).first()


def undecided_sittings() -> QuerySet[Sitting]:
    """Return the passed exams nobody has decided about, with all a decision reads.

    An exam that was scored again is passed where its correction says so.
    """
    return (
        Sitting.objects.filter(kind__in=EXAMS, decisions=None)
        .alias(counted=counted_result())
        .filter(counted=SittingEnd.Result.PASSED)
        .select_related("person__crew", "plan", "end", "invigilator")
        .order_by("end__ended_at")
    )


def granted_of(sitting: Sitting) -> dict[str, Certificate]:
    """Return the certificates that rest on a sitting, by family. One query."""
    rows = Certificate.objects.filter(sitting=sitting, corrections=None)
    return {each.family.slug: each for each in rows.select_related("family")}


def reopened(sitting: Sitting, decision: SittingDecision) -> bool:
    """Return whether an exam decided about gives more since it was scored again. Two queries."""
    newest = newest_correction(sitting)
    if newest is None or newest.recorded_at <= decision.recorded_at:
        return False
    return bool(set(newest.families_passed) - set(granted_of(sitting)))


def reopened_sitting(pk: uuid.UUID) -> Sitting | None:
    """Return an exam that was decided about and gives more since it was scored again."""
    sitting = (
        Sitting.objects.filter(pk=pk, kind__in=EXAMS)
        .select_related("person__crew", "plan", "end", "invigilator")
        .first()
    )
    decision = decision_of(sitting) if sitting is not None else None
    if sitting is None or decision is None:
        return None
    return sitting if reopened(sitting, decision) else None


def levels_of(
    sitting: Sitting, said: SittingEnd | ScoreCorrection, *, ordinary_only: bool = False
) -> dict[str, str]:
    """Return the highest level that each passed family may be granted at.

    `said` is what the exam counts as: its newest correction, else its end.
    """
    block = said.critical_block_passed is True and not ordinary_only
    return {
        slug: Level.CRITICAL if block and slug in sitting.critical_families else Level.ORDINARY
        for slug in said.families_passed
    }


def last_days(
    sitting: Sitting, end: SittingEnd, levels: Mapping[str, str], rules: ValidityRules | None
) -> dict[str, dt.date]:
    """Return until when each family would be certified, by the rules given. One query."""
    passed = today_at_the_plant(end.ended_at)
    short = is_short_bank(sitting)
    ends = _old_ends(sitting.person, levels, passed, besides=sitting)
    return {slug: end_day(rules_of(rules), passed, ends[slug], short_bank=short) for slug in levels}


def is_short_bank(sitting: Sitting) -> bool:
    """Return whether the sitting was under the plan for families with few specimens."""
    return sitting.plan.form == ExamPlan.Form.SHORT_BANK


@dataclass(frozen=True)
class Prospect:
    """One family that would be certified: at which level, until when."""

    family: str
    level: str
    ends: dt.date


def prospects(sitting: Sitting, end: SittingEnd, moment: dt.datetime) -> list[Prospect]:
    """Return what a named person may grant now, in the order of the plan. Four queries."""
    held, said = granted_of(sitting), newest_correction(sitting) or end
    levels = {slug: level for slug, level in levels_of(sitting, said).items() if slug not in held}
    days = last_days(sitting, end, levels, published_rules(today_at_the_plant(moment)))
    return [Prospect(slug, level, days[slug]) for slug, level in levels.items()]


def _old_ends(
    person: Person, levels: Mapping[str, str], day: dt.date, *, besides: Sitting
) -> Mapping[str, list[dt.date]]:
    """Return the last days of what the person holds of each family at its new level or above."""
    ends: dict[str, list[dt.date]] = defaultdict(list)
    rows = (
        Certificate.objects.covering(day)
        .filter(person=person, family__slug__in=list(levels), corrections=None)
        .exclude(sitting=besides)
        .exclude(events__kind=CertificateEvent.Kind.WITHDRAWN)
    )
    for slug, level, last in rows.values_list("family__slug", "level", "expires_day"):
        if level in (Level.CRITICAL, levels[slug]):
            ends[slug].append(last)
    return ends
