"""What a person is best to do next, read off their report: one step a line, the most pressing first."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.quizzes.report_numbers import times
from training.quizzes.report_words import taken_for
from training.quizzes.reports.naming import ACCEPTED, GOOD
from training.quizzes.reports.own_eye import OwnEye
from training.quizzes.reports.tallies import FamilyTally
from training.quizzes.selectors.report import Report
from training.quizzes.words import here
from training.statistics.operator_limit import STATE_FROM


def next_steps(report: Report) -> list[str]:
    """Say what to do about the family that is shown."""
    if report.chosen is None:
        return []
    eye, tally = report.chosen.eye, report.chosen.tally
    steps = [*_about_the_line(eye), *_about_misses(tally), *_about_names(report)]
    if steps:
        return steps
    short = STATE_FROM - eye.measured
    if eye.measured and short > 0:
        return [
            ngettext(
                "Practise: %(n)d more judgement of a measured part until something can be said.",
                "Practise: %(n)d more judgements of measured parts until something can be said.",
                short,
            )
            % {"n": short}
        ]
    return [_("Nothing stands out. Keep judging by the limit, the lamp and the first piece.")]


def _about_the_line(eye: OwnEye) -> list[str]:
    if eye.line is None:
        return []
    if eye.calls == "lenient":
        return [
            _("Coach first: parts from the limit to %(ratio)s times the limit pass too often.")
            % {"ratio": times(max(eye.line.value, 1.0))}
        ]
    if eye.calls == "strict":
        return [
            _("Coach: good parts from %(ratio)s times the limit on are thrown away.")
            % {"ratio": times(min(eye.line.value, 1.0))}
        ]
    return []


def _about_misses(tally: FamilyTally) -> list[str]:
    steps = []
    last = tally.exams[-1] if tally.exams else None
    if last is not None and not last.passed:
        steps.append(_("Read the lesson again and practise; then a second exam with other parts."))
    elif tally.missed.errors > 1:
        steps.append(
            _("Practise this family: %(n)s bad parts were let through.")
            % {"n": tally.missed.errors}
        )
    if tally.wrong_place:
        steps.append(
            ngettext(
                "%(n)d was rejected at the wrong place: look at where the defect lies.",
                "%(n)d were rejected at the wrong place: look at where the defect lies.",
                tally.wrong_place,
            )
            % {"n": tally.wrong_place}
        )
    if tally.kept_running:
        steps.append(_("Stop and call: with a critical defect the press does not keep running."))
    return steps


def _about_names(report: Report) -> list[str]:
    names = {family.slug: here(family.short) for family in report.group}
    own = report.chosen.family.slug if report.chosen else ""
    for row, column, count in report.naming.errors:
        if row == own and column != ACCEPTED and count > 1:
            said = _("%(n)s times taken for %(name)s: compare the look-alikes in the lesson.")
            return [said % {"n": count, "name": taken_for(column, names)}]
        if row == GOOD and column == own and count > 1:
            said = _("%(n)s good parts were rejected under this name: hold them against the limit.")
            return [said % {"n": count}]
    return []
