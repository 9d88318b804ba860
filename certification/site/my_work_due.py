"""What is due on one person's own page, the most urgent first, each with its one button."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from certification.certificates.standing import Reason, ReasonCode, Standing
from certification.certificates.standing_facts import Requalification, Sight
from certification.certificates.wording import (
    Language,
    day_text,
    reason_text,
    remedy_text,
    standing_text,
)
from certification.site.my_work import MyWork, OwnCertificate
from certification.site.my_work_rows import SECTIONS, Action, left_words, practise, reading_action
from certification.training_plans.words import listed
from training.people.texts import in_language
from training.quizzes.scoring import Counts
from training.quizzes.worked_plan import WorkedPlan


@dataclass(frozen=True)
class Due:
    """One thing that is due: its shape and title, a sentence, the button, and its last day."""

    status: str
    title: str
    text: str
    action: Action | None = None
    day: dt.date = dt.date.min


# An open exam first, then what keeps from working now, then what soon will, by its day.
PRESSES = ("in_date", "suspended", "lapsed", "no", "not_yet", "due_soon", "open", "waiting")


def due_rows(work: MyWork, language: Language) -> list[Due]:
    """Return everything that is due, in the order it presses."""
    rows = [
        *_exam(work),
        *_ended(work, language),
        *_sight(work, language),
        *_orders(work, language),
        *_unread(work, language),
        *_ending(work, language),
        *_panels(work),
        *_studies(work),
        *_undecided(work, language),
        *_low_rate(work),
    ]
    return sorted(rows, key=lambda row: (PRESSES.index(row.status), row.day))


def _exam(work: MyWork) -> Iterator[Due]:
    exam = work.exam
    if exam is None:
        return
    judged = _("%(judged)d of %(total)d judged.") % {"judged": exam.judged, "total": exam.total}
    device = exam.sitting.device
    place = _("Sit it on %(device)s.") % {"device": device.name} if device else ""
    yield Due(
        "in_date",
        _("Exam open for you: %(title)s") % {"title": exam.title},
        f"{judged} {place}".strip(),
        Action(
            _("Go on") if exam.judged else _("Start the exam"),
            reverse("quizzes:booth", args=[exam.sitting.pk]),
        ),
    )


def _studies(work: MyWork) -> Iterator[Due]:
    """Rounds of agreement studies that run or may be started now."""
    for own in work.study_rounds:
        values = {"number": own.study.number, "n": own.round.number, "all": own.study.repeats}
        yield Due(
            "open",
            _("Agreement study %(number)s: round %(n)d of %(all)d") % values,
            _("%(judged)d of %(total)d judged. Nothing is passed or failed.")
            % {"judged": own.round.judged, "total": own.round.total},
            Action(
                _("Go on") if own.running else _("To the round"),
                reverse("quizzes:study_round", args=[own.study.pk]),
            ),
        )


def _ended(work: MyWork, language: Language) -> Iterator[Due]:
    """Suspended and lapsed certificates that a job of the person asks for, together by day."""
    for standing in (Standing.SUSPENDED, Standing.LAPSED):
        for rows in _together(work, standing):
            slugs = [row.family for row in rows]
            said = standing_text(rows[0].standing, language, today=work.asked.day)
            title = f"{listed(slugs, work.names.families, language)}: {_inside(said)}"
            if standing is Standing.SUSPENDED:
                reason = Reason(ReasonCode.SUSPENDED, slugs[0])
                yield Due(standing.value, title, remedy_text(reason, language, names=work.names))
                continue
            keeps = _("Keeps you from %(jobs)s.") % {"jobs": _jobs_that_need(work, slugs)}
            text = f"{keeps} {_again(work, slugs, language)}"
            yield Due(standing.value, title, text, practise(slugs, work, language))


def _inside(sentence: str) -> str:
    """A sentence as it stands after a colon."""
    return sentence[:1].lower() + sentence[1:].rstrip(".")


def _together(work: MyWork, standing: Standing) -> list[list[OwnCertificate]]:
    """Return needed certificates of one standing that end on the same day, soonest first."""
    days: dict[dt.date | None, list[OwnCertificate]] = defaultdict(list)
    for each in work.certificates:
        if each.needed and each.standing.standing is standing:
            days[each.standing.ends].append(each)
    return [days[day] for day in sorted(days, key=lambda day: day or dt.date.max)]


def _jobs_that_need(work: MyWork, slugs: Sequence[str]) -> str:
    day = work.asked.day
    return ", ".join(
        own.job.number
        for own in sorted(work.jobs, key=lambda own: own.job.number)
        if not set(slugs).isdisjoint(own.needs.needs_on(day))
    )


def _again(work: MyWork, slugs: Sequence[str], language: Language) -> str:
    """Say what the last exam came to where it was not passed, and what to do now."""
    again = _("Practise, then sit again with other parts.")
    last_one = work.last_results.get(slugs[0]) if len(slugs) == 1 else None
    if last_one is None or slugs[0] in last_one.counted.families_passed:
        return again
    own = Counts.from_json(last_one.counted.counts).families[slugs[0]]
    plan = WorkedPlan.from_json(last_one.end.sitting.worked_plan)
    if plan.own is not None:
        # How many may be missed hangs on how many were judged.
        return again
    allowed = plan.family_misses_allowed[slugs[0]]
    last = _("%(day)s: missed %(missed)d of %(shown)d, at most %(allowed)d allowed.") % {
        "day": _day(timezone.localdate(last_one.end.ended_at)),
        "missed": own.missed,
        "shown": own.bad,
        "allowed": allowed,
    }
    return f"{last} {again}"


def _day(day: dt.date) -> str:
    return format_date(day, pgettext("pattern of a day", "j M"))


def _sight(work: MyWork, language: Language) -> Iterator[Due]:
    near = [check for check in work.known.vision_checks if check.sight is Sight.NEAR]
    # Of two checks on one day the one recorded later counts.
    newest = max(near[::-1], key=lambda check: check.day, default=None)
    wanted = Reason(ReasonCode.NEAR_VISION_OVERDUE, day=newest.due if newest else None)
    remedy = remedy_text(wanted, language, names=work.names)
    for own in work.jobs:
        for reason in own.answer.reasons:
            if reason.code is ReasonCode.NEAR_VISION_OVERDUE:
                said = reason_text(reason, language, today=work.asked.day, names=work.names)
                yield Due("lapsed", said.rstrip("."), remedy)
                return
    if newest is None or newest.due is None:
        return
    left = (newest.due - work.asked.day).days
    if 0 <= left <= work.rules.due_soon_days:
        title = _("Near-vision check: %(left)s") % {"left": left_words(left)}
        yield Due("due_soon", title, remedy, day=newest.due)


def _orders(work: MyWork, language: Language) -> Iterator[Due]:
    blocking = {order.order: order for order in work.known.requalifications}
    for need in work.needs:
        number = need.order.number
        slugs = list(need.order.families)
        order: Requalification | None = blocking.get(number)
        status = "no" if order is not None and order.blocks(work.asked.day) else "due_soon"
        title = _("Requalification %(order)s by %(day)s") % {
            "order": number,
            "day": day_text(need.due_day, language, today=work.asked.day),
        }
        names = listed(slugs, work.names.families, language)
        text = _("%(families)s. Practise, then requalify.") % {"families": names}
        yield Due(status, title, text, practise(slugs, work, language), need.due_day)


def _unread(work: MyWork, language: Language) -> Iterator[Due]:
    """What of the papers of the person's jobs is unread, each paper once."""
    papers: dict[tuple[str, str, str], tuple[Reason, list[str]]] = {}
    for own in sorted(work.jobs, key=lambda own: own.job.number):
        for reason in own.answer.reasons:
            if reason.code in SECTIONS:
                key = (reason.code.value, reason.subject, reason.revision)
                papers.setdefault(key, (reason, []))[1].append(own.job.number)
    for reason, jobs in papers.values():
        said = reason_text(reason, language, today=work.asked.day, names=work.names)
        text = _("Before the first box on %(jobs)s.") % {"jobs": ", ".join(jobs)}
        alert = work.alerts.get(reason.subject)
        if reason.code is ReasonCode.ALERT_UNREAD and alert is not None:
            text = f"{text} {in_language(alert.text, language)}"
        yield Due("not_yet", said.rstrip("."), text, reading_action(reason, jobs[0]))


