"""Figures of the operator report about names, places and actions, as plain mappings."""

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.quizzes.models import Action
from training.quizzes.report_numbers import between
from training.quizzes.report_words import taken_for
from training.quizzes.reports.naming import ACCEPTED, ELSEWHERE, Grid
from training.quizzes.selectors.report import Report
from training.quizzes.words import here


def naming_figure(report: Report) -> dict[str, Any] | None:
    """Return what parts of the group were taken for; None where no exam was judged."""
    grid = report.naming
    if not grid.total:
        return None
    names = {family.slug: here(family.short) for family in report.group}
    words = {name: taken_for(name, names) for name in (*grid.rows, *grid.columns)}
    return _bars(
        grid,
        words,
        key="naming",
        question=_("What are the parts of this group taken for?"),
        method=_("All exams, parts met for the first time. Hatched: errors, each named beside."),
        title=_("Confusion of families"),
        error=lambda column: (
            _("as %(family)s") % {"family": _small(words[column])}
            if column not in (ACCEPTED, ELSEWHERE)
            else (_("let through") if column == ACCEPTED else words[column])
        ),
    )


def actions_figure(report: Report) -> dict[str, Any] | None:
    """Return what was done about bad parts; None where none was rejected."""
    grid = report.actions
    if not grid.total:
        return None
    labels = {str(value): str(label) for value, label in Action.choices}
    words = {name: labels.get(name, name) for name in (*grid.rows, *grid.columns)}
    return _bars(
        grid,
        words,
        key="doing",
        question=_("Is the right thing done about a bad part?"),
        method=_("All exams, rejected bad parts by what had to be done. Hatched: something else."),
        title=_("Action taken against the action wanted"),
        error=lambda column: words[column],
    )


def _bars(
    grid: Grid,
    words: Mapping[str, str],
    *,
    key: str,
    question: str,
    method: str,
    title: str,
    error: Callable[[str], str],
) -> dict[str, Any]:
    return {
        "key": key,
        "question": question,
        "method": method,
        "title": title,
        "finding": _errors_words(grid, words),
        "rows": [
            {
                "word": _capital(words[row]),
                "note": grid.of(row),
                "parts": [
                    {
                        "count": grid.cells.get((row, column), 0),
                        "right": (row, column) in grid.right,
                        "word": error(column),
                    }
                    for column in _right_first(grid, row)
                    if grid.cells.get((row, column), 0)
                ],
            }
            for row in grid.rows
        ],
        "table": {
            "head": [_("It was"), *(_capital(words[column]) for column in grid.columns)],
            "rows": [
                [_capital(words[row]), *(grid.cells.get((row, each), 0) for each in grid.columns)]
                for row in grid.rows
            ],
        },
    }


def _right_first(grid: Grid, row: str) -> list[str]:
    return sorted(
        grid.columns,
        key=lambda column: ((row, column) not in grid.right, -grid.cells.get((row, column), 0)),
    )


def _errors_words(grid: Grid, words: Mapping[str, str]) -> str:
    wrong = sum(count for _row, _column, count in grid.errors)
    said = _("%(wrong)s of %(total)s answers were another one.") % {
        "wrong": wrong,
        "total": grid.total,
    }
    each = "; ".join(
        f"{words[row]} → {words[column]}: {count}" for row, column, count in grid.errors[:6]
    )
    return f"{said} {each}".strip()


def _small(word: str) -> str:
    """Begin a name with a small letter inside a sentence; one all in capitals stays."""
    return word if word[:2].isupper() else word[:1].lower() + word[1:]


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]


def place_words(report: Report) -> str:
    """Say how often the right place was touched."""
    found = report.wrong_place
    if not found.of:
        return _("No rejected part so far asked for its place.")
    right = found.of - found.errors
    said = ngettext(
        "Touched at the right place: %(right)s of %(n)d rejected part",
        "Touched at the right place: %(right)s of %(n)d rejected parts",
        found.of,
    ) % {"right": right, "n": found.of}
    if found.low is None or found.high is None:
        return f"{said}."
    return f"{said}, {between(1 - found.high, 1 - found.low)}."
