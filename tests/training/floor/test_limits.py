"""Limit lines: what can stand, what is refused and with which words."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.floor.limits import (
    WHOLE_PART,
    ZONES,
    CompareTo,
    Feature,
    JudgedBy,
    Level,
    LimitError,
    Line,
    Measure,
    Unit,
    line_data,
    parse_line,
)

WELD = {"family": "weld-line", "zone": "A", "measure": "at_most", "value": 6, "unit": "mm"}
WELD |= {"judged_by": "eye", "level": "ordinary"}


def test_a_line_and_back() -> None:
    data = WELD | {
        "count": 1,
        "sample": "01-WL",
        "feature": {"en": "behind the display window", "es": "detrás de la ventana"},
    }
    line = parse_line(data)
    assert (line.measure, line.value, line.unit, line.count) == (Measure.AT_MOST, 6, Unit.MM, 1)
    assert line_data(line) == data


def test_the_family_may_come_from_outside() -> None:
    data = {key: value for key, value in WELD.items() if key != "family"}
    assert parse_line(data, "weld-line").family == "weld-line"
    assert parse_line(data).family == ""


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"unit": None}, "unit", "needs a unit"),
        ({"value": None}, "value", "needs a value"),
        ({"remark": "see drawing"}, "remark", "not a field of a limit"),
        ({"zone": "D"}, "zone", "no zone"),
        ({"zone": None}, "zone", "missing"),
        ({"measure": None}, "measure", "missing"),
        ({"measure": "about"}, "measure", "Give one of at_most"),
        ({"judged_by": None}, "judged_by", "missing"),
        ({"judged_by": "feel"}, "judged_by", "Give one of eye"),
        ({"level": "high"}, "level", "Give one of ordinary, critical"),
        ({"unit": "inch"}, "unit", "not known"),
        ({"value": "6 mm"}, "value", "not a number"),
        ({"value": True}, "value", "not a number"),
        ({"value": float("nan")}, "value", "not a number"),
        ({"value": float("inf")}, "value", "not a number"),
        ({"value": 0}, "value", 'the kind "none"'),
        ({"value": -1}, "value", "not above 0"),
        ({"count": 0}, "count", "Give 1 or more"),
        ({"count": 1.5}, "count", "whole number"),
        ({"distance_mm": 600}, "time_s", "belong together"),
        ({"distance_mm": 0, "time_s": 8}, "distance_mm", "not above 0"),
        ({"value2": 7}, "value2", "no use for it"),
        ({"measure": "between"}, "value2", "needs an upper value"),
        ({"measure": "between", "value2": 5}, "value2", "lies below"),
        ({"measure": "none", "value": None}, "value", "belong together"),
        ({"measure": "gauge", "value": None, "unit": None}, "gauge", "needs the gauge's number"),
        ({"measure": "sample", "value": None, "unit": None}, "sample", "sample's number"),
        ({"measure": "any"}, "unit", "no use for it"),
        ({"measure": "count_at_most"}, "count", "needs a number of marks"),
        ({"feature": "behind the window"}, "feature", "English and Spanish"),
        ({"feature": {"en": "behind the window"}}, "feature", "English and Spanish"),
        ({"feature": {"en": "behind the window", "es": " "}}, "feature", "'es' is empty"),
        ({"gauge": 5}, "gauge", "not a text"),
        ({"compare_to": "twin"}, "compare_to", "master"),
    ],
)
def test_what_cannot_stand_is_refused(change: dict[str, Any], field: str, words: str) -> None:
    data = {key: value for key, value in (WELD | change).items() if value is not None}
    with pytest.raises(LimitError) as caught:
        parse_line(data)
    assert caught.value.field == field
    assert words in str(caught.value)
    assert caught.value.remedy


def test_a_whole_part_line_covers_every_zone() -> None:
    line = Line(WHOLE_PART, Measure.NONE, JudgedBy.EYE, family="crack")
    assert all(line.covers("crack", zone) for zone in ZONES)
    assert not line.covers("flash", "A")
    own = Line("A", Measure.NONE, JudgedBy.EYE, family="crack")
    assert [zone for zone in ZONES if own.covers("crack", zone)] == ["A", WHOLE_PART]


numbers = st.floats(0.01, 500).map(lambda number: round(number, 3))
counts = st.none() | st.integers(1, 9)
common = {
    "zone": st.sampled_from(ZONES),
    "judged_by": st.sampled_from(JudgedBy),
    "level": st.sampled_from(Level),
    "family": st.sampled_from(("flash", "sink")),
    "feature": st.none() | st.just(Feature("height", "altura")),
}
lines = st.one_of(
    st.builds(
        Line,
        measure=st.just(Measure.AT_MOST),
        value=numbers,
        unit=st.sampled_from(Unit),
        count=counts,
        sample=st.sampled_from(("", "01-WL")),
        gauge=st.sampled_from(("", "SG-01")),
        compare_to=st.none() | st.sampled_from(CompareTo),
        **common,
    ),
    st.builds(
        Line,
        measure=st.just(Measure.COUNT_AT_MOST),
        value=numbers,
        unit=st.just(Unit.MM),
        count=st.integers(1, 9),
        per_area_cm2=st.none() | numbers,
        spacing_mm=st.none() | numbers,
        **common,
    ),
    st.builds(
        Line,
        measure=st.just(Measure.NOT_VISIBLE_AT),
        distance_mm=numbers,
        time_s=numbers,
        **common,
    ),
    st.builds(
        Line,
        measure=st.just(Measure.BETWEEN),
        value=numbers.map(lambda number: -number),
        value2=numbers,
        unit=st.just(Unit.MM),
        **common,
    ),
    st.builds(Line, measure=st.sampled_from((Measure.NONE, Measure.ANY)), **common),
)


@given(lines)
def test_every_line_survives_its_json(line: Line) -> None:
    assert parse_line(json.loads(json.dumps(line_data(line)))) == line
