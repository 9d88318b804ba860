"""The parts of a draw on the axis severity ÷ limit: one line a family, one mark a part.

    {"key": "draw", "title": "…", "finding": "…", "bounds": [0.5, 0.8, …],
     "rows": [{"name": "Burn mark", "ticks": [{"ratio": 1.4, "own": True, "seen": False}, …]}]}

A part without a ratio stands left of the axis: clean, or simply there.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from certification.site.charts import plain

WIDTH, LEFT, AXIS, RIGHT = 860, 150, 250, 20
ROW: Final = 44
LOW, HIGH = 0.4, 5.0
MARK: Final = 6
NONE_AT: Final = 180
STACK: Final = 9


def draw_figure(data: Mapping[str, Any]) -> SafeString:
    """Draw the parts of a draw, with what the marks mean below."""
    rows: Sequence[Mapping[str, Any]] = data["rows"]
    floor = ROW * len(rows) + 20
    parts = [_bounds(data["bounds"], floor)]
    parts += [_row(row, ROW * place + 34) for place, row in enumerate(rows)]
    svg = format_html(
        '<svg class="chart chart-w" viewBox="0 0 {} {}" role="img" aria-labelledby="{key}-t {key}-d">'
        '<title id="{key}-t">{}</title><desc id="{key}-d">{}</desc>{}</svg>',
        WIDTH,
        floor + 44,
        data["title"],
        data["finding"],
        SafeString("".join(parts)),
        key=data["key"],
    )
    return format_html(
        '<figure class="fig sheet"><figcaption>{}<span>{}</span></figcaption>{}</figure>',
        gettext("How hard are the parts drawn?"),
        gettext(
            "One mark a part: full from the person's own jobs, open from others; barred, met "
            "before. Upright lines are the bounds of the blueprint."
        ),
        svg,
    )


def _across(ratio: float) -> float:
    held = min(max(ratio, LOW), HIGH)
    share = math.log(held / LOW) / math.log(HIGH / LOW)
    return round(AXIS + share * (WIDTH - RIGHT - AXIS), 1)


def _bounds(bounds: Sequence[float], floor: int) -> SafeString:
    lines = format_html_join(
        "",
        '<line class="{0}" x1="{1}" x2="{1}" y1="10" y2="{2}"/>',
        (("dr-limit" if at == 1 else "dr-bound", _across(at), floor) for at in (*bounds, 1)),
    )
    # Words of neighbours that would run into each other are left out.
    words: list[tuple[float, str]] = []
    for at in sorted({*bounds, 1.0}):
        if at == 1 or not words or _across(at) - words[-1][0] >= 34:
            if at == 1 and words and _across(at) - words[-1][0] < 34:
                words.pop()
            words.append((_across(at), plain(at)))
    axis = format_html(
        '<line class="axis" x1="{}" x2="{}" y1="{}" y2="{}"/><text class="lab" x="{}" y="{}" '
        'text-anchor="middle">{}</text><text class="lab" x="{}" y="{}" text-anchor="middle">{}</text>',
        AXIS,
        WIDTH - RIGHT,
        floor,
        floor,
        NONE_AT,
        floor + 18,
        gettext("no ratio"),
        (AXIS + WIDTH - RIGHT) / 2,
        floor + 38,
        gettext("severity ÷ limit"),
    )
    ticks = format_html_join(
        "",
        '<text class="lab" x="{}" y="{}" text-anchor="middle">{}</text>',
        ((x, floor + 18, word) for x, word in words),
    )
    return lines + axis + ticks


def _row(row: Mapping[str, Any], y: int) -> SafeString:
    marks, taken = [], dict[int, int]()
    for tick in row["ticks"]:
        x = NONE_AT if tick["ratio"] is None else _across(float(tick["ratio"]))
        place = round(x / MARK / 2)
        above = taken.get(place, 0)
        taken[place] = above + 1
        marks.append(_mark(x, y, above, tick))
    return format_html(
        '<line class="grid" x1="{}" x2="{}" y1="{}" y2="{}"/><text class="strong" x="0" y="{}">{}</text>{}',
        LEFT,
        WIDTH - RIGHT,
        y,
        y,
        y + 4,
        row["name"],
        SafeString("".join(marks)),
    )


def _mark(x: float, y: int, above: int, tick: Mapping[str, Any]) -> SafeString:
    """Draw one part; those at the same place stand side by side in columns of four."""
    x, y = x + STACK * (above // 4), y + 10 - STACK * (above % 4)
    mark = format_html(
        '<rect class="{}" x="{}" y="{}" width="{}" height="{}"/>',
        "dr-own" if tick["own"] else "dr-other",
        round(x - MARK / 2, 1),
        y - MARK / 2,
        MARK,
        MARK,
    )
    if not tick["seen"]:
        return mark
    return mark + format_html(
        '<line class="dr-seen" x1="{}" x2="{}" y1="{}" y2="{}"/>',
        round(x - MARK, 1),
        round(x + MARK, 1),
        y + MARK,
        y - MARK,
    )
