"""The figure of an agreement study: one line a part, every answer a tick, dissent from the reference thick."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from certification.site import charts
from certification.site.charts import Axis, Plot
from certification.site.plots import table_of

WIDTH, LEFT, END, TOP, ROW = 660, 152, 588, 44, 22
REFERENCE: Final = 116
REACH: Final = 8


def agreement_chart(data: Mapping[str, Any]) -> SafeString:
    """Draw every answer of a study.

    The mapping has key, question, method, title, finding, table; `judges`, the labels in order; and
    `rows` of label, href, reference (true for accept), accepted (by person and round) and note.
    """
    rows: Sequence[Mapping[str, Any]] = data["rows"]
    judges: Sequence[str] = data["judges"]
    plot = Plot(
        x=Axis(0, 1, 1),
        y=Axis(0, 1, 1),
        key=str(data["key"]),
        width=WIDTH,
        height=TOP + ROW * len(rows) + 8,
    )
    parts: list[str] = [_head(judges)]
    parts.extend(_row(row, TOP + ROW * place + ROW / 2) for place, row in enumerate(rows))
    linked = any(row.get("href") for row in rows)
    svg = charts.drawing(
        plot, str(data["title"]), str(data["finding"]), parts, role="group" if linked else "img"
    )
    return charts.figure(
        svg, str(data["question"]), str(data.get("method", "")), table_of(data.get("table"))
    )


def _head(judges: Sequence[str]) -> SafeString:
    drawn = charts.label(0, 14, gettext("part"), css="lab")
    drawn += charts.label(REFERENCE, 14, gettext("reference"), css="lab", anchor="middle")
    for place, name in enumerate(judges):
        start, width = _span(place, len(judges))
        drawn += charts.label(start + width / 2, 14, name[:14], css="strong", anchor="middle")
    drawn += charts.label(WIDTH, 14, gettext("differ"), css="lab", anchor="end")
    return drawn + format_html('<line class="axis" x1="0" x2="{}" y1="26" y2="26"/>', WIDTH)


def _span(place: int, judges: int) -> tuple[float, float]:
    """Return where a person's answers start and how wide their stretch is."""
    step = (END - LEFT) / judges
    gap = min(8, step / 4)
    return LEFT + step * place + gap, step - 2 * gap


def _row(row: Mapping[str, Any], y: float) -> SafeString:
    reference = bool(row["reference"])
    name = charts.label(0, y + 4, str(row["label"])[:14], css="strong" if row["note"] else "lab")
    if row.get("href"):
        name = format_html('<a href="{}">{}</a>', row["href"], name)
    drawn = name + _line(REFERENCE - 14, REFERENCE + 14, y)
    drawn += _tick(REFERENCE, y, accepted=reference, css="up")
    for place, own in enumerate(row["accepted"]):
        start, width = _span(place, len(row["accepted"]))
        drawn += _line(start, start + width, y)
        step = width / len(own)
        for number, accepted in enumerate(own):
            css = "ag-same" if bool(accepted) == reference else "ag-other"
            drawn += _tick(start + step * (number + 0.5), y, accepted=bool(accepted), css=css)
    return drawn + charts.label(WIDTH, y + 4, str(row["note"]), css="strong", anchor="end")


def _line(start: float, end: float, y: float) -> SafeString:
    return format_html(
        '<line class="ag-line" x1="{}" x2="{}" y1="{y}" y2="{y}"/>',
        round(start, 1),
        round(end, 1),
        y=y,
    )


def _tick(x: float, y: float, *, accepted: bool, css: str) -> SafeString:
    end = y - REACH if accepted else y + REACH
    return format_html(
        '<line class="{0}" x1="{1}" x2="{1}" y1="{2}" y2="{3}"/>', css, round(x, 1), y, end
    )
