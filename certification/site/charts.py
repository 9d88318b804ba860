"""Primitives of hand-made SVG charts: axes, lines, bands, bars, dots, intervals, labels, a table of the numbers.

Every primitive takes a `Plot` and returns markup. Classes paint (static/css/charts.css), attributes
only place, so a chart follows light, dark and paper by itself.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

from django.utils.formats import number_format
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext

NBSP: Final = "\N{NO-BREAK SPACE}"
TICK: Final = 5


@dataclass(frozen=True, slots=True)
class Axis:
    """A straight scale from `low` to `high` with a number every `step`.

    `percent` writes 0.2 as 20 %. `ticks` (value, word) replaces the numbers, for days or names.
    """

    low: float
    high: float
    step: float
    label: str = ""
    percent: bool = False
    ticks: Sequence[tuple[float, str]] = ()

    def marks(self) -> list[tuple[float, str]]:
        """Return the values to mark, each with what is written there."""
        if self.ticks:
            return list(self.ticks)
        steps = round((self.high - self.low) / self.step)
        values = [self.low + self.step * place for place in range(steps + 1)]
        return [(value, self.write(value)) for value in values]

    def write(self, value: float) -> str:
        """Write one value the way the axis does."""
        if self.percent:
            return f"{plain(value * 100)}{NBSP}%"
        return plain(value)


@dataclass(frozen=True, slots=True)
class Plot:
    """The drawing area: pixel size, the room around the axes, and the two scales."""

    x: Axis
    y: Axis
    key: str
    width: int = 660
    height: int = 420
    left: int = 64
    right: int = 20
    top: int = 34
    bottom: int = 56

    def across(self, value: float) -> float:
        """Return the pixel of a value on the bottom axis; values beyond its ends stay at the ends."""
        return _place(value, self.x, self.left, self.width - self.right)

    def up(self, value: float) -> float:
        """Return the pixel of a value on the upright axis; values beyond its ends stay at the ends."""
        return _place(value, self.y, self.height - self.bottom, self.top)

    @property
    def floor(self) -> int:
        """The pixel of the bottom axis."""
        return self.height - self.bottom

    @property
    def end(self) -> int:
        """The pixel of the right end of the bottom axis."""
        return self.width - self.right


@dataclass(frozen=True, slots=True)
class Table:
    """The numbers behind a chart: one head row, then rows whose first cell names the row."""

    head: Sequence[str]
    rows: Sequence[Sequence[object]] = field(default_factory=list)
    word: str = ""


def plain(value: float, most: int = 2) -> str:
    """Write a number in the reader's language with as many decimals as it needs, at most `most`."""
    decimals = next(
        (places for places in range(most) if abs(round(value, places) - value) < 1e-9), most
    )
    return number_format(round(value, decimals), decimals)


def frame(plot: Plot) -> SafeString:
    """Draw the bottom axis in ink, horizontal grid lines, numbers and both labels."""
    grid = format_html_join(
        "",
        '<line class="grid" x1="{}" x2="{}" y1="{}" y2="{}"/><text class="lab" x="{}" y="{}" text-anchor="end">{}</text>',
        (
            (plot.left, plot.end, y, y, plot.left - 10, round(y + 4, 1), word)
            for y, word in ((plot.up(value), word) for value, word in plot.y.marks())
        ),
    )
    ticks = format_html_join(
        "",
        '<line class="tick" x1="{}" x2="{}" y1="{}" y2="{}"/><text class="lab" x="{}" y="{}" text-anchor="middle">{}</text>',
        (
            (x, x, plot.floor, plot.floor + TICK, x, plot.floor + 20, word)
            for x, word in ((plot.across(value), word) for value, word in plot.x.marks())
        ),
    )
    axis = format_html(
        '<line class="axis" x1="{}" x2="{}" y1="{}" y2="{}"/>',
        plot.left,
        plot.end,
        plot.floor,
        plot.floor,
    )
    labels = format_html(
        '<text class="lab" x="{}" y="{}" text-anchor="middle">{}</text><text class="lab" x="0" y="14">{}</text>',
        (plot.left + plot.end) / 2,
        plot.height - 10,
        plot.x.label,
        plot.y.label,
    )
    return grid + ticks + axis + labels


