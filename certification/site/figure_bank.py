"""The bank figure of an exam plan: how many bad specimens each family holds, and what they carry."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from certification.site import charts
from certification.site.charts import Table
from certification.site.shapes import sign_of

WIDTH, TOP, ROW, NAME, RIGHT = 660, 58, 30, 128, 414
NOW, ALL, SHAPE, WORD = 474, 524, 546, 574
# Beyond this a family has plenty; the scale stops growing with it.
ENOUGH: Final = 3


def bank_chart(data: Mapping[str, Any]) -> SafeString:
    """Draw, family by family, what is fresh today and what comes free within the window.

    `question`, `method`, `rungs`: list of `at` and `word`, upright lines at thresholds; `rows`: list
    of `name`, `fresh`, `total`, `status` (key of a sign) and `word` (the rung). Thick is fresh, thin
    runs on to the tick at all; a family without an exam is drawn in the stop colour.
    """
    rows: Sequence[Mapping[str, Any]] = data["rows"]
    rungs: Sequence[Mapping[str, Any]] = data["rungs"]
    widest = max([1, *(int(row["total"]) for row in rows)])
    last = max([8, *(int(rung["at"]) for rung in rungs)])
    top = min(max(widest, last), ENOUGH * last)
    foot = TOP + ROW * len(rows)

    def across(count: int) -> float:
        return round(NAME + (RIGHT - NAME) * min(count, top) / top, 1)

    parts = [
        _rungs(rungs, across, foot),
        format_html(
            '<line class="axis" x1="{}" x2="{}" y1="{}" y2="{}"/>'
            '<text class="lab" x="{}" y="{}" text-anchor="middle">{}</text>',
            NAME,
            RIGHT,
            foot,
            foot,
            (NAME + RIGHT) / 2,
            foot + 20,
            gettext("bad specimens"),
        ),
        _heads(),
        *(_row(row, TOP + ROW * place + ROW // 2, across) for place, row in enumerate(rows)),
    ]
    finding = "; ".join(
        gettext("%(name)s %(fresh)s now, %(total)s in all: %(word)s") % row for row in rows
    )
    svg = format_html(
        '<svg class="chart" viewBox="0 0 {} {}" role="img" aria-label="{}">{}</svg>',
        WIDTH,
        foot + 28,
        finding,
        format_html_join("", "{}", ((part,) for part in parts)),
    )
    table = Table(
        [gettext("family"), gettext("now"), gettext("in all"), gettext("carries")],
        [[row["name"], row["fresh"], row["total"], row["word"]] for row in rows],
        gettext("The numbers behind the figure"),
    )
    return charts.figure(svg, str(data["question"]), str(data["method"]), table)


def _heads() -> SafeString:
    heads = [
        (0, "start", gettext("family")),
        (NOW, "end", gettext("now")),
        (ALL, "end", gettext("in all")),
        (SHAPE, "start", gettext("carries")),
    ]
    return format_html_join(
        "",
        '<text class="lab" x="{}" y="44" text-anchor="{}">{}</text>',
        heads,
    )


def _rungs(rungs: Sequence[Mapping[str, Any]], across: Any, foot: int) -> SafeString:
    lines = format_html_join(
        "",
        '<line class="rung" x1="{0}" x2="{0}" y1="50" y2="{1}"/>'
        '<text class="lab" x="{0}" y="44" text-anchor="middle">{2}</text>',
        ((across(int(rung["at"])), foot, rung["at"]) for rung in rungs),
    )
    named = [rung for rung in rungs if rung["word"]]
    # One under the other from the top, so that long words never meet.
    words = format_html_join(
        "",
        '<text class="lab" x="{}" y="{}" text-anchor="{}">{}</text>',
        (
            (
                across(int(rung["at"])) if place == 0 else RIGHT,
                12 + 14 * place,
                "start" if place == 0 else "end",
                rung["word"],
            )
            for place, rung in enumerate(named)
        ),
    )
    return lines + words


def _row(row: Mapping[str, Any], y: int, across: Any) -> SafeString:
    fresh, total = int(row["fresh"]), int(row["total"])
    sign = sign_of(row["status"])
    stopped = sign.tone == "stop"
    line = format_html(
        '<line class="axis" x1="{0}" x2="{1}" y1="{2}" y2="{2}"/>'
        '<line class="{3}" x1="{0}" x2="{4}" y1="{2}" y2="{2}"/>'
        '<line class="tick" x1="{1}" x2="{1}" y1="{5}" y2="{6}"/>',
        NAME,
        across(total),
        y,
        "bank-x" if stopped else "bank",
        across(fresh),
        y - 6,
        y + 6,
    )
    words = format_html(
        '<text class="strong" x="0" y="{0}">{1}</text>'
        '<text x="{2}" y="{0}" text-anchor="end">{3}</text>'
        '<text x="{4}" y="{0}" text-anchor="end">{5}</text>'
        '<use href="#{6}" x="{7}" y="{8}" width="21" height="14" class="{9}"/>'
        '<text class="strong" x="{10}" y="{0}">{11}</text>',
        y + 5,
        row["name"],
        NOW,
        fresh,
        ALL,
        total,
        sign.shape,
        SHAPE,
        y - 7,
        "g-stop" if stopped else "g-ink",
        WORD,
        row["word"],
    )
    return line + words
