"""Figures of the operator report about time: how long it looks, how its errors change."""

from collections.abc import Sequence
from typing import Any, Final

from django.utils.dateformat import format as format_date
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from training.quizzes.report_numbers import percent, seconds
from training.quizzes.report_words import count_of, rate_words
from training.quizzes.reports.pace import Closeness, Pace, Step
from training.quizzes.reports.tallies import Rate
from training.quizzes.selectors.report import Report

MOST_STEPS: Final = 10


def pace_figure(report: Report) -> dict[str, Any] | None:
    """Return how long each kind of part is looked at; None where too few were judged."""
    paces = report.paces
    if not paces.rows or paces.median is None:
        return None
    top = max(row.high for row in paces.rows) * 1.1
    words = pace_words()
    return {
        "key": "pace",
        "question": _("How long does this eye look?"),
        "method": _("All exams: median and the middle half of the times, judgements"),
        "title": _("Judging time by kind of part"),
        "finding": " ".join(_pace_finding(row) for row in paces.rows),
        "low": 0.0,
        "high": top,
        "width": 480,
        "names": 200,
        "reference": {
            "at": paces.median,
            "word": _("median of all: %(time)s") % {"time": seconds(paces.median)},
            "before": _("quicker"),
            "beyond": _("slower"),
        },
        "rows": [
            {
                "word": words[row.kind],
                "note": row.judged,
                "value": row.median,
                "low": row.low,
                "high": row.high,
            }
            for row in paces.rows
        ],
        "table": {
            "head": [_("Kind of part"), _("Judged"), _("Median"), _("Middle half")],
            "rows": [
                [
                    words[row.kind],
                    row.judged,
                    seconds(row.median),
                    f"{seconds(row.low)} – {seconds(row.high)}",
                ]
                for row in paces.rows
            ],
        },
    }


def _pace_finding(row: Pace) -> str:
    return _("%(kind)s: %(median)s.") % {
        "kind": pace_words()[row.kind],
        "median": seconds(row.median),
    }


def pace_words() -> dict[Closeness, str]:
    return {
        Closeness.GOOD_CLEAR: _("Good, clear of it"),
        Closeness.GOOD_NEAR: _("Good, near the limit"),
        Closeness.BAD_NEAR: _("Bad, near the limit"),
        Closeness.BAD_CLEAR: _("Bad, clear of it"),
    }


def way_figure(report: Report) -> dict[str, Any] | None:
    """Return the errors from sitting to sitting, beside an average eye's; None without a sitting."""
    steps = report.steps[-MOST_STEPS:]
    if not steps:
        return None
    places = [float(place) for place in range(1, len(steps) + 1)]
    return {
        "key": "way",
        "question": _("Do the errors become fewer from sitting to sitting?"),
        "method": _(
            "Share of wrong answers on parts met for the first time, interval (95 %). P: practice."
        ),
        "title": _("Errors by sitting"),
        "finding": "; ".join(f"{_step_day(each)}: {rate_words(each.wrong)}" for each in steps),
        "x": {
            "low": 0.5,
            "high": len(steps) + 0.5,
            "label": _("sittings, oldest first"),
            "ticks": [(place, _step_tick(each)) for place, each in zip(places, steps, strict=True)],
        },
        "y": _share_axis(max(_end(each.wrong, each.wrong.high) for each in steps)),
        "width": 480,
        "height": 220,
        "left": 52,
        "sheet": False,
        "layers": [*_foretold(places, steps), _dots(places, steps)],
        "table": {
            "head": [
                _("Sitting"),
                _("Wrong"),
                _("Missed"),
                _("False rejects"),
                _("Average eye"),
                _("Median time"),
            ],
            "rows": [_step_row(each) for each in steps],
        },
    }


def _foretold(places: Sequence[float], steps: Sequence[Step]) -> list[dict[str, Any]]:
    """Return the line of an average eye on the same parts, where there are two exams to join."""
    known = [
        (place, 1 - each.average)
        for place, each in zip(places, steps, strict=True)
        if each.average is not None
    ]
    if len(known) < 2:
        return []
    return [
        {
            "kind": "line",
            "second": True,
            "x": [place for place, _share in known],
            "y": [share for _place, share in known],
            "word": _("an average eye, same parts"),
        }
    ]


def _dots(places: Sequence[float], steps: Sequence[Step]) -> dict[str, Any]:
    return {
        "kind": "dots",
        "x": places,
        "y": [each.wrong.errors / each.wrong.of for each in steps],
        "low": [_end(each.wrong, each.wrong.low) for each in steps],
        "high": [_end(each.wrong, each.wrong.high) for each in steps],
    }


def _end(found: Rate, end: float | None) -> float:
    """Return an end of the interval; the share itself where none may be given."""
    return found.errors / found.of if end is None else end


def _share_axis(top: float) -> dict[str, Any]:
    high, step = next(
        ((high, step) for high, step in ((0.2, 0.05), (0.4, 0.1)) if top <= high), (1.0, 0.25)
    )
    return {"low": 0, "high": high, "step": step, "label": _("wrong answers"), "percent": True}


def _step_tick(each: Step) -> str:
    day = format_date(localtime(each.round.opened_at), pgettext("pattern of a day", "j M"))
    return day if each.round.exam else _("%(day)s P") % {"day": day}


def _step_day(each: Step) -> str:
    moment = localtime(each.round.opened_at)
    return format_date(moment, pgettext("pattern of a day with its year", "j M Y"))


def _step_row(each: Step) -> list[object]:
    kind = each.round.number if each.round.exam else _("practice")
    return [
        f"{_step_day(each)} · {kind}",
        rate_words(each.wrong),
        count_of(each.missed.errors, each.missed.of),
        count_of(each.false_rejects.errors, each.false_rejects.of),
        "–" if each.average is None else percent(1 - each.average),
        seconds(each.median_s),
    ]
