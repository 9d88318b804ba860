"""A limit in the few words that stand under a picture, and as a bar to scale on it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from training.floor.limit_rulings import Ruling
from training.floor.limit_words import line_text, number_text
from training.floor.limits import JudgedBy, Line, Measure, Unit

MOST_BARS = 4
# Pictures examine what is judged by eye or by counting.
BY_PICTURE = (JudgedBy.EYE, JudgedBy.COUNT)
UNIT_SIGNS = {
    Unit.MM: "mm",
    Unit.MM2: "mm²",
    Unit.PERCENT_AREA: "%",
    Unit.DELTA_E: "ΔE",
    Unit.MM_PER_200MM: "mm / 200 mm",
}


@dataclass(frozen=True, slots=True)
class LimitWords:
    """What one family's limit says: a short word and value, and the bar that shows it to scale.

    Without `value` nothing at all is accepted. `size` is the limit's number in `unit`; `bar_mm` the
    length of the bar. Both are None where there is none.
    """

    family: str
    word: str
    value: str
    whole: str
    size: float | None = None
    unit: str = ""
    bar_mm: float | None = None
    seen_at: str = ""


def limit_words(
    family: str, name: str, rulings: Iterable[Ruling], language: str
) -> LimitWords | None:
    """Return the limit of one family in a zone in words; None where it has none.

    Of several lines the one that a picture can examine is shown; `whole` says all of them.
    """
    lines = [ruling.line for ruling in rulings]
    if not lines:
        return None
    by_picture = [line for line in lines if line.judged_by in BY_PICTURE] or lines
    line = next((each for each in by_picture if each.value is not None), by_picture[0])
    return LimitWords(
        family=family,
        word=short_name(name),
        value=short_value(line),
        whole="; ".join(line_text(each, language) for each in lines),
        size=line.value,
        unit="" if line.unit is None else str(line.unit),
        bar_mm=_bar(line),
        seen_at=_seen_at(lines),
    )


def short_name(name: str) -> str:
    """Return a family's name for a caption: without what stands in brackets or as a second name."""
    first = name.split("(", maxsplit=1)[0].strip()
    short = first.split("/", maxsplit=1)[0].strip()
    chosen = short if " " in short or "/" not in first else first
    return chosen[:1].lower() + chosen[1:]


def short_value(line: Line) -> str:
    """Return the number of a limit with its unit, or the word that stands for it; "" for none."""
    unit = "" if line.unit is None else UNIT_SIGNS.get(line.unit, str(line.unit))
    low, high = number_text(line.value), number_text(line.value2)
    size = f"{low} {unit}".strip()
    words = {
        Measure.AT_MOST: size,
        Measure.BETWEEN: f"{low}–{high} {unit}".strip(),
        Measure.COUNT_AT_MOST: f"{line.count} × {size}",
        Measure.NONE: _("under %(size)s") % {"size": size} if size else "",
        Measure.NOT_VISIBLE_AT: _("not visible"),
        Measure.GAUGE: _("gauge %(gauge)s") % {"gauge": line.gauge},
        Measure.SAMPLE: _("sample %(sample)s") % {"sample": line.sample},
        Measure.ANY: _("no limit"),
    }
    return words[line.measure]


def bars_of(limits: Sequence[LimitWords]) -> str:
    """Return limits to scale as the pane draws them: "6:weld 6 mm;10:flow 10 mm"."""
    bars = [limit for limit in limits if limit.bar_mm]
    return ";".join(
        f"{limit.bar_mm:g}:{limit.word} {limit.value}".replace(";", ",")
        for limit in bars[:MOST_BARS]
    )


def _bar(line: Line) -> float | None:
    measured = line.measure in (Measure.AT_MOST, Measure.COUNT_AT_MOST, Measure.NONE)
    return line.value if measured and line.unit is Unit.MM else None


def _seen_at(lines: Iterable[Line]) -> str:
    for line in lines:
        if line.distance_mm is not None and line.time_s is not None:
            return f"{number_text(line.distance_mm)} mm, {number_text(line.time_s)} s"
    return ""
