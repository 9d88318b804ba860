"""One person's own page in words: the greeting, the jobs with their answer, the certificates."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from certification.certificates.selectors import Shift
from certification.certificates.standing import Reason, ReasonCode, Standing, Verdict
from certification.certificates.standing_reasons import FAMILY_CODES
from certification.certificates.wording import Language, ending_text, reason_text, remedy_text
from certification.site.my_work import MyWork, OwnCertificate, OwnJob
from certification.training_plans.steps import Kind
from certification.training_plans.words import StepWords, listed, way_words
from training.floor.models import Job
from training.people.texts import in_language

# What was allowed and ended comes first: it is what somebody can put right soonest.
FIRST = (
    ReasonCode.SUSPENDED,
    ReasonCode.LAPSED,
    ReasonCode.REQUALIFICATION,
    ReasonCode.NEAR_VISION_OVERDUE,
    ReasonCode.OBSERVED_CHECK_LAPSED,
    ReasonCode.REFRESHER_WANTED,
    ReasonCode.WI_UNREAD,
    ReasonCode.ALERT_UNREAD,
    ReasonCode.CAUTION_UNREAD,
)
SECTIONS = {
    ReasonCode.WI_UNREAD: "steps",
    ReasonCode.ALERT_UNREAD: "alerts",
    ReasonCode.CAUTION_UNREAD: "cautions",
}
BEFORE_THE_SHIFT = dt.timedelta(hours=1)


@dataclass(frozen=True)
class Action:
    """The one thing to do: a link, or a form that posts its fields."""

    label: str
    url: str
    aria: str = ""
    post: bool = False
    fields: tuple[tuple[str, str], ...] = ()
    urgent: bool = False


@dataclass(frozen=True)
class JobRow:
    """One job: the answer as a status, the first reason, and what to do."""

    number: str
    name: str
    status: str
    word: str
    why: str
    more: str
    remedy: str
    action: Action
    presses: bool


@dataclass(frozen=True)
class CertificateRow:
    """One family: its shape, its name, and until when."""

    name: str
    status: str
    until: str
    url: str
    stopped: bool
    ending: bool


def greeting(work: MyWork) -> str:
    """Say good day by the plant's own clock."""
    hour = timezone.localtime(work.moment).hour
    name = {"name": work.person.get_short_name()}
    if 5 <= hour < 12:
        return _("Good morning, %(name)s") % name
    if 12 <= hour < 19:
        return _("Good afternoon, %(name)s") % name
    return _("Good evening, %(name)s") % name


def shift_line(shift: Shift | None, language: Language) -> str:
    """Write "Lates, Wednesday 25 November, 14:00 to 22:00"; nothing without a crew."""
    if shift is None:
        return ""
    return _("%(crew)s, %(day)s, %(starts)s to %(ends)s") % {
        "crew": in_language(shift.crew.name, language),
        "day": format_date(shift.day, pgettext("pattern of a day of the week", "l j F")),
        "starts": f"{shift.crew.starts:%H:%M}",
        "ends": f"{shift.crew.ends:%H:%M}",
    }


def job_name(job: Job, language: Language) -> str:
    """Write "Range-hood side trim, left, gloss black"."""
    hand = str(job.get_hand_display()) if job.hand else ""
    parts = (in_language(job.part, language), hand, in_language(job.colour, language))
    return ", ".join(part for part in parts if part)


def job_rows(work: MyWork, language: Language) -> list[JobRow]:
    """Return the person's jobs in words, what is not allowed yet first."""
    return [_job_row(own, work, language) for own in work.jobs]


def _job_row(own: OwnJob, work: MyWork, language: Language) -> JobRow:
    first = first_reason(own.answer.reasons)
    status, word = _status(own)
    more = len(own.answer.reasons) - 1
    readable = first is not None and first.code in SECTIONS
    remedy = ""
    if first is not None and not readable:
        remedy = remedy_text(first, language, names=work.names)
    action = _job_action(own, first, work, language)
    return JobRow(
        number=own.job.number,
        name=job_name(own.job, language),
        status=status,
        word=word,
        why=_why(own, first, work, language),
        more=ngettext("%(n)d more reason.", "%(n)d more reasons.", more) % {"n": more}
        if more > 0
        else "",
        remedy=remedy,
        action=action,
        presses=action.urgent,
    )


def first_reason(reasons: Sequence[Reason]) -> Reason | None:
    """Return the reason that somebody can put right soonest; the rule's order among equals."""
    rank = {code: place for place, code in enumerate(FIRST)}
    return min(reasons, key=lambda reason: rank.get(reason.code, len(FIRST)), default=None)


def _status(own: OwnJob) -> tuple[str, str]:
    if own.answer.verdict is Verdict.ALONE:
        return "yes", ""
    if own.answer.verdict is Verdict.BUDDY:
        named = _("Only with %(name)s") % {"name": own.buddy} if own.buddy else ""
        return "buddy", named
    return "not_yet", ""


def _why(own: OwnJob, first: Reason | None, work: MyWork, language: Language) -> str:
    here = _("%(press)s this shift.") % {"press": own.press} if own.press else ""
    if first is not None:
        said = reason_text(first, language, today=work.asked.day, names=work.names)
    elif own.answer.ends_during:
        said = ending_text(own.answer.ends_during[0], language, names=work.names)
    elif own.days_left is not None and own.days_left <= work.rules.due_soon_days:
        family = in_language(work.names.families.get(own.soonest), language) or own.soonest
        said = _("%(family)s certificate: %(left)s") % {
            "family": family,
            "left": left_words(own.days_left),
        }
    else:
        said = ngettext("Its one family in date", "All %(n)d families in date", own.families) % {
            "n": own.families
        }
    return f"{here} {said}".strip()


