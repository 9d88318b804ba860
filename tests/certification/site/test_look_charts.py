"""Charts keep their scale, say themselves in words, and are painted by classes alone."""

import re
from dataclasses import dataclass
from typing import Any

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from certification.site import charts, figures, gallery, plots
from certification.site.charts import Axis, Plot

PLOT = Plot(x=Axis(0, 16, 2, "mm"), y=Axis(0, 1, 0.25, "rejected", percent=True), key="t")


@dataclass(frozen=True)
class Curve:
    name: str
    x: list[float]
    y: list[float]


def test_axis_ends_lie_on_the_frame() -> None:
    assert PLOT.across(0) == PLOT.left
    assert PLOT.across(16) == PLOT.end
    assert PLOT.up(0) == PLOT.floor
    assert PLOT.up(1) == PLOT.top


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_places_keep_the_order_of_values(one: float, other: float) -> None:
    low, high = sorted((one, other))

    assert PLOT.left <= PLOT.across(low) <= PLOT.across(high) <= PLOT.end
    assert PLOT.floor >= PLOT.up(low) >= PLOT.up(high) >= PLOT.top


def test_a_percent_axis_writes_hundredths() -> None:
    assert [word for _value, word in PLOT.y.marks()] == [
        f"{each}\N{NO-BREAK SPACE}%" for each in ("0", "25", "50", "75", "100")
    ]


def test_ticks_replace_numbers() -> None:
    axis = Axis(0, 90, 30, ticks=[(0, "25 Nov"), (90, "23 Feb")])

    assert axis.marks() == [(0, "25 Nov"), (90, "23 Feb")]


@pytest.mark.parametrize(
    ("value", "written"), [(6, "6"), (0.25, "0.25"), (7.10, "7.1"), (1 / 3, "0.33")]
)
def test_plain_numbers(value: float, written: str) -> None:
    assert charts.plain(value) == written


def test_steps_hold_their_value_until_the_next() -> None:
    drawn = charts.steps(PLOT, [0, 8, 16], [1, 0, 1])

    assert drawn == charts.line(PLOT, [0, 8, 8, 16, 16], [1, 1, 0, 0, 1])


def test_bars_stand_on_their_base() -> None:
    drawn = charts.bars(PLOT, [8], [0.5], width=2)

    assert f'y="{PLOT.up(0.5)}"' in drawn
    assert f'height="{PLOT.floor - PLOT.up(0.5):.1f}"' in drawn


def test_words_are_escaped() -> None:
    assert "&lt;script&gt;" in charts.label(0, 0, "<script>")


def test_operating_characteristic_passes_through_its_exact_values() -> None:
    """40 bad parts, at most 4 missed: 20 % passes in 7.6 of 100 (scipy.stats.binom.cdf)."""
    rates = [place / 100 for place in range(61)]
    curve = Curve("the group", rates, [float(binom.cdf(4, 40, rate)) for rate in rates])
    markup = figures.oc_chart(curves=[curve], finding="20 % passes in 8 of 100")
    plot = Plot(x=Axis(0, 0.6, 0.1), y=Axis(0, 1, 0.2), key="oc")

    assert f"{plot.across(0.2)},{plot.up(float(binom.cdf(4, 40, 0.2)))}" in markup
    assert '<desc id="oc-d">20 % passes in 8 of 100</desc>' in markup
    assert '<td class="num">7.6\N{NO-BREAK SPACE}%</td>' in markup


def test_the_result_of_a_person_lies_on_the_curve() -> None:
    rates = [place / 100 for place in range(61)]
    curve = Curve("the group", rates, [1 - rate for rate in rates])
    result = type("Result", (), {"share": 0.2, "low": 0.1, "high": 0.4})()
    markup = figures.oc_chart(curves=[curve], result=result, finding="…")
    plot = Plot(x=Axis(0, 0.6, 0.1), y=Axis(0, 1, 0.2), key="oc")

    assert f'<circle class="you" cx="{plot.across(0.2)}" cy="{plot.up(0.8)}"' in markup


