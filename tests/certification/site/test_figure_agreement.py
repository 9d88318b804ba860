"""The figure of an agreement study says the same in ticks, words and numbers."""

import re
from typing import Any

import pytest

from certification.site.figure_agreement import agreement_chart

ACCEPT, REJECT = True, False


def data(*rows: dict[str, Any], judges: tuple[str, ...] = ("A", "B")) -> dict[str, Any]:
    return {
        "key": "agreement",
        "question": "On which parts do people differ?",
        "method": "Accepted stands above the line.",
        "title": "Answers by part and person",
        "finding": "On 1 of 2 parts every answer is the reference.",
        "judges": judges,
        "rows": rows,
        "table": {"head": ["part", "A"], "rows": [["P-1", "accept reject"]]},
    }


def part(*accepted: tuple[bool, ...], reference: bool = ACCEPT, note: str = "") -> dict[str, Any]:
    return {
        "label": "P-1",
        "href": "",
        "reference": reference,
        "accepted": accepted,
        "note": note,
    }


def ticks(svg: str, css: str) -> list[tuple[float, float]]:
    """Return where the ticks of a class begin and end, in pixels from the top."""
    pattern = rf'<line class="{css}" x1="[\d.]+" x2="[\d.]+" y1="([\d.]+)" y2="([\d.]+)"'
    return [(float(y1), float(y2)) for y1, y2 in re.findall(pattern, svg)]


def test_every_answer_is_one_tick_and_dissent_is_marked() -> None:
    svg = agreement_chart(data(part((ACCEPT, ACCEPT), (ACCEPT, REJECT), note="1 of 4")))
    assert len(ticks(svg, "ag-same")) == 3
    assert len(ticks(svg, "ag-other")) == 1
    assert "1 of 4" in svg


@pytest.mark.parametrize("reference", [ACCEPT, REJECT])
def test_accepted_stands_above_the_line_and_rejected_hangs_below(*, reference: bool) -> None:
    """What an answer was is seen without colour and whatever the reference is."""
    svg = agreement_chart(data(part((ACCEPT, REJECT), (ACCEPT, REJECT), reference=reference)))
    (start, end), *_more = ticks(svg, "up")
    assert (end < start) is reference
    same, other = ticks(svg, "ag-same"), ticks(svg, "ag-other")
    assert len(same) == len(other) == 2
    assert all((end < start) is reference for start, end in same)
    assert all((end < start) is not reference for start, end in other)


def test_it_has_a_question_a_title_a_finding_and_the_numbers() -> None:
    svg = agreement_chart(data(part((ACCEPT,), (ACCEPT,))))
    assert "<figcaption>On which parts do people differ?" in svg
    assert re.search(r"<title[^>]*>Answers by part and person</title>", svg)
    assert re.search(r"<desc[^>]*>On 1 of 2 parts every answer is the reference.</desc>", svg)
    assert '<details class="data">' in svg
    assert "accept reject" in svg


def test_a_part_leads_to_its_specimen_and_names_are_escaped() -> None:
    row = part((ACCEPT,)) | {"href": "/specimens/7/", "label": "<P&1>"}
    svg = agreement_chart(data(row, judges=("<A>",)))
    assert '<a href="/specimens/7/">' in svg
    assert "&lt;P&amp;1&gt;" in svg
    assert "<A>" not in svg


@pytest.mark.parametrize("people", [1, 3, 12, 40])
def test_it_stays_inside_its_width(people: int) -> None:
    judges = tuple(f"J{place}" for place in range(people))
    svg = agreement_chart(data(part(*([(ACCEPT, REJECT)] * people)), judges=judges))
    found = re.search(r'viewBox="0 0 (\d+) (\d+)"', svg)
    assert found is not None
    width = float(found[1])
    lines = re.findall(r'<line class="ag-[a-z]+" x1="(-?[\d.]+)" x2="(-?[\d.]+)"', svg)
    assert all(0 <= float(x1) <= float(x2) <= width for x1, x2 in lines)
