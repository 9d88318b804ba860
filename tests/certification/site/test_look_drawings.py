"""Drawings on the line put things where their numbers say and say the same in words."""

import re
from itertools import pairwise
from typing import Any

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from certification.site import drawings, gallery


def drawn(tag: str, data: object) -> str:
    return Template("{% load charts %}{% " + tag + " data %}").render(Context({"data": data}))


def rungs(values: list[float]) -> dict[str, Any]:
    return {
        "unit": "mm",
        "limit": 6,
        "limit_word": "limit 6 mm",
        "label": "words",
        "rungs": [
            {"value": value, "href": "/p.webp", "width": 600, "height": 450} for value in values
        ],
    }


def pictures(markup: str) -> list[tuple[float, float]]:
    return [
        (float(x), float(y))
        for x, y in re.findall(r'<svg x="([\d.]+)" y="(\d+)" width="192"', markup)
    ]


def test_the_ladder_accepts_above_and_rejects_below() -> None:
    markup = drawn("ladder", rungs([2, 6, 6.1, 14]))

    assert [y for _x, y in pictures(markup)] == [36, 36, 288, 288]
    assert markup.count('href="#s-accept"') == 2
    assert markup.count('href="#s-reject"') == 2


def test_the_ladder_ties_each_picture_to_its_place_on_the_line() -> None:
    """The thick stretch ends at the limit, and a rung of the limit's size sits at its end."""
    markup = drawn("ladder", rungs([6, 12]))
    end = re.findall(r'class="ok" x1="90" x2="([\d.]+)"', markup)[0]

    assert f'<circle class="dot" cx="{end}"' in markup


@given(st.lists(st.floats(0.1, 30), min_size=1, max_size=5))
def test_pictures_of_the_ladder_never_overlap_nor_leave(values: list[float]) -> None:
    places = pictures(drawings.ladder(rungs(values)))

    for side in (36, 288):
        row = sorted(x for x, y in places if y == side)
        assert all(later - earlier >= 192 for earlier, later in pairwise(row))
        assert all(0 <= x <= 1080 - 192 for x in row)


def test_a_missed_specimen_hangs_below_the_line() -> None:
    markup = drawn("sittings", gallery.sample_context()["sittings"])

    assert markup.count('class="hang"') == 3
    assert markup.count('class="up"') == 13
    assert "22 Nov 2026: missed 2 of 8 · false rejects 2 of 30, not certified." in markup


@pytest.mark.parametrize("count", [1, 8, 40])
def test_the_ticks_of_a_sitting_stay_on_its_line(count: int) -> None:
    row = {"day": "d", "note": "n", "missed": [False] * count, "status": "yes", "word": "w"}
    places = [float(x) for x in re.findall(r'class="up" x1="([\d.]+)"', drawings.sittings([row]))]

    assert len(places) == count
    assert max(places) <= 160


def test_turns_are_thick_where_somebody_was_at_the_press() -> None:
    markup = drawn("turns", gallery.sample_context()["turns"])

    assert '<line class="on" x1="150.0" x2="438.8"' in markup
    assert '<line class="on" x1="480.0" x2="810.0"' in markup
    assert '<line class="now" x1="500.6"' in markup


def test_a_turn_that_began_before_the_shift_begins_at_its_edge() -> None:
    data = gallery.sample_context()["turns"] | {"at": None}
    data["people"] = [{"name": "A", "spans": [(20, 23)], "status": "alone", "word": "alone"}]

    assert '<line class="on" x1="150.0"' in drawings.turns(data)
    assert 'class="now"' not in drawings.turns(data)


def test_moves_repeat_the_standing_of_each_arrival() -> None:
    markup = drawn("moves", gallery.sample_context()["moves"])

    assert markup.count('marker-end="url(#arrow)"') == 2
    assert '<use href="#s-due"' in markup
    assert '<use href="#s-away"' in markup
    assert 'text-decoration="line-through">Joanna Struk<' in markup
    assert "Yes, alone" in markup


def test_names_in_drawings_are_escaped() -> None:
    data = gallery.sample_context()["moves"]
    data["places"][0]["now"]["name"] = "<script>"

    assert "<script>" not in drawings.moves(data)


def test_long_words_at_the_right_widen_the_drawing() -> None:
    data = gallery.sample_context()["turns"]
    data["people"] = [{"name": "A", "spans": [], "status": "alone", "word": "w" * 40}]
    moves = gallery.sample_context()["moves"]
    moves["places"][0]["after"]["word"] = "w" * 40

    assert 'viewBox="0 0 1186 ' in drawings.turns(data)
    assert 'viewBox="0 0 1180 ' in drawings.moves(moves)
