"""What the page of one certificate shows, in words and on a ruler."""

import datetime as dt
from dataclasses import dataclass
from typing import Any

import segno
from django.conf import settings
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from certification.certificates.deciding_page import (
    exam_name,
    exam_names,
    family_ruler,
    group_ruler,
)
from certification.certificates.document import Document
from certification.certificates.evidence import Showing, Tally
from certification.certificates.evidence_words import (
    critical_words,
    family_words,
    panel_words,
    percent,
    plan_words,
    sequel_words,
    share_words,
    shown_words,
)
from certification.certificates.models import Certificate, CertificateEvent
from certification.certificates.page_days import clock, day_year, moment_text
from certification.certificates.selectors import language_now, names
from certification.certificates.standing import Standing
from certification.certificates.wording import reason_text, remedy_text, standing_text
from training.people.texts import in_language
from training.quizzes.conditions_words import evidence_words as conditions_words

Line = tuple[str, str]
Basis = Certificate.Basis


@dataclass(frozen=True)
class EventRow:
    """Something that happened to the certificate: what, when, by whom, why."""

    word: str
    day: dt.date
    by: str
    reason: str


def certificate_context(document: Document, moment: dt.datetime, address: str) -> dict[str, Any]:
    """Return the context of a certificate's page; `address` is where it can be checked."""
    certificate, language = document.certificate, language_now()
    family = in_language(certificate.family.short, language)
    lines = _sitting_lines(document) if document.showing else _paper_lines(certificate)
    remedy = ""
    if document.reason is not None:
        remedy = remedy_text(document.reason, language, names=names())
    return {
        "document": document,
        "certificate": certificate,
        "family": family,
        "right": _right(document),
        "ruler": _ruler(document),
        "lines": [line for line in [*lines, *_lasting_lines(document)] if line[1]],
        "standing_text": standing_text(document.standing, language, today=document.day),
        "why": _why(document),
        "remedy": remedy,
        "renewal": _renewal(document),
        "events": [_event_row(event) for event in document.events],
        "signatures": _signatures(document),
        "who_crew": in_language(certificate.person.crew.name, language)
        if certificate.person.crew
        else "",
        "plant_name": settings.PLANT_NAME,
        "code": scan_code(address),
        "address": address,
        "moment": moment,
        "titleblock": [
            (_("Page"), _("Certificate · %(family)s") % {"family": family}),
            (_("Printed"), day_year(document.day)),
            (_("Rules"), _revision(document.rules_revision)),
            (_("Plan"), _revision(document.showing and document.showing.sitting.plan.revision)),
            (_("Sheet"), _("1 of 1")),
        ],
    }


def _revision(revision: object) -> str:
    return _("revision %(n)s") % {"n": revision} if revision else "–"


def _right(document: Document) -> str:
    """Say what the certificate gives its owner, or gave."""
    critical = document.certificate.level == "critical"
    if document.standing.standing in (Standing.IN_DATE, Standing.DUE_SOON):
        return (
            _("may judge this family of defects, also where a miss can hurt somebody")
            if critical
            else _("may judge this family of defects")
        )
    if document.standing.standing is Standing.SUSPENDED:
        return _("may not judge this family of defects while this is suspended")
    return _("was certified to judge this family of defects; not today")


def _ruler(document: Document) -> str:
    showing = document.showing
    if showing is None:
        return ""
    return group_ruler(showing) or family_ruler(showing, document.certificate.family.slug)


def _sitting_lines(document: Document) -> list[Line]:
    """Say what the sitting showed, and what its plan tells apart."""
    showing, shown, sequel = document.showing, document.shown, document.sequel
    if showing is None or shown is None or sequel is None:
        return []
    slug = document.certificate.family.slug
    own = _counted(showing.family(slug))
    if sequel.sittings > 1 and showing.fixed:
        own = _("%(own)s; last %(n)d sittings %(together)s") % {
            "own": own,
            "n": sequel.sittings,
            "together": _counted(sequel.tally, missed=False),
        }
    group = _("%(misses)s; false rejects %(false)s") % {
        "misses": _counted(showing.misses),
        "false": _counted(showing.false_rejects, missed=False),
    }
    shows = [
        plan_words(showing),
        family_words(showing, slug),
        sequel_words(sequel) if showing.fixed else "",
        critical_words(showing) if document.certificate.level == "critical" else "",
        share_words(showing),
    ]
    block = showing.critical if document.certificate.level == "critical" else None
    return [
        (_("Sitting"), _sitting_words(showing)),
        (_("This family"), own),
        (_("Whole exam"), group),
        (_("Critical block"), _counted(block) if block else ""),
        (_("What it shows"), " ".join(line for line in shows if line)),
        (_("Parts"), shown_words(shown)),
        (_("Conditions"), conditions_words(showing.sitting)),
        (_("Reference decisions"), panel_words(shown)),
    ]


