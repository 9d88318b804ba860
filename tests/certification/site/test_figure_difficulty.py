"""The difficulty map and the rows of crews and hours say the same in lines, words and numbers."""

import re
from dataclasses import dataclass

import pytest

from certification.site.figure_difficulty import difficulty_map, missed_rows


@dataclass(frozen=True)
class Point:
    number: str
    ratio: float
    share: float = 0.8
    low: float = 0.7
    high: float = 0.9
    answered: int = 30
    doubt: str = ""


@dataclass(frozen=True)
class Row:
    crew: str
    hours: str
    missed: int
    shown: int
    share: float | None
    low: float | None
    high: float | None
    expected_share: float = 0.1
    more: bool = False


def drawn(points: list[Point], *, small: bool = False) -> str:
    return difficulty_map(points=points, name="Burn", finding="Two parts.", small=small)


def xs(svg: str, css: str) -> list[float]:
    return [float(x) for x in re.findall(rf'<circle class="{css}" cx="([\d.]+)"', svg)]


def test_the_axis_is_logarithmic_and_the_limit_stands_at_one() -> None:
    svg = drawn([Point("a", 0.5), Point("b", 1.0), Point("c", 2.0)])
    half, one, double = xs(svg, "pt")
    assert one - half == pytest.approx(double - one, abs=0.2)
    limit = re.search(r'<line class="limit" x1="([\d.]+)"', svg)
    assert limit is not None
    assert float(limit[1]) == one


def test_a_doubted_part_stands_out_with_its_number_and_word() -> None:
    svg = drawn([Point("a", 0.7), Point("S-9", 1.3, doubt="Check the key")])
    assert len(xs(svg, "pt")) == len(xs(svg, "doubt")) == 1
    assert "S-9, check the key" in svg


def test_it_carries_title_finding_question_and_numbers() -> None:
    svg = drawn([Point("S-9", 1.3)])
    assert "<title" in svg
    assert ">Two parts.</desc>" in svg
    assert "Burn: how far from the limit is it still answered right?" in svg
    assert '<details class="data">' in svg
    assert '<th scope="row">S-9</th>' in svg


def test_far_parts_stay_inside_the_drawing() -> None:
    svg = drawn([Point("a", 0.05), Point("b", 30.0)], small=True)
    assert all(64 <= x <= 440 for x in xs(svg, "pt"))
    assert len(set(xs(svg, "pt"))) == 2


def test_what_comes_in_is_escaped() -> None:
    assert "<script>" not in drawn([Point("<script>", 1.3, doubt="<script>")])


ROWS = [
    Row("Days", "06–08", 5, 100, 0.05, 0.016, 0.113),
    Row("Days", "08–10", 6, 100, 0.06, 0.022, 0.126),
    Row("Nights", "04–06", 31, 100, 0.31, 0.221, 0.41, more=True),
    Row("Nights", "02–04", 2, 12, None, None, None),
]


def test_each_row_has_its_rate_and_a_crew_is_named_once() -> None:
    svg = missed_rows(rows=ROWS, finding="Nights.")
    assert len(xs(svg, "pt")) == 2
    assert len(xs(svg, "doubt")) == 1
    assert svg.partition("<details")[0].count(">Days<") == 1


def test_rows_without_a_rate_stand_in_the_numbers_only() -> None:
    svg, _, table = missed_rows(rows=ROWS, finding="Nights.").partition("<details")
    assert "02–04" not in svg
    assert "02–04" in table


def test_the_scale_holds_the_longest_interval() -> None:
    svg = missed_rows(rows=ROWS, finding="Nights.")
    ends = [float(x) for x in re.findall(r'class="doubt-l" x1="[\d.]+" x2="([\d.]+)"', svg)]
    assert max(ends) <= 540


def test_without_any_rate_there_is_still_a_figure() -> None:
    assert "<svg" in missed_rows(rows=ROWS[3:], finding="None.")
