"""Raising and withdrawing alerts, which may only tighten what a job accepts."""

import datetime as dt
from collections.abc import Mapping, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.floor.limit_comparing import looser
from training.floor.limit_words import line_text, source_text
from training.floor.limits import Line, Measure
from training.floor.models import Alert, Family, Job
from training.floor.paper_selectors import rulings_of
from training.floor.selectors import papers_of
from training.floor.services import save_lines
from training.floor.sheet_words import language_code
from training.people.models import Person


@transaction.atomic
def raise_alert(
    *,
    number: str,
    jobs: Sequence[Job],
    family: Family,
    zone: str,
    text: Mapping[str, str],
    from_day: dt.date,
    to_day: dt.date,
    written_day: dt.date,
    written_by: Person,
    lines: Sequence[Line] = (),
    checks: Sequence[Mapping[str, str]] = (),
    tend_alone: bool = False,
    reason: str = "",
) -> Alert:
    """Raise an alert on jobs from one day to another; its limits may only tighten."""
    if not jobs:
        raise ValidationError({"jobs": _("An alert names at least one job.")})
    if to_day < from_day:
        raise ValidationError({"to_day": _("The alert would end before it begins.")})
    for line in lines:
        problem = why_not_tighter(line, jobs, max(from_day, written_day))
        if problem:
            raise ValidationError(problem)
    alert = Alert(
        number=number.strip(),
        family=family,
        zone=zone,
        written_day=written_day,
        from_day=from_day,
        to_day=to_day,
        text=dict(text),
        checks=[dict(check) for check in checks],
        tend_alone=tend_alone,
        reason=reason,
        written_by=written_by,
    )
    alert.full_clean()
    alert.save()
    alert.jobs.set(jobs)
    save_lines(lines, alert=alert)
    return alert


def why_not_tighter(line: Line, jobs: Sequence[Job], day: dt.date) -> str:
    """Return which line in force an alert's line would loosen; nothing where it does not."""
    if line.measure is Measure.ANY:
        return _("An alert tightens. Give a limit instead of “no limit”.")
    language = language_code()
    for job in jobs:
        for ruling in rulings_of(job, papers_of(job, day), [line.family], day):
            other = ruling.line
            if other.covers(line.family, line.zone) and looser(line, other):
                return _(
                    "Job %(job)s: the alert would allow more than “%(line)s” (%(source)s). An "
                    "alert may only tighten; to loosen, write a concession."
                ) % {
                    "job": job,
                    "line": line_text(other, language),
                    "source": source_text(ruling.source, language),
                }
    return ""


@transaction.atomic
def withdraw_alert(
    *, alert: Alert, last_day: dt.date, reason: str, by: Person, today: dt.date
) -> Alert:
    """End an alert before its last day; it holds to the end of the day given.

    One that has not begun by then never holds.
    """
    paper = Alert.objects.select_for_update(of=("self",)).get(pk=alert.pk)
    if paper.withdrawn_day is not None:
        raise ValidationError(_("This alert was withdrawn already."))
    if paper.to_day < today:
        raise ValidationError(_("This alert has ended already."))
    if last_day < today:
        raise ValidationError(
            {"last_day": _("What was in force stays so on record. Give today or a later day.")}
        )
    if last_day >= paper.to_day:
        raise ValidationError(
            {"last_day": _("It ends on that day or before anyway. Give an earlier day.")}
        )
    paper.withdrawn_day = last_day + dt.timedelta(days=1)
    paper.withdrawn_reason, paper.withdrawn_by = reason, by
    paper.full_clean()
    paper.save(update_fields=["withdrawn_day", "withdrawn_reason", "withdrawn_by"])
    return paper
