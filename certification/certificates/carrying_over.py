"""Carrying certificates over from paper: reference, who vouches, and an end the rule allows."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from certification.certificates.facts import published_rules, rules_of
from certification.certificates.models import Certificate
from certification.certificates.selectors import today_at_the_plant
from certification.certificates.standing_facts import Rules
from certification.certificates.validity import latest_end
from training.floor.models import Family, Level
from training.people.models import Employment, Person
from training.people.record.chain import append

Errors = dict[str, ValidationError]


@dataclass(frozen=True, slots=True)
class PaperCertificate:
    """A certificate as it stands on paper."""

    person: Person
    family: Family
    level: str
    granted_day: dt.date
    expires_day: dt.date
    paper_ref: str
    voucher: Person | None
    order_no: str = ""


def paper_errors(
    paper: PaperCertificate, *, stays: Iterable[Employment], rules: Rules, today: dt.date
) -> Errors:
    """Return what keeps a paper certificate from being carried over, by field; empty if nothing.

    ``stays`` are the person's, ``rules`` those in force and ``today`` the plant day. Costs no query.
    """
    errors: Errors = {}
    granted, ends = paper.granted_day, paper.expires_day
    if paper.level not in Level.values:
        errors["level"] = _error("level", _("The level is ordinary or critical."))
    if granted > today:
        errors["granted_day"] = _error("future", _("The day it was granted lies in the future."))
    else:
        errors.update(_stay_errors(paper, list(stays)))
    if ends < granted:
        errors["expires_day"] = _error(
            "order", _("The last day lies before the day it was granted.")
        )
    elif ends > latest_end(rules, granted):
        errors["expires_day"] = _error(
            "too_long",
            _("The rule allows %(day)s at the latest: put that day, or an earlier one.")
            % {"day": latest_end(rules, granted).isoformat()},
        )
    if not paper.paper_ref.strip():
        errors["paper_ref"] = _error("required", _("Say where the paper is: binder and sheet."))
    if paper.voucher is None:
        errors["voucher"] = _error("required", _("Name who vouches for the paper."))
    elif paper.voucher.pk == paper.person.pk:
        errors["voucher"] = _error("self", _("Nobody vouches for their own certificate."))
    return errors


def _stay_errors(paper: PaperCertificate, stays: Sequence[Employment]) -> Errors:
    first = min((stay.from_day for stay in stays), default=None)
    day = paper.granted_day
    if first is None or day < first:
        hired = first.isoformat() if first else "–"
        words = _("This day lies before hiring (%(hired)s): check the day and the person.")
        return {"granted_day": _error("before_hiring", words % {"hired": hired})}
    if not any(stay.from_day <= day <= (stay.to_day or day) for stay in stays):
        words = _("%(name)s is not employed on this day.") % {"name": paper.person.name}
        return {"granted_day": _error("not_employed", words)}
    return {}


def _error(code: str, words: str) -> ValidationError:
    return ValidationError(words, code=code)


def carry_over(
    *,
    person: Person,
    family: Family,
    level: str,
    granted_day: dt.date,
    expires_day: dt.date,
    paper_ref: str,
    voucher: Person | None,
    moment: dt.datetime,
    recorded_by: Person | None = None,
    order_no: str = "",
) -> Certificate:
    """Carry one paper certificate over; the same one again changes nothing.

    Raises ``ValidationError`` by field: before hiring, later than the rule allows, without
    reference or without somebody who vouches.
    """
    paper = PaperCertificate(
        person, family, level, granted_day, expires_day, paper_ref, voucher, order_no
    )
    return carry_over_many(papers=[paper], moment=moment, recorded_by=recorded_by)[0]


@transaction.atomic
def carry_over_many(
    *, papers: Sequence[PaperCertificate], moment: dt.datetime, recorded_by: Person | None = None
) -> list[Certificate]:
    """Carry paper certificates over in the order given, all or none; a fixed number of queries.

    One that is carried over already, the same in person, family, level, days and reference, is not
    written again. The first that cannot be carried over raises its ``ValidationError`` by field.
    """
    today = today_at_the_plant(moment)
    row = published_rules(today)
    people = {paper.person.pk for paper in papers}
    stays = stays_of(people)
    known = {_key(each): each for each in carried_over_of(people)}
    new: list[Certificate] = []
    written = []
    for paper in papers:
        errors = paper_errors(paper, stays=stays[paper.person.pk], rules=rules_of(row), today=today)
        if errors:
            raise ValidationError(errors)
        certificate = Certificate(
            person=paper.person,
            family=paper.family,
            level=paper.level,
            granted_day=paper.granted_day,
            expires_day=paper.expires_day,
            basis=Certificate.Basis.CARRIED_OVER,
            rules=row,
            paper_ref=paper.paper_ref.strip(),
            voucher=paper.voucher,
            order_no=paper.order_no,
            recorded_by=recorded_by,
        )
        standing = known.setdefault(_key(certificate), certificate)
        written.append(standing)
        if standing is certificate:
            new.append(certificate)
    if new:
        append(*new, moment=moment)
    return written


def stays_of(people: Iterable[object]) -> Mapping[object, list[Employment]]:
    """Return the stays of people by their keys; nobody's is an empty list. One query."""
    found: dict[object, list[Employment]] = defaultdict(list)
    for stay in Employment.objects.filter(person_id__in=list(people)):
        found[stay.person_id].append(stay)
    return found


def carried_over_of(people: Iterable[object]) -> list[Certificate]:
    """Return the certificates of people that were carried over from paper. One query."""
    rows = Certificate.objects.filter(
        person_id__in=list(people), basis=Certificate.Basis.CARRIED_OVER, corrections=None
    )
    return list(rows)


def _key(row: Certificate) -> tuple[object, ...]:
    return (
        row.person_id,
        row.family_id,
        row.level,
        row.granted_day,
        row.expires_day,
        row.paper_ref,
    )
