"""Limit lines in words and numbers, English and Spanish; pure."""

from training.floor.limit_rulings import Ruling, Source, SourceKind
from training.floor.limits import CompareTo, JudgedBy, Line, Measure, Unit

_UNITS: dict[Unit, dict[str, str]] = {
    Unit.MM: {"en": "mm", "es": "mm"},
    Unit.MM2: {"en": "mm²", "es": "mm²"},
    Unit.MM_PER_200MM: {"en": "mm per 200 mm", "es": "mm por 200 mm"},
    Unit.PERCENT_AREA: {"en": "% of the area", "es": "% del área"},
    Unit.DELTA_E: {"en": "ΔE*ab", "es": "ΔE*ab"},
    Unit.GLOSS_20: {"en": "gloss units at 20°", "es": "unidades de brillo a 20°"},
    Unit.GLOSS_60: {"en": "gloss units at 60°", "es": "unidades de brillo a 60°"},
    Unit.GLOSS_85: {"en": "gloss units at 85°", "es": "unidades de brillo a 85°"},
    Unit.PIECES: {"en": "pieces", "es": "piezas"},
}
_MEASURES: dict[Measure, dict[str, str]] = {
    Measure.AT_MOST: {"en": "up to {value} {unit}", "es": "hasta {value} {unit}"},
    Measure.BETWEEN: {
        "en": "from {value} to {value2} {unit}",
        "es": "de {value} a {value2} {unit}",
    },
    Measure.COUNT_AT_MOST: {
        "en": "at most {count} of up to {value} {unit}",
        "es": "máximo {count} de hasta {value} {unit}",
    },
    Measure.NONE: {"en": "none accepted", "es": "no se acepta"},
    Measure.NOT_VISIBLE_AT: {
        "en": "not visible at {distance} mm in {time} s",
        "es": "no visible a {distance} mm en {time} s",
    },
    Measure.GAUGE: {"en": "gauge {gauge} decides", "es": "decide el calibre {gauge}"},
    Measure.SAMPLE: {
        "en": "not worse than sample {sample}",
        "es": "no peor que la muestra {sample}",
    },
    Measure.ANY: {"en": "no limit", "es": "sin límite"},
}
_EXACTLY = {"en": "exactly {value} {unit}", "es": "exactamente {value} {unit}"}
_ONE_PIECE = {"en": "piece", "es": "pieza"}
_FROM_SIZE = {
    "en": "none accepted of {value} {unit} or more",
    "es": "no se acepta de {value} {unit} o más",
}
_COMPARED = {
    CompareTo.MASTER: {"en": "against the master", "es": "contra la muestra patrón"},
    CompareTo.OTHER_HAND: {"en": "against the other hand", "es": "contra la otra mano"},
}
_ADDED = {
    "count": {"en": "at most {count}", "es": "máximo {count}"},
    "per_area_cm2": {"en": "in any {area} cm²", "es": "en cualquier área de {area} cm²"},
    "spacing_mm": {"en": "{spacing} mm or more apart", "es": "a {spacing} mm o más entre sí"},
    "viewing": {
        "en": "seen at {distance} mm in {time} s",
        "es": "a la vista a {distance} mm en {time} s",
    },
    "gauge": {"en": "gauge {gauge}", "es": "calibre {gauge}"},
    "sample": {"en": "sample {sample}", "es": "muestra {sample}"},
}
_SOURCES: dict[SourceKind, dict[str, str]] = {
    SourceKind.ALERT: {"en": "alert {ref}", "es": "alerta {ref}"},
    SourceKind.CONCESSION: {"en": "concession {ref}", "es": "concesión {ref}"},
    SourceKind.WORK_INSTRUCTION: {
        "en": "work instruction rev {ref}",
        "es": "hoja de trabajo rev {ref}",
    },
    SourceKind.SAMPLE: {"en": "sample {ref}", "es": "muestra {ref}"},
    SourceKind.GENERAL: {"en": "site general limits", "es": "límites generales de la planta"},
}
_NO_SAMPLE = {
    "en": "no valid sample: ask quality",
    "es": "sin muestra vigente: pregunte a calidad",
}
_JUDGED_BY: dict[JudgedBy, dict[str, str]] = {
    JudgedBy.EYE: {"en": "eye", "es": "vista"},
    JudgedBy.COUNT: {"en": "count", "es": "conteo"},
    JudgedBy.TOUCH: {"en": "touch", "es": "tacto"},
    JudgedBy.GAUGE: {"en": "gauge", "es": "calibre"},
    JudgedBy.LIGHT_BOOTH: {"en": "light booth", "es": "cabina de luz"},
}


