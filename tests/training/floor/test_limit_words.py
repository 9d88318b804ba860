"""Limits in words, with numbers and units, English and Spanish."""

from typing import Any

import pytest

from training.floor.limit_rulings import Ruling, Source, SourceKind
from training.floor.limit_words import (
    judged_by_text,
    line_text,
    number_text,
    ruling_text,
    source_text,
)
from training.floor.limits import JudgedBy, Measure, Unit, parse_line

WINDOW = {"en": "behind the display window", "es": "detrás de la ventana"}


@pytest.mark.parametrize(
    ("data", "english", "spanish"),
    [
        (
            {
                "measure": "at_most",
                "value": 6,
                "unit": "mm",
                "count": 1,
                "sample": "01-WL",
                "feature": WINDOW,
            },
            "up to 6 mm, at most 1, sample 01-WL: behind the display window",
            "hasta 6 mm, máximo 1, muestra 01-WL: detrás de la ventana",
        ),
        (
            {"measure": "at_most", "value": 0.7, "unit": "dE", "compare_to": "other_hand"},
            "up to 0.7 ΔE*ab, against the other hand",
            "hasta 0.7 ΔE*ab, contra la otra mano",
        ),
        (
            {
                "measure": "at_most",
                "value": 10.0,
                "unit": "mm",
                "distance_mm": 600,
                "time_s": 8,
            },
            "up to 10 mm, seen at 600 mm in 8 s",
            "hasta 10 mm, a la vista a 600 mm en 8 s",
        ),
        (
            {
                "measure": "count_at_most",
                "count": 1,
                "value": 0.3,
                "unit": "mm",
                "per_area_cm2": 100,
                "gauge": "DG-01",
            },
            "at most 1 of up to 0.3 mm, in any 100 cm², gauge DG-01",
            "máximo 1 de hasta 0.3 mm, en cualquier área de 100 cm², calibre DG-01",
        ),
        (
            {"measure": "count_at_most", "count": 3, "value": 0.5, "unit": "mm", "spacing_mm": 50},
            "at most 3 of up to 0.5 mm, 50 mm or more apart",
            "máximo 3 de hasta 0.5 mm, a 50 mm o más entre sí",
        ),
        (
            {"measure": "between", "value": -0.1, "value2": 0.1, "unit": "mm"},
            "from −0.1 to 0.1 mm",
            "de −0.1 a 0.1 mm",
        ),
        (
            {"measure": "between", "value": 2, "value2": 2, "unit": "pieces"},
            "exactly 2 pieces",
            "exactamente 2 piezas",
        ),
        (
            {"measure": "between", "value": 1, "value2": 1, "unit": "pieces"},
            "exactly 1 piece",
            "exactamente 1 pieza",
        ),
        ({"measure": "none"}, "none accepted", "no se acepta"),
        (
            {"measure": "none", "value": 0.3, "unit": "mm"},
            "none accepted of 0.3 mm or more",
            "no se acepta de 0.3 mm o más",
        ),
        (
            {"measure": "not_visible_at", "distance_mm": 600, "time_s": 10},
            "not visible at 600 mm in 10 s",
            "no visible a 600 mm en 10 s",
        ),
        (
            {"measure": "gauge", "gauge": "HG-115"},
            "gauge HG-115 decides",
            "decide el calibre HG-115",
        ),
        (
            {"measure": "sample", "sample": "07-WL"},
            "not worse than sample 07-WL",
            "no peor que la muestra 07-WL",
        ),
        ({"measure": "any"}, "no limit", "sin límite"),
        (
            {"measure": "at_most", "value": 25, "unit": "percent_area"},
            "up to 25 % of the area",
            "hasta 25 % del área",
        ),
        (
            {"measure": "at_most", "value": 0.5, "unit": "mm_per_200mm"},
            "up to 0.5 mm per 200 mm",
            "hasta 0.5 mm por 200 mm",
        ),
    ],
)
def test_line_text(data: dict[str, Any], english: str, spanish: str) -> None:
    line = parse_line({"zone": "A", "judged_by": "eye", **data})
    assert line_text(line, "en") == english
    assert line_text(line, "es") == spanish


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_word_there_is(language: str) -> None:
    for unit in Unit:
        data = {"zone": "A", "measure": "at_most", "value": 1, "unit": unit, "judged_by": "eye"}
        text = line_text(parse_line(data), language)
        assert "{" not in text
        assert len(text) > len("hasta 1")
    assert len({judged_by_text(way, language) for way in JudgedBy}) == len(JudgedBy)


@pytest.mark.parametrize(
    ("source", "english", "spanish"),
    [
        (Source(SourceKind.ALERT, "A-08"), "alert A-08", "alerta A-08"),
        (Source(SourceKind.CONCESSION, "CN-02"), "concession CN-02", "concesión CN-02"),
        (
            Source(SourceKind.WORK_INSTRUCTION, "F"),
            "work instruction rev F",
            "hoja de trabajo rev F",
        ),
        (Source(SourceKind.SAMPLE, "01-WL"), "sample 01-WL", "muestra 01-WL"),
        (Source(SourceKind.GENERAL), "site general limits", "límites generales de la planta"),
    ],
)
def test_source_text(source: Source, english: str, spanish: str) -> None:
    assert source_text(source, "en") == english
    assert source_text(source, "es") == spanish


def test_a_lost_sample_is_said_instead() -> None:
    data = {"zone": "A", "measure": "sample", "sample": "05-GL", "judged_by": "eye"}
    source = Source(SourceKind.SAMPLE, "05-GL")
    lost = Ruling(parse_line(data), source, no_valid_sample=True)
    assert ruling_text(lost, "en") == "no valid sample: ask quality"
    halo = Ruling(parse_line(data | {"feature": WINDOW}), source, no_valid_sample=True)
    assert ruling_text(halo, "es") == (
        "sin muestra vigente: pregunte a calidad (detrás de la ventana)"
    )
    good = Ruling(parse_line(data), source)
    assert ruling_text(good, "en") == "not worse than sample 05-GL"


def test_a_number_keeps_ruling_without_its_sample() -> None:
    data = {"zone": "A", "measure": "at_most", "value": 6, "unit": "mm", "judged_by": "eye"}
    line = parse_line(data | {"sample": "01-WL"})
    text = ruling_text(Ruling(line, Source(SourceKind.WORK_INSTRUCTION, "F"), (), True), "en")
    assert text == "up to 6 mm, sample 01-WL (no valid sample: ask quality)"


@pytest.mark.parametrize(
    ("number", "text"), [(0.05, "0.05"), (1.0, "1"), (600, "600"), (-0.3, "−0.3"), (None, "")]
)
def test_number_text(number: float | None, text: str) -> None:
    assert number_text(number) == text


def test_every_measure_has_words() -> None:
    extra: dict[Measure, dict[str, Any]] = {
        Measure.AT_MOST: {"value": 1, "unit": "mm"},
        Measure.BETWEEN: {"value": 1, "value2": 2, "unit": "mm"},
        Measure.COUNT_AT_MOST: {"value": 1, "unit": "mm", "count": 1},
        Measure.NOT_VISIBLE_AT: {"distance_mm": 600, "time_s": 8},
        Measure.GAUGE: {"gauge": "SG-01"},
        Measure.SAMPLE: {"sample": "01-WL"},
    }
    for measure in Measure:
        data = {"zone": "A", "measure": measure, "judged_by": "eye", **extra.get(measure, {})}
        assert "{" not in line_text(parse_line(data), "es")
