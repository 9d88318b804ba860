"""The difficulty map of a family, and what is missed by crew and hour."""

import math
from collections.abc import Sequence
from typing import Final, Protocol

from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from certification.site import charts
from certification.site.charts import NBSP, Axis, Plot, Table

RATIO_TICKS: Final = (0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4, 6)
ROW: Final = 26


class MapPoint(Protocol):
    """One specimen of the map; shares between 0 and 1, `doubt` in words or empty."""

    @property
    def number(self) -> str: ...
    @property
    def ratio(self) -> float: ...
    @property
    def share(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def answered(self) -> int: ...
    @property
    def doubt(self) -> str: ...


class Missed(Protocol):
    """One crew within two hours; `low` and `high` are None where no rate is shown."""

    @property
    def crew(self) -> str: ...
    @property
    def hours(self) -> str: ...
    @property
    def missed(self) -> int: ...
    @property
    def shown(self) -> int: ...
    @property
    def share(self) -> float | None: ...
    @property
    def expected_share(self) -> float: ...
    @property
    def low(self) -> float | None: ...
    @property
    def high(self) -> float | None: ...
    @property
    def more(self) -> bool: ...


def difficulty_map(
    *,
    points: Sequence[MapPoint],
    name: str,
    finding: str,
    method: str = "",
    key: str = "map",
    small: bool = False,
) -> SafeString:
    """Draw specimens by severity ÷ limit, on a log axis with the limit marked, against difficulty.

    Doubted specimens stand in the stop colour with their number; the others are told apart in the
    table behind the figure.
    """
    plot = _map_plot(points, key, small=small)
    doubted = [point for point in points if point.doubt]
    sound = [point for point in points if not point.doubt]
    parts = [
        charts.frame(plot),
        charts.limit(plot, 0.0, gettext("limit")),
        charts.label(plot.left + 4, plot.floor - 8, gettext("good parts"), css="lab halo-y"),
        charts.label(
            plot.end, plot.floor - 8, gettext("bad parts"), css="lab halo-y", anchor="end"
        ),
        _dots(plot, sound, "pt", "err"),
        _dots(plot, doubted, "doubt", "doubt-l"),
        *(_name(plot, point) for point in doubted),
    ]
    title = gettext("Difficulty of %(family)s by severity") % {"family": name}
    svg = charts.drawing(plot, title, finding, parts)
    question = gettext("%(family)s: how far from the limit is it still answered right?") % {
        "family": name
    }
    return charts.figure(svg, question, method, _map_table(points))


def _map_plot(points: Sequence[MapPoint], key: str, *, small: bool) -> Plot:
    ratios = [point.ratio for point in points]
    low, high = min([0.5, *ratios]) / 1.12, max([2.0, *ratios]) * 1.12
    ticks = [(math.log(tick), charts.plain(tick)) for tick in RATIO_TICKS if low <= tick <= high]
    return Plot(
        x=Axis(math.log(low), math.log(high), 1, gettext("severity ÷ limit"), ticks=ticks),
        y=Axis(0, 1, 0.25, gettext("answered right"), percent=True),
        key=key,
        width=460 if small else 660,
        height=300 if small else 400,
    )


def _dots(plot: Plot, points: Sequence[MapPoint], dot: str, line: str) -> SafeString:
    xs = [math.log(point.ratio) for point in points]
    intervals = charts.intervals(
        plot, xs, [point.low for point in points], [point.high for point in points], line
    )
    return intervals + charts.dots(plot, xs, [point.share for point in points], dot)


def _name(plot: Plot, point: MapPoint) -> SafeString:
    x = plot.across(math.log(point.ratio))
    right = x < plot.end - 150
    return charts.label(
        x + 9 if right else x - 9,
        plot.up(point.share) + 4,
        f"{point.number}, {point.doubt.lower()}",
        css="halo",
        anchor="start" if right else "end",
    )


def _map_table(points: Sequence[MapPoint]) -> Table:
    head = [
        gettext("specimen"),
        gettext("severity ÷ limit"),
        gettext("answered right"),
        gettext("interval (95 %)"),
        gettext("answers"),
        gettext("doubt"),
    ]
    rows = [
        [
            point.number,
            charts.plain(point.ratio),
            _percent(point.share),
            f"{round(100 * point.low)} – {_percent(point.high)}",
            point.answered,
            point.doubt,
        ]
        for point in points
    ]
    return Table(head, rows)


def missed_rows(
    *, rows: Sequence[Missed], finding: str, method: str = "", key: str = "missed"
) -> SafeString:
    """Draw a miss rate with its interval for each crew and hour, beside the rate expected there."""
    shown = [row for row in rows if row.share is not None]
    top = max([0.2, *(row.high or 0 for row in shown)])
    step = 0.1 if top <= 0.6 else 0.2
    high = step * math.ceil(round(top / step, 6))
    plot = Plot(
        x=Axis(0, high, step, gettext("bad parts missed"), percent=True),
        y=Axis(0, 1, 1),
        key=key,
        height=44 + ROW * len(shown) + 52,
        left=150,
        right=120,
        top=8,
    )
    parts = [_grid(plot)]
    previous = ""
    for place, row in enumerate(shown):
        parts.append(_missed(plot, row, plot.top + 22 + ROW * place, first=row.crew != previous))
        previous = row.crew
    svg = charts.drawing(plot, gettext("Missed by crew and hour"), finding, parts)
    question = gettext("When are bad parts missed?")
    return charts.figure(svg, question, method, _missed_table(rows))


def _grid(plot: Plot) -> SafeString:
    drawn = SafeString("")
    for value, word in plot.x.marks():
        x = plot.across(value)
        drawn += format_html(
            '<line class="grid" x1="{x}" x2="{x}" y1="{}" y2="{}"/>'
            '<text class="lab" x="{x}" y="{}" text-anchor="middle">{}</text>',
            plot.top,
            plot.floor,
            plot.floor + 20,
            word,
            x=x,
        )
    return drawn + format_html(
        '<line class="axis" x1="{}" x2="{}" y1="{y}" y2="{y}"/>'
        '<text class="lab" x="{}" y="{}" text-anchor="middle">{}</text>',
        plot.left,
        plot.end,
        (plot.left + plot.end) / 2,
        plot.height - 10,
        plot.x.label,
        y=plot.floor,
    )


def _missed(plot: Plot, row: Missed, y: float, *, first: bool) -> SafeString:
    names = charts.label(0, y + 4, row.crew, css="strong") if first else SafeString("")
    expected = plot.across(row.expected_share)
    dot, line = ("doubt", "doubt-l") if row.more else ("pt", "err")
    return names + format_html(
        '<text class="lab" x="{}" y="{ty}" text-anchor="end">{}</text>'
        '<line class="risk" x1="{e}" x2="{e}" y1="{}" y2="{}"/>'
        '<line class="{}" x1="{}" x2="{}" y1="{y}" y2="{y}"/><circle class="{}" cx="{}" cy="{y}" r="4.5"/>'
        '<text class="{}" x="{}" y="{ty}">{}</text>',
        plot.left - 14,
        row.hours,
        y - 8,
        y + 8,
        line,
        plot.across(row.low or 0),
        plot.across(row.high or 0),
        dot,
        plot.across(row.share or 0),
        "t-limit" if row.more else "lab",
        plot.end + 12,
        gettext("%(missed)d of %(shown)d") % {"missed": row.missed, "shown": row.shown},
        y=y,
        ty=y + 4,
        e=expected,
    )


def _missed_table(rows: Sequence[Missed]) -> Table:
    head = [
        gettext("crew"),
        gettext("hours"),
        gettext("missed"),
        gettext("bad parts judged"),
        gettext("interval (95 %)"),
        gettext("expected"),
    ]
    cells = [
        [
            row.crew,
            row.hours,
            row.missed,
            row.shown,
            "–" if row.low is None else f"{round(100 * row.low)} – {_percent(row.high or 0)}",
            _percent(row.expected_share),
        ]
        for row in rows
    ]
    return Table(head, cells)


def _percent(share: float) -> str:
    return f"{round(100 * share)}{NBSP}%"