def left_words(days: int) -> str:
    """Write "5 days left"; the last day is said so."""
    if days == 0:
        return _("last day")
    return ngettext("%(n)d day left", "%(n)d days left", days) % {"n": days}


def _job_action(own: OwnJob, first: Reason | None, work: MyWork, language: Language) -> Action:
    if first is not None and first.code in SECTIONS:
        return reading_action(first, own.job.number)
    if first is not None and first.code in FAMILY_CODES - {ReasonCode.SUSPENDED}:
        return practise((first.subject,), work, language)
    if own.press and own.answer.verdict is not Verdict.NO and _may_take(own, work):
        label = _("Take %(press)s over") % {"press": own.press}
        return Action(label, reverse("staffing:take_press", args=[own.press]), urgent=True)
    return Action(
        _("Job sheet"),
        reverse("floor:job_sheet", args=[own.job.number]),
        aria=_("Job sheet %(job)s") % {"job": own.job.number},
    )


def _may_take(own: OwnJob, work: MyWork) -> bool:
    """Whether the shift runs, or soon will, and the person does not stand there already."""
    stands = work.turn is not None and work.turn.press.code == own.press
    begun = work.shift is not None and work.moment >= work.shift.starts - BEFORE_THE_SHIFT
    return begun and not stands


def reading_action(reason: Reason, job: str) -> Action:
    """Return the link to what is unread, on the job's sheet."""
    label = {
        ReasonCode.WI_UNREAD: _("Read sheet %(job)s") % {"job": reason.subject},
        ReasonCode.ALERT_UNREAD: _("Read alert %(number)s") % {"number": reason.subject},
        ReasonCode.CAUTION_UNREAD: _("Read the caution"),
    }[reason.code]
    url = f"{reverse('floor:job_sheet', args=[job])}#{SECTIONS[reason.code]}"
    return Action(label, url, urgent=True)


def practise(families: Sequence[str], work: MyWork, language: Language) -> Action:
    """Return the button that starts a practice round of these families."""
    names = listed(families, work.names.families, language)
    return Action(
        _("Practise"),
        reverse("quizzes:practice_start"),
        aria=_("Practise %(families)s") % {"families": names},
        post=True,
        fields=tuple(("family", slug) for slug in families),
    )


@dataclass(frozen=True)
class WayRow:
    """One step of the way to a press; the next one carries its button, where there is one."""

    step: StepWords
    is_next: bool
    action: Action | None


def way_rows(work: MyWork, language: Language) -> list[WayRow]:
    """Return the steps to the job the person is brought up to; none without such a job."""
    if work.way is None:
        return []
    rows, following = [], work.way.next
    for step in way_words(work.way, work.names, language, work.asked.day):
        is_next = following is not None and step.kind is following.kind
        action = _way_action(step, work, language) if is_next else None
        rows.append(WayRow(step, is_next, action))
    return rows


def _way_action(step: StepWords, work: MyWork, language: Language) -> Action | None:
    if step.kind is Kind.LESSON and step.families:
        return Action(_("Read"), reverse("lessons:lesson", args=[step.families[0]]))
    if step.kind is Kind.PRACTICE and step.families:
        return practise(step.families, work, language)
    if step.kind is Kind.READING and work.way is not None:
        return Action(_("Read"), reverse("floor:job_sheet", args=[work.way.job.number]))
    return None


RANK = {
    Standing.SUSPENDED: 0,
    Standing.LAPSED: 1,
    Standing.UNDER_SUPERVISION: 2,
    Standing.DUE_SOON: 3,
    Standing.IN_DATE: 4,
    Standing.NOT_CERTIFIED: 5,
}


def certificate_rows(work: MyWork, language: Language) -> list[CertificateRow]:
    """Return the person's certificates, the most urgent first, then by name."""
    rows = sorted(
        ((each, _family(each, work, language)) for each in work.certificates),
        key=lambda row: (*_rank(row[0]), row[1].casefold()),
    )
    return [_certificate_row(each, name) for each, name in rows]


def _rank(each: OwnCertificate) -> tuple[int, int]:
    soon = each.standing.standing is Standing.DUE_SOON
    return RANK[each.standing.standing], (each.standing.days_left or 0) if soon else 0


def _family(each: OwnCertificate, work: MyWork, language: Language) -> str:
    return in_language(work.names.families.get(each.family), language) or each.family


def _certificate_row(each: OwnCertificate, name: str) -> CertificateRow:
    standing = each.standing
    day = ""
    if standing.ends is not None:
        day = format_date(standing.ends, pgettext("pattern of a day with its year", "j M Y"))
    due = standing.standing is Standing.DUE_SOON and standing.days_left is not None
    until = {
        Standing.SUSPENDED: _("suspended"),
        Standing.LAPSED: _("ended %(day)s") % {"day": day},
        Standing.UNDER_SUPERVISION: _("under supervision"),
    }.get(standing.standing, day)
    if due:
        until = left_words(standing.days_left or 0)
    return CertificateRow(
        name=name,
        status=standing.standing.value,
        until=until,
        url=reverse("certificates:certificate", args=[standing.certificate])
        if standing.certificate
        else "",
        stopped=standing.standing in (Standing.SUSPENDED, Standing.LAPSED),
        ending=due,
    )
