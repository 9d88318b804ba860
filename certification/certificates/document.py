"""Everything a certificate says on its one page: right, dates, standing, evidence, signatures."""

import datetime as dt
import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from certification.certificates import standing_facts
from certification.certificates.evidence import (
    Sequel,
    Showing,
    Shown,
    sequel_of,
    showing_of,
    shown_in,
)
from certification.certificates.facts import person_facts, published_rules, rules_of
from certification.certificates.models import (
    Certificate,
    CertificateEvent,
    ObservedCheck,
    SittingDecision,
)
from certification.certificates.selectors import today_at_the_plant
from certification.certificates.standing import FamilyStanding, Reason, Standing, family_standing
from certification.certificates.standing_facts import Asked, Level
from certification.certificates.standing_family import family_reason
from training.floor.models import WorkInstruction
from training.people.models import VisionCheck
from training.people.selectors import current_badge
from training.quizzes.selectors.turned import counted_at

LEVELS = {"ordinary": Level.ORDINARY, "critical": Level.CRITICAL}


@dataclass(frozen=True)
class Document:
    """A certificate as its page shows it; evidence only where it rests on a sitting."""

    certificate: Certificate
    number: str
    badge: str
    day: dt.date
    rules_revision: str
    standing: FamilyStanding
    reason: Reason | None
    newer: Certificate | None
    events: tuple[CertificateEvent, ...]
    decision: SittingDecision | None
    showing: Showing | None
    shown: Shown | None
    sequel: Sequel | None
    observed_check: ObservedCheck | None
    near_vision: VisionCheck | None

    @property
    def passed_day(self) -> dt.date:
        """The day the sitting was passed, or the day on the paper."""
        if self.showing is None:
            return self.certificate.granted_day
        return today_at_the_plant(self.showing.end.ended_at)


def find_certificate(pk: uuid.UUID) -> Certificate | None:
    """Return a certificate with all it points to, or None. Two queries."""
    events = CertificateEvent.objects.select_related("reason", "recorded_by").order_by("position")
    return (
        Certificate.objects.select_related(
            "person__crew",
            "family",
            "rules__published_by",
            "sitting__plan",
            "sitting__invigilator",
            "sitting__end",
            "sitting__person",
            "decided_by",
            "voucher",
        )
        .prefetch_related(Prefetch("events", events))
        .filter(pk=pk)
        .first()
    )


def document_of(certificate: Certificate, moment: dt.datetime) -> Document:
    """Return what the page of a certificate shows at a moment. A fixed number of queries."""
    day, sitting = today_at_the_plant(moment), certificate.sitting
    row = published_rules(day)
    facts = person_facts([certificate.person])[certificate.person_id]
    own = [each for each in facts.certificates if each.key == str(certificate.pk)]
    level, slug = LEVELS[certificate.level], certificate.family.slug
    standing = family_standing(own, slug, level, day, rules_of(row))
    showing = sequel = None
    if sitting is not None:
        at = certificate.recorded_at
        showing = showing_of(sitting, counted_at(sitting, at))
        sequel = sequel_of(certificate.person, slug, showing.end, at)
    return Document(
        certificate=certificate,
        number=number_of(certificate),
        badge=current_badge(certificate.person, day),
        day=day,
        rules_revision=str(certificate.rules.revision) if certificate.rules else "",
        standing=standing,
        reason=_reason(own, slug, level, Asked(day), standing),
        newer=_newer(certificate),
        events=tuple(certificate.events.all()),
        decision=_decision(certificate),
        showing=showing,
        shown=shown_in(sitting) if sitting is not None else None,
        sequel=sequel,
        observed_check=_observed_check(certificate, day),
        near_vision=_near_vision(certificate),
    )


def number_of(certificate: Certificate) -> str:
    """Return the number that people read: year, person, family; the record's place is apart."""
    year, person = certificate.granted_day.year, certificate.person.personnel_no
    return f"{year}-{person}-{certificate.family.slug.upper()}"


def _reason(
    own: Sequence[standing_facts.Certificate],
    slug: str,
    level: Level,
    asked: Asked,
    standing: FamilyStanding,
) -> Reason | None:
    if standing.standing in (Standing.IN_DATE, Standing.DUE_SOON):
        return None
    return family_reason(own, slug, level, asked)


def _newer(certificate: Certificate) -> Certificate | None:
    """Return the certificate that takes this one's place, if the person has one. One query."""
    levels = [certificate.level, Level.CRITICAL.name.lower()]
    rows = Certificate.objects.filter(
        person=certificate.person,
        family=certificate.family,
        level__in=levels,
        corrections=None,
        expires_day__gt=certificate.expires_day,
    ).exclude(events__kind=CertificateEvent.Kind.WITHDRAWN)
    return rows.order_by("-expires_day").first()


def _decision(certificate: Certificate) -> SittingDecision | None:
    if certificate.sitting is None:
        return None
    decisions = SittingDecision.objects.filter(sitting=certificate.sitting, corrections=None)
    return decisions.select_related("decided_by", "reason").first()


def _observed_check(certificate: Certificate, day: dt.date) -> ObservedCheck | None:
    """Return the person's newest observed check on a job that needs the family. Two queries."""
    sheets = WorkInstruction.objects.filter(day__lte=day).order_by("day")
    newest = dict(sheets.values_list("job_id", "needs"))
    jobs = [job for job, needs in newest.items() if certificate.family.slug in needs]
    checks = ObservedCheck.objects.filter(
        person=certificate.person, job_id__in=jobs, observed_day__lte=day, corrections=None
    )
    return (
        checks.select_related("job__press", "observer", "second_signer")
        .order_by("-observed_day", "-position")
        .first()
    )


def _near_vision(certificate: Certificate) -> VisionCheck | None:
    checks = VisionCheck.objects.filter(
        person=certificate.person, kind=VisionCheck.Kind.NEAR, corrections=None
    )
    return checks.select_related("result").order_by("-day", "-position").first()
