"""Figures of the operator report: what parts are taken for as bars, and exams as marks on a line."""

from collections.abc import Mapping, Sequence
from itertools import accumulate
from typing import Any, Final

from django.utils.html import format_html
from django.utils.safestring import SafeString

from certification.site import charts, drawings
from certification.site.charts import Axis, Plot
from certification.site.plots import table_of

WIDTH: Final = 480
NAMES: Final = 148
BAR: Final = 128
ROW: Final = 32
LINE: Final = 16
# About so many pixels a character takes at 13 px.
CHARACTER: Final = 6.6


def named_bars(data: Mapping[str, Any]) -> SafeString:
    """Draw one bar a row, parted by what was said; what was wrong is hatched and said beside it.

    The mapping has key, question, method, title, finding, table (see certification.site.plots) and
    rows of word, note and parts; a part has count, right (true or false) and word.
    """
    rows: Sequence[Mapping[str, Any]] = data["rows"]
    said = [_said(row["parts"]) for row in rows]
    tops = [0, *accumulate(ROW + LINE * max(len(lines) - 1, 0) for lines in said)]
    plot = Plot(
        x=Axis(0, 1, 1),
        y=Axis(0, 1, 1),
        key=str(data["key"]),
        width=WIDTH,
        height=tops[-1] + 8,
        left=NAMES,
        right=WIDTH - NAMES - BAR,
    )
    parts = [
        _bar(plot, row, lines, 4 + top) for row, lines, top in zip(rows, said, tops, strict=False)
    ]
    svg = charts.drawing(plot, str(data["title"]), str(data["finding"]), parts)
    return charts.figure(
        svg,
        str(data["question"]),
        str(data.get("method", "")),
        table_of(data.get("table")),
        "fig",
    )


def _bar(plot: Plot, row: Mapping[str, Any], lines: Sequence[str], y: int) -> SafeString:
    counts = [int(part["count"]) for part in row["parts"]]
    total = max(sum(counts), 1)
    drawn = charts.label(0, y + 19, str(row["word"]))
    drawn += charts.label(plot.left - 10, y + 19, str(row.get("note", "")), css="lab", anchor="end")
    at = 0.0
    for part, count in zip(row["parts"], counts, strict=True):
        drawn += _stretch(plot, y, at / total, (at + count) / total, right=bool(part["right"]))
        at += count
    return drawn + charts.label(plot.end + 10, y + 19, "\n".join(lines), css="t-limit")


def _stretch(plot: Plot, y: int, low: float, high: float, *, right: bool) -> SafeString:
    x = plot.across(low)
    return format_html(
        '<rect class="{}" x="{}" y="{}" width="{}" height="20"{}/>',
        "bar-2" if right else "bar-w",
        x,
        y + 4,
        round(plot.across(high) - x, 1),
        "" if right else format_html(' fill="url(#{}-hatch)"', plot.key),
    )


def _said(parts: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write the errors of a row, as many to a line as fit beside the bar."""
    room = (WIDTH - NAMES - BAR - 10) / CHARACTER
    lines: list[str] = []
    for part in parts:
        if part["right"]:
            continue
        word = f"{part['count']} {part['word']}"
        if lines and len(f"{lines[-1]} · {word}") <= room:
            lines[-1] = f"{lines[-1]} · {word}"
        else:
            lines.append(word)
    return lines


def exam_lines(data: Mapping[str, Any]) -> SafeString:
    """Draw one line an exam with a mark for each bad part, under a question, with the numbers.

    The mapping has question, method, rows (see certification.site.drawings.sittings) and table.
    """
    return charts.figure(
        drawings.sittings(data["rows"]),
        str(data["question"]),
        str(data.get("method", "")),
        table_of(data.get("table")),
        "fig",
    )