def test_psychometric_chart_names_limit_and_own_limit() -> None:
    context = gallery.sample_context()
    markup = figures.psychometric_chart(
        curve=context["band"],
        points=context["points"],
        limit=6,
        own=context["own"],
        finding="half at 7.1 mm",
    )

    assert "job limit 6 mm" in markup
    assert "own limit 7.1 mm (5.9 to 8.6)" in markup
    assert markup.count('class="pt"') == len(context["points"])
    assert markup.count('fill="url(#eye-hatch)"') == 2


def test_errors_are_hatched_from_the_limit_on() -> None:
    """Both hatched shapes meet at the limit, whatever the grid of the curve is."""
    band = gallery.SampleBand([1.0, 5.0, 9.0], [0.0, 0.4, 0.8], [0.0, 0.3, 0.7], [0.1, 0.5, 0.9])
    markup = figures.psychometric_chart(curve=band, points=[], limit=6, finding="…")
    shapes = re.findall(r'<polygon fill="url\(#eye-hatch\)" points="([^"]+)"', markup)
    plot = Plot(x=Axis(0, 9, 1), y=Axis(0, 1, 0.25), key="eye", height=430)

    for shape in shapes:
        assert f"{plot.across(6)},{plot.up(0.5)}" in shape


def test_a_chart_of_a_mapping_has_all_kinds_of_layers() -> None:
    span: dict[str, Any] = {"x": [0, 1], "y": [0, 1]}
    layers: list[dict[str, Any]] = [
        {"kind": "line", **span, "word": "solid"},
        {"kind": "line", **span, "second": True, "word": "dashed"},
        {"kind": "steps", **span},
        {"kind": "band", "x": [0, 1], "low": [0, 0], "high": [1, 1]},
        {"kind": "bars", **span, "width": 0.5, "look": "stop"},
        {"kind": "dots", **span, "low": [0, 0], "high": [1, 1], "words": ["a", "b"]},
        {"kind": "you", "x": 0.5, "y": 0.5, "low": 0.2, "high": 0.8, "word": "you"},
        {"kind": "limit", "at": 0.5, "word": "limit"},
        {"kind": "level", "at": 0.5, "word": "need"},
        {"kind": "note", "x": 0.1, "y": 0.1, "word": "note"},
    ]
    axis = {"low": 0, "high": 1, "step": 0.5}
    data = {
        "key": "k",
        "question": "?",
        "title": "t",
        "finding": "f",
        "x": axis,
        "y": axis,
        "layers": layers,
    }
    markup = Template("{% load charts %}{% chart data %}").render(Context({"data": data}))

    assert {layer["kind"] for layer in layers} == set(plots.KINDS)
    for css in ("curve", "curve-2", "band", "bar-x", "pt", "err", "you", "limit"):
        assert f'class="{css}"' in markup


def test_an_unknown_layer_is_refused_with_those_there_are() -> None:
    axis = {"low": 0, "high": 1}
    data = {
        "key": "k",
        "question": "?",
        "title": "t",
        "finding": "f",
        "x": axis,
        "y": axis,
        "layers": [{"kind": "pie"}],
    }

    with pytest.raises(KeyError, match="no layer called 'pie'; there are line, steps"):
        plots.chart(data)


def test_no_chart_paints_by_itself() -> None:
    context = gallery.sample_context()
    drawn = [
        plots.chart(context["cover"]),
        plots.row_chart(context["eyes"]),
        figures.oc_chart(curves=context["curves"], risks=context["risks"], finding="…"),
        figures.psychometric_chart(
            curve=context["band"],
            points=context["points"],
            limit=6,
            own=context["own"],
            finding="…",
        ),
    ]

    for markup in drawn:
        assert "style=" not in markup
        assert not re.search(r'(?:fill|stroke)="(?!url\(#)', markup)
        assert "<title " in markup
        assert "<desc " in markup
        assert not re.search(r"\b(?:nan|inf)\b", markup)
