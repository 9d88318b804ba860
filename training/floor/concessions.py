"""Writing, signing, counting and withdrawing concessions, the only papers that loosen a limit."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.floor.concession_selectors import instead_of, line_of
from training.floor.limit_comparing import never_looser, same_subject
from training.floor.limit_words import line_text
from training.floor.limits import Line, Measure, line_data
from training.floor.models import Concession, ConcessionCount, Job, LimitLine
from training.floor.paper_selectors import (
    OPEN,
    Concedable,
    PaperState,
    concedable,
    list_concessions,
    state_of_concession,
)
from training.floor.services import save_lines
from training.floor.sheet_words import language_code
from training.people.models import Person
from training.people.record.chain import append


@dataclass(frozen=True, slots=True)
class Conceded:
    """A line that is accepted for a while, and the line in force whose place it takes."""

    line: Line
    instead_of: Line


def why_not_conceded(given: Conceded, choice: Concedable) -> str:
    """Return why a line cannot be conceded and what to do instead; nothing where it can."""
    old = line_text(given.instead_of, language_code())
    if any(given.instead_of == ruling.line for ruling in choice.critical):
        return _(
            "“%(line)s” is critical: nothing of it is accepted on the floor, and no concession "
            "loosens it. Hold the parts and ask who answers for safety."
        ) % {"line": old}
    if all(given.instead_of != ruling.line for ruling in choice.rulings):
        return _(
            "“%(line)s” is not in force on the first day. Look at the job's sheet and choose the "
            "line that is."
        ) % {"line": old}
    if given.line.measure is Measure.ANY:
        return _("A concession says how far it goes. Give a limit instead of “no limit”.")
    if never_looser(given.line, given.instead_of):
        return _(
            "This lets nothing through that “%(line)s” refuses. Give more than that, or leave "
            "this line out."
        ) % {"line": old}
    return ""


@transaction.atomic
def write_concession(
    *,
    number: str,
    job: Job,
    lines: Sequence[Conceded],
    from_day: dt.date,
    to_day: dt.date | None,
    max_quantity: int | None,
    reason: str,
    written_by: Person,
    today: dt.date,
) -> Concession:
    """Write a concession with its first signature; it does nothing before the second."""
    _check_days(from_day, to_day, max_quantity, today)
    if not lines:
        raise ValidationError(_("A concession loosens at least one line."))
    _check_lines(job, lines, from_day)
    paper = Concession(
        number=number.strip(),
        job=job,
        from_day=from_day,
        to_day=to_day,
        max_quantity=max_quantity,
        reason=reason,
        signed_by=written_by,
    )
    paper.full_clean()
    _check_overlaps(paper, lines, today)
    paper.save()
    rows = save_lines([given.line for given in lines], concession=paper)
    for row, given in zip(rows, lines, strict=True):
        row.instead_of = line_data(given.instead_of)
    LimitLine.objects.bulk_update(rows, ["instead_of"])
    return paper


def _check_days(
    from_day: dt.date, to_day: dt.date | None, max_quantity: int | None, today: dt.date
) -> None:
    if to_day is None and max_quantity is None:
        raise ValidationError(
            {"to_day": _("A concession ends: give its last day, a number of parts, or both.")}
        )
    if max_quantity is not None and max_quantity < 1:
        raise ValidationError({"max_quantity": _("Give one part or more, or leave it empty.")})
    if from_day < today:
        raise ValidationError(
            {"from_day": _("A concession does not reach back. Give today or a later day.")}
        )
    if to_day is not None and to_day < from_day:
        raise ValidationError({"to_day": _("The concession would end before it begins.")})


def _check_lines(job: Job, lines: Sequence[Conceded], day: dt.date) -> None:
    choice = concedable(job, day)
    if choice is None:
        raise ValidationError(
            _("Job %(job)s has no work instruction on that day, so there is nothing to loosen.")
            % {"job": job}
        )
    for given in lines:
        problem = why_not_conceded(given, choice)
        if problem:
            raise ValidationError(problem)
    if len({given.instead_of for given in lines}) < len(lines):
        raise ValidationError(_("Two lines take the place of the same one. Keep one of them."))


def _check_overlaps(paper: Concession, lines: Sequence[Conceded], today: dt.date) -> None:
    """Refuse a second concession on a line in days that another one covers or waits to cover."""
    for row in list_concessions(today, paper.job.number):
        other = row.paper
        if row.state not in OPEN or other.pk == paper.pk:
            continue
        apart = (other.to_day is not None and other.to_day < paper.from_day) or (
            paper.to_day is not None and paper.to_day < other.from_day
        )
        if not apart and _same_lines(other, lines):
            raise ValidationError(
                _(
                    "Concession %(number)s speaks of the same line in these days. Withdraw it "
                    "first, or begin after it."
                )
                % {"number": other.number}
            )


def _same_lines(other: Concession, lines: Sequence[Conceded]) -> bool:
    for row in other.lines.all():
        named, line = instead_of(row), line_of(row)
        for place in (given.instead_of for given in lines):
            if named is not None:
                same = named == place
            else:
                same = place.covers(line.family, line.zone) and same_subject(line, place)
            if same:
                return True
    return False


@transaction.atomic
def sign_concession(*, concession: Concession, person: Person, today: dt.date) -> Concession:
    """Give the second signature; from this day on, not before, the concession holds.

    It is looked at again, because the sheet or other papers may have changed since it was written.
    """
    paper = Concession.objects.select_for_update(of=("self",)).get(pk=concession.pk)
    if paper.signed_by_id == person.pk:
        raise ValidationError(
            _("Whoever wrote a concession does not give its second signature. Ask another person.")
        )
    if state_of_concession(paper, today) is not PaperState.WAITING:
        raise ValidationError(_("This concession does not wait for a signature any more."))
    rows = paper.lines.select_related("family")
    lines = [
        Conceded(line_of(row), named) for row in rows if (named := instead_of(row)) is not None
    ]
    _check_lines(paper.job, lines, max(paper.from_day, today))
    _check_overlaps(paper, lines, today)
    paper.second_signed_by, paper.second_signed_day = person, today
    paper.full_clean()
    paper.save(update_fields=["second_signed_by", "second_signed_day"])
    return paper


def count_parts(
    *, concession: Concession, parts: int, by: Person, moment: dt.datetime, day: dt.date
) -> ConcessionCount:
    """Record how many parts have been made under a concession so far; a later count replaces it.

    When the count reaches the quantity, the concession stops to hold at once.
    """
    if concession.max_quantity is None:
        raise ValidationError(_("This concession has no number of parts; it ends with its day."))
    if parts < 0:
        raise ValidationError({"parts": _("Give 0 or more.")})
    # Dates that are over stay as they are; what was used up may be counted again.
    if state_of_concession(concession, day) not in (PaperState.IN_FORCE, PaperState.USED_UP):
        raise ValidationError(_("Parts are counted while a concession is in force."))
    count = ConcessionCount(concession=concession, day=day, parts=parts, recorded_by=by)
    with transaction.atomic():
        append(count, moment=moment)
    return count


@transaction.atomic
def withdraw_concession(
    *, concession: Concession, reason: str, by: Person, today: dt.date
) -> Concession:
    """End a concession at once, or take back one that waits; the sheet's own limits hold again."""
    paper = Concession.objects.select_for_update(of=("self",)).get(pk=concession.pk)
    if state_of_concession(paper, today) not in (*OPEN, PaperState.USED_UP):
        raise ValidationError(_("This concession has ended already."))
    paper.withdrawn_day, paper.withdrawn_reason, paper.withdrawn_by = today, reason, by
    paper.full_clean()
    paper.save(update_fields=["withdrawn_day", "withdrawn_reason", "withdrawn_by"])
    return paper