def _sitting_words(showing: Showing) -> str:
    sitting, end = showing.sitting, showing.end
    return _(
        "%(number)s: %(exam)s, %(plan)s revision %(revision)s, %(day)s to %(end)s, %(parts)d parts"
    ) % {
        "number": sitting.number,
        "exam": exam_name(sitting, exam_names()),
        "plan": in_language(sitting.plan.name, language_now()),
        "revision": sitting.plan.revision,
        "day": moment_text(sitting.opened_at),
        "end": clock(end.ended_at),
        "parts": showing.counts.judged,
    }


def _counted(tally: Tally, *, missed: bool = True) -> str:
    """Write "missed 1 of 40, at most 13 %": a count with its sample size and its interval."""
    values = {"errors": tally.errors, "shown": tally.shown}
    said = _("missed %(errors)d of %(shown)d") if missed else _("%(errors)d of %(shown)d")
    if tally.high is None:
        return said % values
    return _("%(count)s, at most %(high)s") % {"count": said % values, "high": percent(tally.high)}


def _paper_lines(certificate: Certificate) -> list[Line]:
    """Say what a certificate carried over from paper rests on: never called passed by plan."""
    return [
        (_("Rests on"), _("Carried over from paper; not examined here.")),
        (_("Paper"), certificate.paper_ref),
        (_("Vouched for by"), certificate.voucher.name if certificate.voucher else ""),
        (_("Order"), certificate.order_no),
    ]


def _lasting_lines(document: Document) -> list[Line]:
    check, near = document.observed_check, document.near_vision
    observed = sight = ""
    if check is not None and check.job is not None:
        signers = [each.name for each in (check.observer, check.second_signer) if each]
        place = check.job.press.code if check.job.press else "–"
        observed = _("job %(job)s, %(press)s, %(day)s, %(signers)s") % {
            "job": check.job.number,
            "press": place,
            "day": day_year(check.observed_day),
            "signers": pgettext("observer … second signer", " with ").join(signers),
        }
    if near is not None:
        result = dict(type(near).Result.choices).get(near.result.text, _("checked"))
        due = day_year(near.due_day) if near.due_day else "–"
        sight = _("%(result)s, due %(day)s") % {"result": result, "day": due}
    return [(_("Observed check"), observed), (_("Near vision"), sight)]


def _why(document: Document) -> str:
    if document.reason is None:
        return ""
    return reason_text(document.reason, language_now(), today=document.day, names=names())


def _renewal(document: Document) -> str:
    if document.newer is None:
        return ""
    return _("Renewed: a newer certificate of this family is good until %(day)s.") % {
        "day": day_year(document.newer.expires_day)
    }


def _event_row(event: CertificateEvent) -> EventRow:
    return EventRow(
        word=str(event.get_kind_display()),
        day=event.day,
        by=event.recorded_by.name if event.recorded_by else "–",
        reason=event.reason.text or _("reason erased"),
    )


def _signatures(document: Document) -> list[Line]:
    """Return who stands for the certificate: name, and in what part and when."""
    certificate, decision = document.certificate, document.decision
    found: list[Line] = []
    if certificate.voucher is not None:
        carried = _("vouches for the paper, carried over %(moment)s")
        found.append(
            (certificate.voucher.name, carried % {"moment": moment_text(certificate.recorded_at)})
        )
    if certificate.decided_by is not None:
        if certificate.by_rule:
            part = _("published the rule that grants, %(moment)s")
        elif decision is not None:
            part = _("quality, decided %(moment)s")
        else:
            part = _("decided %(moment)s")
        found.append(
            (certificate.decided_by.name, part % {"moment": moment_text(certificate.recorded_at)})
        )
    if certificate.sitting is not None and certificate.sitting.invigilator is not None:
        opened = _("invigilated, %(moment)s")
        found.append(
            (
                certificate.sitting.invigilator.name,
                opened % {"moment": moment_text(certificate.sitting.opened_at)},
            )
        )
    return found


def scan_code(address: str) -> SafeString:
    """Draw the address as a code to scan, without colours of its own."""
    drawn = segno.make(address, error="m", micro=False).svg_inline(
        border=2, omitsize=True, svgclass=None, lineclass="code"
    )
    # The library's own drawing of an address that this site has made.
    return mark_safe(drawn)  # noqa: S308