def line(plot: Plot, xs: Iterable[float], ys: Iterable[float], css: str = "curve") -> SafeString:
    """Draw a curve through points."""
    return format_html('<polyline class="{}" points="{}"/>', css, _points(plot, xs, ys))


def steps(plot: Plot, xs: Sequence[float], ys: Sequence[float], css: str = "curve") -> SafeString:
    """Draw a curve that keeps its value until the next one, as counts over days do."""
    across = [each for x in xs for each in (x, x)][1:]
    up = [each for y in ys for each in (y, y)][:-1]
    return line(plot, across, up, css)


def band(
    plot: Plot,
    xs: Sequence[float],
    lows: Sequence[float],
    highs: Sequence[float],
    css: str = "band",
) -> SafeString:
    """Fill between two curves."""
    outline = [*zip(xs, highs, strict=True), *reversed(list(zip(xs, lows, strict=True)))]
    points = _points(plot, (x for x, _y in outline), (y for _x, y in outline))
    return format_html('<polygon class="{}" points="{}"/>', css, points)


def hatched(
    plot: Plot, xs: Sequence[float], lows: Sequence[float], highs: Sequence[float]
) -> SafeString:
    """Hatch between two curves: for errors, so that they survive print."""
    outline = [*zip(xs, highs, strict=True), *reversed(list(zip(xs, lows, strict=True)))]
    points = _points(plot, (x for x, _y in outline), (y for _x, y in outline))
    return format_html('<polygon fill="url(#{}-hatch)" points="{}"/>', plot.key, points)


def bars(
    plot: Plot,
    xs: Sequence[float],
    ys: Sequence[float],
    *,
    width: float,
    css: str = "bar",
    base: float = 0.0,
) -> SafeString:
    """Stand bars on `base`, `width` wide in the units of the bottom axis."""
    foot = plot.up(base)
    return format_html_join(
        "",
        '<rect class="{}" x="{}" y="{}" width="{}" height="{}"/>',
        (
            (
                css,
                plot.across(x - width / 2),
                min(plot.up(y), foot),
                round(plot.across(x + width / 2) - plot.across(x - width / 2), 1),
                round(abs(foot - plot.up(y)), 1),
            )
            for x, y in zip(xs, ys, strict=True)
        ),
    )


def dots(
    plot: Plot, xs: Iterable[float], ys: Iterable[float], css: str = "pt", radius: float = 4.5
) -> SafeString:
    """Set a dot on every point."""
    return format_html_join(
        "",
        '<circle class="{}" cx="{}" cy="{}" r="{}"/>',
        ((css, plot.across(x), plot.up(y), radius) for x, y in zip(xs, ys, strict=True)),
    )


def intervals(
    plot: Plot, xs: Iterable[float], lows: Iterable[float], highs: Iterable[float], css: str = "err"
) -> SafeString:
    """Draw upright intervals."""
    return format_html_join(
        "",
        '<line class="{0}" x1="{1}" x2="{1}" y1="{2}" y2="{3}"/>',
        (
            (css, plot.across(x), plot.up(low), plot.up(high))
            for x, low, high in zip(xs, lows, highs, strict=True)
        ),
    )


def interval_across(
    plot: Plot, y: float, low: float, high: float, css: str = "you-l"
) -> SafeString:
    """Draw one level interval."""
    up = plot.up(y)
    return format_html(
        '<line class="{}" x1="{}" x2="{}" y1="{}" y2="{}"/>',
        css,
        plot.across(low),
        plot.across(high),
        up,
        up,
    )


def limit(plot: Plot, at: float, word: str) -> SafeString:
    """Draw an upright limit in the stop colour, named on the line at its top."""
    x = plot.across(at)
    fits_left = x - plot.left > 7.5 * len(word)
    place, anchor = (x - 7, "end") if fits_left else (x + 7, "start")
    text = label(place, plot.top + 12, word, css="halo", anchor=anchor)
    return (
        format_html(
            '<line class="limit" x1="{}" x2="{}" y1="{}" y2="{}"/>', x, x, plot.top, plot.floor
        )
        + text
    )


