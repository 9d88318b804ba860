"""Charts described by a plain mapping, so that an app below the site can ask for one without importing it.

    {"key": "cover-115", "question": "…", "method": "…", "title": "…", "finding": "…",
     "x": {"low": 0, "high": 90, "step": 30, "label": "…", "ticks": [[0, "25 Nov"], …]},
     "y": {"low": 0, "high": 6, "step": 1, "label": "people", "percent": False},
     "layers": [{"kind": "steps", "x": […], "y": […]}, {"kind": "level", "at": 3, "word": "need 3"}],
     "table": {"head": ["day", "people"], "rows": [["25 Nov", 4], …], "word": "…"},
     "sheet": True}

`key` becomes part of ids and must be unique on the page; `sheet` sets the figure on a white sheet. Kinds of layers and what each takes:

    line    x, y, word; second (true for the dashed one in marking blue)
    steps   x, y, word
    band    x, low, high
    bars    x, y, width; base; look ("ink", "grey" or "stop")
    dots    x, y; low and high for upright intervals; words for a name beside each
    you     x, y, word; low and high for a level interval: the one person a chart is about
    limit   at, word      upright, in the stop colour
    level   at, word      level, in the stop colour
    note    x, y, word; anchor (start, middle, end)
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from django.utils.safestring import SafeString

from certification.site import charts
from certification.site.charts import Axis, Plot, Table

LOOKS: Final = {"ink": "bar", "grey": "bar-2", "stop": "bar-x"}


def chart(data: Mapping[str, Any]) -> SafeString:
    """Draw the chart a mapping describes, as a figure with its question, method and numbers.

    Raises
    ------
    KeyError
        If the mapping lacks a key or names a kind of layer there is not; the message says which.
    """
    plot = Plot(
        x=_axis(data["x"]),
        y=_axis(data["y"]),
        key=str(data["key"]),
        width=int(data.get("width", 660)),
        height=int(data.get("height", 360)),
        left=int(data.get("left", 64)),
    )
    parts = [charts.frame(plot), *(_layer(plot, layer) for layer in data["layers"])]
    svg = charts.drawing(plot, str(data["title"]), str(data["finding"]), parts)
    return charts.figure(
        svg,
        str(data["question"]),
        str(data.get("method", "")),
        table_of(data.get("table")),
        _css(data, sheet=True),
    )


def row_chart(data: Mapping[str, Any]) -> SafeString:
    """Draw one level interval a row against one upright reference, for families or people.

    The mapping has key, question, method, title, finding, table, low and high of the scale, `reference`
    (at, word, before, beyond: what lies on either side) and rows of word, note, value, low, high.
    """
    rows: Sequence[Mapping[str, Any]] = data["rows"]
    scale = Axis(float(data["low"]), float(data["high"]), 1.0)
    width = int(data.get("width", 320))
    names = int(data.get("names", 128))
    plot = Plot(
        x=scale,
        y=Axis(0, 1, 1),
        key=str(data["key"]),
        width=width,
        height=54 + 32 * len(rows),
        left=names,
        right=12,
    )
    parts = [_reference(plot, data["reference"], len(rows))]
    parts.extend(_row(plot, row, 40 + 32 * place) for place, row in enumerate(rows))
    svg = charts.drawing(plot, str(data["title"]), str(data["finding"]), parts)
    return charts.figure(
        svg,
        str(data["question"]),
        str(data.get("method", "")),
        table_of(data.get("table")),
        _css(data, sheet=False),
    )


def table_of(data: Mapping[str, Any] | None) -> Table | None:
    """Make the table of a mapping with head, rows and word; None stays None."""
    if data is None:
        return None
    return Table(list(data["head"]), [list(row) for row in data["rows"]], str(data.get("word", "")))


def _css(data: Mapping[str, Any], *, sheet: bool) -> str:
    return "fig sheet" if data.get("sheet", sheet) else "fig"


def _axis(data: Mapping[str, Any]) -> Axis:
    return Axis(
        low=float(data["low"]),
        high=float(data["high"]),
        step=float(data.get("step", 1)),
        label=str(data.get("label", "")),
        percent=bool(data.get("percent", False)),
        ticks=[(float(value), str(word)) for value, word in data.get("ticks", ())],
    )


def _layer(plot: Plot, layer: Mapping[str, Any]) -> str:
    kind = str(layer["kind"])
    if kind not in KINDS:
        raise KeyError(f"A chart has no layer called {kind!r}; there are {', '.join(KINDS)}.")
    return KINDS[kind](plot, layer)


def _line(plot: Plot, layer: Mapping[str, Any]) -> str:
    css = "curve-2" if layer.get("second") else "curve"
    return charts.line(plot, layer["x"], layer["y"], css) + _end_word(
        plot, layer, second=css == "curve-2"
    )


def _steps(plot: Plot, layer: Mapping[str, Any]) -> str:
    return charts.steps(plot, layer["x"], layer["y"]) + _end_word(plot, layer, second=False)


def _end_word(plot: Plot, layer: Mapping[str, Any], *, second: bool) -> str:
    word = str(layer.get("word", ""))
    if not word:
        return ""
    x, y = plot.across(layer["x"][-1]), plot.up(layer["y"][-1])
    css = "t-you halo-y" if second else "strong halo-y"
    return charts.label(min(x, plot.end), y - 8, word, css=css, anchor="end")


def _band(plot: Plot, layer: Mapping[str, Any]) -> str:
    return charts.band(plot, layer["x"], layer["low"], layer["high"])


def _bars(plot: Plot, layer: Mapping[str, Any]) -> str:
    css = LOOKS[str(layer.get("look", "ink"))]
    base = float(layer.get("base", 0))
    return charts.bars(
        plot, layer["x"], layer["y"], width=float(layer["width"]), css=css, base=base
    )


def _dots(plot: Plot, layer: Mapping[str, Any]) -> str:
    drawn = ""
    if "low" in layer:
        drawn = charts.intervals(plot, layer["x"], layer["low"], layer["high"])
    drawn += charts.dots(plot, layer["x"], layer["y"])
    for x, y, word in zip(layer["x"], layer["y"], layer.get("words", ()), strict=False):
        drawn += charts.label(plot.across(x) + 9, plot.up(y) - 7, str(word), css="halo-y")
    return drawn


def _you(plot: Plot, layer: Mapping[str, Any]) -> str:
    x, y = float(layer["x"]), float(layer["y"])
    drawn = charts.dots(plot, [x], [y], css="you", radius=7)
    beside = plot.across(x) + 12
    if "low" in layer:
        drawn = charts.interval_across(plot, y, layer["low"], layer["high"]) + drawn
        beside = plot.across(layer["high"]) + 10
    return drawn + charts.label(
        beside, plot.up(y) + 5, str(layer.get("word", "")), css="t-you halo-y"
    )


def _limit(plot: Plot, layer: Mapping[str, Any]) -> str:
    return charts.limit(plot, float(layer["at"]), str(layer["word"]))


def _level(plot: Plot, layer: Mapping[str, Any]) -> str:
    return charts.level(plot, float(layer["at"]), str(layer["word"]))


def _note(plot: Plot, layer: Mapping[str, Any]) -> str:
    anchor = str(layer.get("anchor", "start"))
    x, y = plot.across(layer["x"]), plot.up(layer["y"])
    return charts.label(x, y, str(layer["word"]), css="strong halo-y", anchor=anchor)


KINDS: Final[Mapping[str, Callable[[Plot, Mapping[str, Any]], str]]] = {
    "line": _line,
    "steps": _steps,
    "band": _band,
    "bars": _bars,
    "dots": _dots,
    "you": _you,
    "limit": _limit,
    "level": _level,
    "note": _note,
}


def _reference(plot: Plot, data: Mapping[str, Any], rows: int) -> str:
    x = plot.across(float(data["at"]))
    foot = 24 + 32 * rows
    line = charts.leader([(x, 20), (x, foot)])
    return (
        line
        + charts.label(x, 12, str(data["word"]), css="strong", anchor="middle")
        + charts.label(x - 10, foot + 18, str(data.get("before", "")), css="lab", anchor="end")
        + charts.label(x + 10, foot + 18, str(data.get("beyond", "")), css="lab")
    )


def _row(plot: Plot, row: Mapping[str, Any], y: float) -> str:
    low, value, high = (plot.across(float(row[name])) for name in ("low", "value", "high"))
    drawn = charts.label(0, y + 5, str(row["word"]))
    drawn += charts.label(plot.left - 16, y + 5, str(row.get("note", "")), css="lab", anchor="end")
    return SafeString(
        f'{drawn}<line class="you-l" x1="{low}" x2="{high}" y1="{y}" y2="{y}"/>'
        f'<circle class="you" cx="{value}" cy="{y}" r="6"/>'
    )
