"""Figures of the operator report about the own limit and the last exams, as plain mappings."""

from typing import Any

from django.utils.translation import gettext as _

from training.quizzes.report_numbers import times
from training.quizzes.report_words import call_words, claim_words, count_of, day_of, eye_words
from training.quizzes.reports.own_eye import Line
from training.quizzes.reports.tallies import ExamLine
from training.quizzes.selectors.report import FamilyReport, Report
from training.quizzes.words import here

# Ends of the scale of own limits, in multiples of the job's; longer intervals end there.
EYES_LOW, EYES_HIGH = 0.5, 1.75


def eye_figure(report: Report) -> dict[str, Any] | None:
    """Return what the curve of rejection against severity takes; None without a line."""
    chosen = report.chosen
    if chosen is None or report.curve is None or chosen.eye.line is None:
        return None
    return {
        "curve": report.curve,
        "points": report.points,
        "own": chosen.eye.line,
        "size": _("severity ÷ limit"),
        "question": _("From which severity on does this eye reject?"),
        "method": _(
            "Exams and practice, %(n)s judgements of measured parts met for the first time. Points: "
            "share rejected, 95 %% interval. Band: where the curve may lie. Hatched: the errors."
        )
        % {"n": chosen.eye.measured}
        + _beyond(report),
        "finding": _("%(family)s: %(finding)s The job’s limit is 1.")
        % {"family": here(chosen.family.short), "finding": eye_words(chosen.eye)},
    }


def _beyond(report: Report) -> str:
    rejected, judged = report.beyond
    if not judged:
        return ""
    said = _("Beyond 3 × the limit, not drawn: %(rejected)s of %(judged)s rejected.") % {
        "rejected": rejected,
        "judged": judged,
    }
    return f" {said}"


def exams_figure(chosen: FamilyReport) -> dict[str, Any] | None:
    """Return the last three exams as lines with a mark for each bad part, the newest on top."""
    tally = chosen.tally
    if not tally.exams:
        return None
    newest = list(reversed(tally.exams))
    return {
        "question": _("How did the last exams of this family go?"),
        "method": _("Each mark is a bad part; those that hang were missed. %(allowed)s")
        % {"allowed": _allowed(newest[0])},
        "rows": [_exam_row(each) for each in newest],
        "table": {
            "head": [_("Exam"), _("Missed"), _("False rejects"), _("Family")],
            "rows": [
                [
                    f"{day_of(each)} · {each.round.number}",
                    count_of(sum(each.missed), len(each.missed)),
                    count_of(each.false_rejects, each.good),
                    exam_word(each),
                ]
                for each in newest
            ],
        },
        "claim": claim_words(tally),
    }


def _allowed(line: ExamLine) -> str:
    if line.allowed is None:
        return ""
    return _("At most %(allowed)s of %(of)s.") % {"allowed": line.allowed, "of": line.drawn}


def _exam_row(line: ExamLine) -> dict[str, Any]:
    return {
        "day": day_of(line),
        "note": _("missed %(missed)s of %(bad)s · false rejects %(false)s of %(good)s")
        % {
            "missed": sum(line.missed),
            "bad": len(line.missed),
            "false": line.false_rejects,
            "good": line.good,
        },
        "missed": line.missed,
        "status": "done" if line.passed else "not_yet",
        "word": exam_word(line),
    }


def exam_word(line: ExamLine) -> str:
    if line.round.stopped:
        return _("stopped")
    return _("passed") if line.passed else _("not passed")


def eyes_figure(report: Report) -> dict[str, Any] | None:
    """Return the own limits of all families, the latest first; None where there is none."""
    drawn = [(each, line) for each in report.families if (line := each.eye.line)]
    if not drawn:
        return None
    drawn.sort(key=lambda pair: -pair[1].value)
    said = "; ".join(f"{here(each.family.short)} {times(line.value)}" for each, line in drawn)
    return {
        "key": "eyes",
        "question": _("Does this eye turn before or after the job’s limit?"),
        "method": _("Own limit ÷ job’s limit, interval (95 %), judgements of measured parts"),
        "title": _("Own limit against the job’s limit, by family"),
        "finding": _("The job’s limit is 1. %(families)s.") % {"families": said},
        "low": EYES_LOW,
        "high": EYES_HIGH,
        "width": 480,
        "names": 200,
        "reference": {
            "at": 1.0,
            "word": _("job’s limit"),
            "before": _("rejects too much"),
            "beyond": _("lets through"),
        },
        "rows": [
            {
                "word": here(each.family.short),
                "note": each.eye.measured,
                "value": line.value,
                "low": line.low,
                "high": line.high,
            }
            for each, line in drawn
        ],
        "table": {
            "head": [_("Family"), _("Own limit ÷ limit"), _("interval (95 %)"), _("Says")],
            "rows": [_eye_row(each, line) for each, line in drawn],
        },
    }


def _eye_row(each: FamilyReport, line: Line) -> list[str]:
    return [
        here(each.family.short),
        times(line.value),
        f"{times(line.low)} – {times(line.high)}",
        call_words(each.eye),
    ]