def level(plot: Plot, at: float, word: str) -> SafeString:
    """Draw a level limit in the stop colour, named on the line at its right end."""
    y = plot.up(at)
    text = label(plot.end, y - 6, word, css="halo", anchor="end")
    return (
        format_html(
            '<line class="limit" x1="{}" x2="{}" y1="{}" y2="{}"/>', plot.left, plot.end, y, y
        )
        + text
    )


def label(x: float, y: float, words: str, css: str = "", anchor: str = "start") -> SafeString:
    """Write words at a pixel; several lines are parted by a line feed and grow downwards."""
    return format_html_join(
        "",
        '<text class="{}" x="{}" y="{}" text-anchor="{}">{}</text>',
        (
            (css, round(x, 1), round(y + 16 * place, 1), anchor, row)
            for place, row in enumerate(words.split("\n"))
        ),
    )


def leader(points: Iterable[tuple[float, float]]) -> SafeString:
    """Draw a thin line of pixels from a label to the thing it names."""
    return format_html(
        '<polyline class="risk" points="{}"/>', " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    )


def drawing(
    plot: Plot, title: str, finding: str, parts: Iterable[str], *, role: str = "img"
) -> SafeString:
    """Put the parts into one SVG with its title and its finding in numbers.

    A drawing that holds links is a `group`: an `img` hides them from those who do not see it.
    """
    return format_html(
        '<svg class="chart{}" viewBox="0 0 {} {}" role="{role}" aria-labelledby="{key}-t {key}-d">'
        '<title id="{key}-t">{}</title><desc id="{key}-d">{}</desc>'
        '<defs><pattern id="{key}-hatch" width="7" height="7" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><line class="hatch" x1="0" x2="0" y1="0" y2="7"/></pattern></defs>{}</svg>',
        " chart-w" if plot.width > 480 else "",
        plot.width,
        plot.height,
        title,
        finding,
        SafeString("".join(parts)),
        key=plot.key,
        role=role,
    )


def figure(
    svg: SafeString,
    question: str,
    method: str = "",
    table: Table | None = None,
    css: str = "fig sheet",
) -> SafeString:
    """Set a drawing under its question and method, with the numbers behind it to unfold."""
    return format_html(
        '<figure class="{}"><figcaption>{}{}</figcaption>{}{}</figure>',
        css,
        question,
        format_html("<span>{}</span>", method) if method else "",
        svg,
        numbers(table) if table is not None else "",
    )


def numbers(table: Table) -> SafeString:
    """Write the numbers behind a chart as a table that unfolds."""
    head = format_html_join(
        "",
        '<th scope="col"{}>{}</th>',
        (
            (SafeString(' class="num"') if place else "", word)
            for place, word in enumerate(table.head)
        ),
    )
    rows = format_html_join(
        "",
        '<tr><th scope="row">{}</th>{}</tr>',
        (
            (
                cells[0],
                format_html_join("", '<td class="num">{}</td>', ((cell,) for cell in cells[1:])),
            )
            for cells in table.rows
        ),
    )
    return format_html(
        '<details class="data"><summary>{}</summary><table class="tbl"><thead><tr>{}</tr></thead>'
        "<tbody>{}</tbody></table></details>",
        table.word or gettext("The numbers behind the chart"),
        head,
        rows,
    )


def _place(value: float, axis: Axis, low_pixel: float, high_pixel: float) -> float:
    inside = min(max(float(value), axis.low), axis.high)
    share = (inside - axis.low) / (axis.high - axis.low)
    return round(low_pixel + share * (high_pixel - low_pixel), 1)


def _points(plot: Plot, xs: Iterable[float], ys: Iterable[float]) -> str:
    return " ".join(f"{plot.across(x)},{plot.up(y)}" for x, y in zip(xs, ys, strict=True))
