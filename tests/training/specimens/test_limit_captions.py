"""Limits in few words and as bars to scale."""

from typing import Any

import pytest

from training.floor.limit_rulings import Ruling, Source, SourceKind
from training.floor.limits import parse_line
from training.specimens.limit_captions import (
    MOST_BARS,
    LimitWords,
    bars_of,
    limit_words,
    short_name,
)

SHEET = Source(SourceKind.WORK_INSTRUCTION, "B")


def ruling(**line: Any) -> Ruling:
    return Ruling(parse_line({"zone": "A", "judged_by": "eye", **line}, "weld-line"), SHEET)


def words(*rulings: Ruling) -> LimitWords:
    found = limit_words("weld-line", "Weld line", rulings, "en")
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("line", "value", "bar"),
    [
        ({"measure": "at_most", "value": 6, "unit": "mm"}, "6 mm", 6),
        ({"measure": "at_most", "value": 0.8, "unit": "dE"}, "0.8 ΔE", None),
        ({"measure": "count_at_most", "count": 2, "value": 0.3, "unit": "mm"}, "2 × 0.3 mm", 0.3),
        ({"measure": "between", "value": 1, "value2": 2.5, "unit": "mm"}, "1–2.5 mm", None),
        ({"measure": "none"}, "", None),
        ({"measure": "none", "value": 0.5, "unit": "mm"}, "under 0.5 mm", 0.5),
        ({"measure": "not_visible_at", "distance_mm": 600, "time_s": 8}, "not visible", None),
        ({"measure": "gauge", "gauge": "FX-101"}, "gauge FX-101", None),
        ({"measure": "sample", "sample": "01-WL"}, "sample 01-WL", None),
        ({"measure": "any"}, "no limit", None),
    ],
)
def test_every_measure_has_its_word_and_bar(
    line: dict[str, Any], value: str, bar: float | None
) -> None:
    found = words(ruling(**line))
    assert (found.word, found.value, found.bar_mm) == ("weld line", value, bar)


def test_of_several_lines_the_one_a_picture_can_examine_is_shown() -> None:
    touch = ruling(measure="none", judged_by="touch")
    seen = ruling(measure="not_visible_at", distance_mm=600, time_s=8)
    long = ruling(measure="at_most", value=6, unit="mm")
    found = words(touch, seen, long)
    assert (found.value, found.seen_at) == ("6 mm", "600 mm, 8 s")
    assert found.whole.startswith("none accepted; not visible")


def test_a_family_without_a_limit_has_no_words() -> None:
    assert limit_words("weld-line", "Weld line", [], "en") is None


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Black specks / contamination", "black specks"),
        ("Weld / knit line", "weld / knit line"),
        ("Línea de unión (línea de soldadura)", "línea de unión"),
        ("Flash", "flash"),
    ],
)
def test_a_caption_takes_the_first_name_where_it_is_one(name: str, short: str) -> None:
    assert short_name(name) == short


def test_few_bars_are_drawn_and_none_without_a_length() -> None:
    six = LimitWords("w", "weld", "6 mm", "6 mm", bar_mm=6)
    none = LimitWords("s", "scuff", "", "none")
    assert bars_of([six, none, six]) == "6:weld 6 mm;6:weld 6 mm"
    assert bars_of([six] * 9).count(";") == MOST_BARS - 1
