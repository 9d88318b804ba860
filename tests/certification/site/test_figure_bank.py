"""The bank figure: thick for fresh, thin to the tick, a threshold for each rung, words beside."""

import re

from certification.site.figure_bank import bank_chart

DATA = {
    "question": "What can this bank carry?",
    "method": "Thick: fresh.",
    "rungs": [{"at": 8, "word": ""}, {"at": 16, "word": "group plan"}, {"at": 76, "word": "own"}],
    "rows": [
        {
            "name": "Weld <line>",
            "fresh": 61,
            "total": 96,
            "status": "in_force",
            "word": "group plan",
        },
        {"name": "Crack", "fresh": 13, "total": 14, "status": "short_bank", "word": "short bank"},
        {"name": "Crazing", "fresh": 3, "total": 3, "status": "no_exam", "word": "no exam yet"},
    ],
}


def lines(css: str) -> list[tuple[float, float]]:
    found = re.findall(rf'<line class="{css}" x1="([\d.]+)" x2="([\d.]+)"', bank_chart(DATA))
    return [(float(left), float(right)) for left, right in found]


def test_thick_is_as_long_as_what_is_fresh_and_thin_reaches_the_tick() -> None:
    (weld, crack), (crazing,) = lines("bank"), lines("bank-x")
    left = weld[0]
    scale = (weld[1] - left) / 61
    assert abs(crack[1] - left - 13 * scale) < 0.2
    assert abs(crazing[1] - left - 3 * scale) < 0.2
    ticks = lines("tick")
    assert [round((right - left) / scale) for right, _same in ticks] == [96, 14, 3]


def test_thresholds_stand_upright_at_their_numbers() -> None:
    left = lines("bank")[0][0]
    scale = (lines("bank")[0][1] - left) / 61
    assert [round((x - left) / scale) for x, _same in lines("rung")] == [8, 16, 76]


def test_words_shapes_and_text_alternative() -> None:
    drawn = bank_chart(DATA)
    assert "Weld &lt;line&gt;" in drawn
    assert "<line>" not in drawn
    for shape in ("#s-go", "#s-due", "#s-stop"):
        assert f'href="{shape}"' in drawn
    assert "Crazing 3 now, 3 in all: no exam yet" in drawn


def test_an_empty_bank_is_drawn_too() -> None:
    assert "<svg" in bank_chart({**DATA, "rows": []})