def _ending(work: MyWork, language: Language) -> Iterator[Due]:
    for rows in _together(work, Standing.DUE_SOON):
        slugs, standing = [row.family for row in rows], rows[0].standing
        names = listed(slugs, work.names.families, language)
        title = f"{names}: {left_words(standing.days_left or 0)}"
        last = standing.ends or work.asked.day
        written = format_date(last, pgettext("pattern of a day of the week", "l j F"))
        ends = _("Ends %(day)s.") % {"day": written}
        text = f"{ends} {_again(work, slugs, language)}"
        yield Due("due_soon", title, text, practise(slugs, work, language), last)


def _low_rate(work: MyWork) -> Iterator[Due]:
    """The low-rate round of the quarter, for whoever judges parts at a press."""
    if not work.jobs or not (work.low_rate.due and work.low_rate.possible):
        return
    until = work.low_rate.until
    yield Due(
        "waiting",
        _("Low-rate round by %(until)s") % {"until": _day(until)},
        _("40 parts, two or three of them bad; it decides nothing."),
        Action(_("Look"), reverse("quizzes:low_rate_start")),
        until,
    )


def _panels(work: MyWork) -> Iterator[Due]:
    """Looks of the reference panel that may be given today."""
    for each in work.panels:
        if not each.due:
            continue
        text = ngettext("%(n)d look is due", "%(n)d looks are due", each.due) % {"n": each.due}
        left = ngettext("%(n)d left in all", "%(n)d left in all", each.left) % {"n": each.left}
        yield Due(
            "open",
            _("Panel round %(number)s") % {"number": each.number},
            f"{text}, {left}.",
            Action(_("Look"), reverse("specimens:panel_look", args=[each.id])),
        )


def _undecided(work: MyWork, language: Language) -> Iterator[Due]:
    for each in work.undecided:
        sitting = each.sitting
        names = listed(each.families, work.names.families, language)
        yield Due(
            "waiting",
            _("%(families)s: passed, waiting for a decision") % {"families": names},
            _("Passed %(day)s. A named person of quality decides.")
            % {"day": _day(timezone.localdate(sitting.end.ended_at))},
            Action(_("Result"), reverse("quizzes:result", args=[sitting.pk])),
        )
