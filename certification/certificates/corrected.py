"""Certificates and corrected exams: what no longer follows, what would now, and what awaits scoring."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse
from django.utils.translation import gettext as _

from certification.certificates.facts import certificates_of, rules_in_force
from certification.certificates.models import Certificate, CertificateEvent, SittingDecision
from certification.certificates.page_days import day_year
from certification.certificates.selectors import language_now
from certification.certificates.standing import FamilyStanding, Standing, family_standing
from certification.certificates.standing_facts import Level
from certification.certificates.wording import standing_text
from training.floor.models import Level as LevelChoice
from training.people.texts import in_language
from training.quizzes.kinds import EXAMS
from training.quizzes.models import ScoreCorrection, Sitting
from training.quizzes.selectors.turned import newest_corrections
from training.specimens.models import Specimen
from training.specimens.resting import Rest, Rests

LEVELS = {"ordinary": Level.ORDINARY, "critical": Level.CRITICAL}


def follows(certificate: Certificate, correction: ScoreCorrection) -> bool:
    """Return whether a certificate still follows from its exam as it was scored again."""
    if certificate.family.slug not in correction.families_passed:
        return False
    return certificate.level != LevelChoice.CRITICAL or correction.critical_block_passed is True


@dataclass(frozen=True)
class NoLonger:
    """A certificate that no longer follows from its corrected exam, and what it is worth alone."""

    certificate: Certificate
    correction: ScoreCorrection
    standing: FamilyStanding
    words: str

    @property
    def suspended(self) -> bool:
        return self.standing.standing is Standing.SUSPENDED


@dataclass(frozen=True)
class WouldNow:
    """A corrected exam that passes families nobody holds a certificate of from it."""

    sitting: Sitting
    correction: ScoreCorrection
    families: tuple[str, ...]


def no_longer_following(day: dt.date) -> list[NoLonger]:
    """Return valid certificates that no longer follow, those still worth something first.

    Costs six queries.
    """
    corrections = newest_corrections(_corrected_sittings())
    rows = list(
        Certificate.objects.filter(
            sitting__in=list(corrections), corrections=None, expires_day__gte=day
        )
        .exclude(events__kind=CertificateEvent.Kind.WITHDRAWN)
        .select_related("person", "family", "sitting")
        .order_by("person__name", "family__position")
    )
    lost = [row for row in rows if not follows(row, corrections[row.sitting_id])]  # type: ignore[index]
    held, rules = certificates_of({row.person_id for row in lost}), rules_in_force(day)
    found = []
    for row in lost:
        own = [each for each in held[row.person_id] if each.key == str(row.pk)]
        standing = family_standing(own, row.family.slug, LEVELS[row.level], day, rules)
        words = standing_text(standing, language_now(), today=day)
        found.append(NoLonger(row, corrections[row.sitting_id], standing, words))  # type: ignore[index]
    return sorted(found, key=lambda each: each.suspended)


def would_now_follow() -> list[WouldNow]:
    """Return corrected exams that would give more than was granted. Costs five queries."""
    corrections = newest_corrections(_corrected_sittings())
    granted: dict[UUID | None, set[str]] = defaultdict(set)
    for key, slug in Certificate.objects.filter(
        sitting__in=list(corrections), corrections=None
    ).values_list("sitting", "family__slug"):
        granted[key].add(slug)
    decided = dict(
        SittingDecision.objects.filter(sitting__in=list(corrections))
        .order_by("recorded_at")
        .values_list("sitting", "recorded_at")
    )
    sittings = Sitting.objects.filter(pk__in=list(corrections)).select_related("person", "end")
    found = []
    for sitting in sittings:
        fact = corrections[sitting.pk]
        more = [slug for slug in fact.families_passed if slug not in granted[sitting.pk]]
        if more and decided.get(sitting.pk, fact.recorded_at) <= fact.recorded_at:
            found.append(WouldNow(sitting, fact, tuple(more)))
    return sorted(found, key=lambda each: each.correction.recorded_at)


def _corrected_sittings() -> list[UUID]:
    return list(ScoreCorrection.objects.values_list("sitting", flat=True).distinct())


def certificates_resting(specimen: UUID) -> Rests:
    """Return the certificates whose exam presented a specimen, those still valid first."""
    rows = (
        Certificate.objects.filter(
            sitting__kind__in=EXAMS,
            sitting__presented__specimen=Specimen(pk=specimen),
            corrections=None,
        )
        .select_related("person", "family")
        .distinct()
        .order_by("-expires_day", "person__name")
    )
    return Rests(_("Certificates"), tuple(_rest(row) for row in rows))


def _rest(row: Certificate) -> Rest:
    return Rest(
        what=in_language(row.family.short, language_now()),
        whose=row.person.name,
        status="done",
        word=_("until %(day)s") % {"day": day_year(row.expires_day)},
        url=reverse("certificates:certificate", args=[row.pk]),
    )
