"""Figures of the operator report: bars parted by what was said, exams under their question."""

import re
from typing import Any

from certification.site.figure_report import exam_lines, named_bars


def bars(*rows: dict[str, Any]) -> str:
    return named_bars(
        {
            "key": "naming",
            "question": "What are the parts taken for?",
            "method": "All exams.",
            "title": "Confusion",
            "finding": "2 of 10 were another one.",
            "rows": rows,
            "table": {"head": ["It was", "Burn"], "rows": [["Burn", 8]]},
        }
    )


def part(count: int, word: str, *, right: bool = False) -> dict[str, Any]:
    return {"count": count, "right": right, "word": word}


def row(*parts: dict[str, Any]) -> dict[str, Any]:
    return {"word": "Burn", "note": 10, "parts": parts}


def test_what_was_wrong_is_hatched_and_named_what_was_right_is_not() -> None:
    drawn = bars(row(part(8, "burn", right=True), part(2, "let through")))
    assert drawn.count("bar-2") == 1
    assert drawn.count('class="bar-w"') == drawn.count('fill="url(#naming-hatch)"') == 1
    assert ">2 let through</text>" in drawn
    assert "burn</text>" not in drawn


def test_stretches_are_as_long_as_their_counts() -> None:
    drawn = bars(row(part(6, "burn", right=True), part(3, "let through"), part(1, "as scuff")))
    widths = [float(each) for each in re.findall(r'<rect[^>]* width="([\d.]+)"', drawn)]
    assert widths == [76.8, 38.4, 12.8]


def test_many_errors_take_more_lines_and_push_the_next_row_down() -> None:
    long = [part(1, f"as a family with a long name {place}") for place in range(3)]
    drawn = bars(row(part(7, "burn", right=True), *long), row(part(1, "burn", right=True)))
    tops = [float(each) for each in re.findall(r'<rect[^>]* y="([\d.]+)"', drawn)]
    assert tops[-1] - tops[0] == 32 + 2 * 16
    for place in range(3):
        assert f"1 as a family with a long name {place}</text>" in drawn


def test_title_finding_question_and_numbers_are_there() -> None:
    drawn = bars(row(part(1, "burn", right=True)))
    assert "<figcaption>What are the parts taken for?" in drawn
    assert '<title id="naming-t">Confusion</title>' in drawn
    assert '<desc id="naming-d">2 of 10 were another one.</desc>' in drawn
    assert '<details class="data">' in drawn


def test_names_are_written_and_not_run() -> None:
    drawn = bars({"word": "<b>", "note": "", "parts": [part(1, "<i>")]})
    assert "<b>" not in drawn
    assert "<i>" not in drawn


def test_exams_stand_under_their_question() -> None:
    drawn = exam_lines(
        {
            "question": "How did the last exams go?",
            "rows": [
                {
                    "day": "22 Nov 2026",
                    "note": "missed 1 of 3",
                    "missed": (False, False, True),
                    "status": "not_yet",
                    "word": "not passed",
                }
            ],
            "table": {"head": ["Exam", "Missed"], "rows": [["22 Nov 2026", "1 of 3"]]},
        }
    )
    assert "How did the last exams go?" in drawn
    assert drawn.count('class="hang"') == 1
    assert drawn.count('class="up"') == 2
    assert "22 Nov 2026: missed 1 of 3, not passed" in drawn