def line_text(line: Line, language: str) -> str:
    """The whole line: "up to 6 mm, at most 1, sample 01-WL: behind the display window"."""
    parts = [_measure_text(line, language), *_additions(line, language)]
    text = ", ".join(parts)
    if line.feature is None:
        return text
    feature = line.feature.en if language == "en" else line.feature.es
    return f"{text}: {feature}"


def ruling_text(ruling: Ruling, language: str) -> str:
    """The line as it rules today; a lost sample is said instead of the line resting on it."""
    if ruling.ask_quality:
        feature = ruling.line.feature
        lost = _NO_SAMPLE[language]
        return lost if feature is None else f"{lost} ({getattr(feature, language)})"
    text = line_text(ruling.line, language)
    return f"{text} ({_NO_SAMPLE[language]})" if ruling.no_valid_sample else text


def source_text(source: Source, language: str) -> str:
    """Where the line comes from: "alert A-08", "work instruction rev F"."""
    return _SOURCES[source.kind][language].format(ref=source.reference)


def judged_by_text(judged_by: JudgedBy, language: str) -> str:
    """How the limit is examined."""
    return _JUDGED_BY[judged_by][language]


def number_text(number: float | None) -> str:
    """A number without a needless tail of noughts, with a true minus sign."""
    return f"{number:.10g}".replace("-", "−") if number is not None else ""


def _measure_text(line: Line, language: str) -> str:
    template = _MEASURES[line.measure]
    if line.measure is Measure.BETWEEN and line.value == line.value2:
        template = _EXACTLY
    elif line.measure is Measure.NONE and line.value is not None:
        template = _FROM_SIZE
    return template[language].format_map(_words(line, language))


def _additions(line: Line, language: str) -> list[str]:
    """What stands beside the number: how many, how seen, which gauge and sample."""
    wanted = {
        "count": line.count is not None and line.measure is Measure.AT_MOST,
        "per_area_cm2": line.per_area_cm2 is not None,
        "spacing_mm": line.spacing_mm is not None,
        "viewing": line.distance_mm is not None and line.measure is Measure.AT_MOST,
        "gauge": bool(line.gauge) and line.measure is not Measure.GAUGE,
        "sample": bool(line.sample) and line.measure is not Measure.SAMPLE,
    }
    words = _words(line, language)
    parts = [_COMPARED[line.compare_to][language]] if line.compare_to is not None else []
    return parts + [_ADDED[name][language].format_map(words) for name in wanted if wanted[name]]


def _words(line: Line, language: str) -> dict[str, str]:
    return {
        "value": number_text(line.value),
        "value2": number_text(line.value2),
        "unit": unit_text(line, language),
        "count": str(line.count),
        "area": number_text(line.per_area_cm2),
        "spacing": number_text(line.spacing_mm),
        "distance": number_text(line.distance_mm),
        "time": number_text(line.time_s),
        "gauge": line.gauge,
        "sample": line.sample,
    }


def unit_text(line: Line, language: str) -> str:
    """The unit of a line's value, nothing where it has none."""
    if line.unit is None:
        return ""
    if line.unit is Unit.PIECES and line.value == line.value2 == 1:
        return _ONE_PIECE[language]
    return _UNITS[line.unit][language]
