"""The observed check at the press: who may observe, who signs, and what must have been shown."""

import datetime as dt
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from certification.certificates.models import Appointment, Certificate, ObservedCheck
from certification.certificates.selectors import (
    in_words,
    language_now,
    may_run,
    names,
    today_at_the_plant,
)
from certification.certificates.standing import Asked, Verdict
from training.floor.models import Job
from training.people.models import Device, Person, Role
from training.people.record.chain import append
from training.people.selectors import is_employed
from training.people.signing import sign
from training.statistics.bank_ladder import SHORT_PLANTED_PARTS

# Common practice, no source: 5 of 5 planted bad parts found, at most 1 of 15 good ones refused.
LEAST_PLANTED = 5
LEAST_GOOD = 15
GOOD_FOR_EACH_REFUSED = 15

OBSERVED_AS = "observed at the press"
SECOND_AS = "signed an observed check"
TRAINEE_AS = "was observed at the press"


@dataclass(frozen=True, slots=True)
class Shown:
    """What happened at the press: planted bad parts shown and found, good ones shown and refused."""

    planted: int
    found: int
    good: int
    refused: int


@dataclass(frozen=True, slots=True)
class SignedHow:
    """How each of the three confirmed their secret: ``pin`` or ``password``."""

    observer: str
    second_signer: str
    trainee: str


@transaction.atomic
def record_observed_check(
    *,
    person: Person,
    job: Job,
    level: str,
    observed_day: dt.date,
    observer: Person,
    second_signer: Person,
    shown: Shown,
    signed: SignedHow,
    moment: dt.datetime,
    device: Device | None = None,
) -> ObservedCheck:
    """Record a passed observed check; it holds for the job's whole group. Three people sign.

    The observer can teach the group and runs the job alone, or is named by a founding appointment,
    and did not observe the person's last check. The second signer is of quality or a supervisor.
    """
    if level not in ObservedCheck.Holds.values:
        raise ValidationError({"level": _("An observed check says runs alone, or can teach.")})
    if len({person.pk, observer.pk, second_signer.pk}) < 3:
        raise ValidationError(
            {"observer": _("Three people sign: observer, second signer and trainee.")}
        )
    if observed_day > today_at_the_plant(moment):
        raise ValidationError({"observed_day": _("The day lies in the future.")})
    if not is_employed(person, observed_day):
        raise ValidationError(
            {"observed_day": _("%(name)s is not employed on this day.") % {"name": person.name}}
        )
    _check_shown(shown, needed=_planted_needed(person, job, observed_day))
    _check_observer(observer, person, job, observed_day)
    if not second_signer.roles() & {Role.QUALITY, Role.SUPERVISOR}:
        raise ValidationError(
            {"second_signer": _("The second signer is of quality or a supervisor.")}
        )
    check = ObservedCheck(
        person=person,
        job_group=job.group,
        job=job,
        level=level,
        observed_day=observed_day,
        observer=observer,
        second_signer=second_signer,
        trainee_signed=True,
        planted_shown=shown.planted,
        planted_found=shown.found,
        good_shown=shown.good,
        good_refused=shown.refused,
        recorded_by=observer,
    )
    append(check, moment=moment)
    for signer, meaning, method in (
        (observer, OBSERVED_AS, signed.observer),
        (second_signer, SECOND_AS, signed.second_signer),
        (person, TRAINEE_AS, signed.trainee),
    ):
        sign(
            person=signer,
            meaning=meaning,
            subject=check,
            method=method,
            moment=moment,
            device=device,
        )
    return check


def _planted_needed(person: Person, job: Job, day: dt.date) -> int:
    """Return how many planted parts are asked: more where a certificate rests on a short bank."""
    sheet = job.work_instructions.filter(day__lte=day).order_by("-day").first()
    short = Certificate.objects.covering(day).filter(
        person=person,
        family__slug__in=sheet.needs if sheet else {},
        short_bank=True,
        corrections=None,
    )
    return SHORT_PLANTED_PARTS if short.exists() else LEAST_PLANTED


def _check_shown(shown: Shown, *, needed: int) -> None:
    if not 0 <= shown.found <= shown.planted or not 0 <= shown.refused <= shown.good:
        raise ValidationError({"shown": _("Nobody finds or refuses more parts than were shown.")})
    if shown.planted < needed:
        raise ValidationError(
            {"shown": _("At least %(n)d planted bad parts are shown.") % {"n": needed}}
        )
    if shown.good < LEAST_GOOD:
        raise ValidationError(
            {"shown": _("At least %(n)d good parts are shown.") % {"n": LEAST_GOOD}}
        )
    if shown.found < shown.planted:
        raise ValidationError(
            {
                "shown": _(
                    "%(found)d of %(planted)d planted parts found: not passed. Coach, repeat."
                )
                % {"found": shown.found, "planted": shown.planted}
            }
        )
    if shown.refused * GOOD_FOR_EACH_REFUSED > shown.good:
        raise ValidationError(
            {
                "shown": _("%(refused)d of %(good)d good parts refused: not passed. Coach, repeat.")
                % {"refused": shown.refused, "good": shown.good}
            }
        )


def _check_observer(observer: Person, person: Person, job: Job, day: dt.date) -> None:
    newest = (
        ObservedCheck.objects.filter(person=person, observed_day__lte=day, corrections=None)
        .order_by("-observed_day", "-position")
        .first()
    )
    if newest is not None and newest.observer_id == observer.pk:
        raise ValidationError(
            {
                "observer": _(
                    "%(observer)s observed the last check of %(name)s: take another observer."
                )
                % {"observer": observer.name, "name": person.name}
            }
        )
    if _is_appointed(observer, job, day):
        return
    teaches = ObservedCheck.objects.filter(
        person=observer,
        job_group=job.group,
        level=ObservedCheck.Holds.CAN_TEACH,
        observed_day__lte=day,
        corrections=None,
    )
    if not teaches.exists():
        raise ValidationError(
            {
                "observer": _("%(observer)s cannot teach job %(job)s.")
                % {"observer": observer.name, "job": job.number}
            }
        )
    answer = may_run(observer, job, Asked(day))
    if answer.verdict is not Verdict.ALONE:
        said = in_words(answer, day=day, known=names(), language=language_now())
        raise ValidationError(
            {
                "observer": _("%(observer)s does not run job %(job)s alone: %(why)s")
                % {
                    "observer": observer.name,
                    "job": job.number,
                    "why": " ".join(reason for reason, _remedy in said.reasons),
                }
            }
        )


def _is_appointed(observer: Person, job: Job, day: dt.date) -> bool:
    """Return whether quality named this observer for the founding time."""
    founding = Appointment.objects.filter(
        kind=Appointment.Kind.FOUNDING, from_day__lte=day, to_day__gte=day, corrections=None
    )
    return any(
        observer.personnel_no in each.personnel_numbers and each.job_id in (None, job.pk)
        for each in founding
    )
