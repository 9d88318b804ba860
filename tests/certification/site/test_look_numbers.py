"""Numbers stand with sample size and interval, days as they are said on the floor."""

import datetime as dt

import pytest
from django.template import Context, Template
from django.utils.translation import override
from hypothesis import given
from hypothesis import strategies as st

from certification.site.ruler import Ruler, describe, draw, step_of

DAY = dt.date(2026, 11, 24)
MOMENT = dt.datetime(2026, 11, 24, 22, 0, tzinfo=dt.UTC)
NBSP = "\N{NO-BREAK SPACE}"


def shown(source: str, **values: object) -> str:
    return Template("{% load look %}" + source).render(Context(values))


def test_counted_with_an_upper_bound() -> None:
    assert shown('{% counted 2 65 "missed" high=0.08 %}') == f"2 of 65 missed, at most 8{NBSP}%"


def test_counted_with_both_bounds() -> None:
    """4 of 24: the Clopper-Pearson interval at 95 % is 4.74 to 37.38 % (scipy.stats.binomtest)."""
    assert (
        shown('{% counted 4 24 "bad" low=0.0474 high=0.3738 %}') == f"4 of 24 bad, 5 to 37{NBSP}%"
    )


def test_counted_in_spanish() -> None:
    with override("es"):
        assert (
            shown('{% counted 2 65 "omitidas" high=0.08 %}')
            == f"2 de 65 omitidas, 8{NBSP}% como máximo"
        )


@pytest.mark.parametrize(
    ("share", "written"),
    [
        (0, "0"),
        (0.004, "0.4"),
        (0.0094, "0.9"),
        (0.0096, "1"),
        (0.047, "5"),
        (0.374, "37"),
        (1, "100"),
    ],
)
def test_percent_is_rounded_not_cut(share: float, written: str) -> None:
    assert shown("{{ share|percent }}", share=share) == f"{written}{NBSP}%"


def test_percent_of_nothing_is_a_dash() -> None:
    assert shown("{{ share|percent }}", share=None) == "–"


@pytest.mark.parametrize(
    ("source", "english", "spanish"),
    [
        ("{{ day|day }}", "24 Nov", "24 nov"),
        ("{{ day|day_year }}", "24 Nov 2026", "24 nov 2026"),
        ("{{ day|weekday }}", "Tue 24 Nov", "mar 24 nov"),
        ("{{ moment|moment }}", "24 Nov 2026, 22:00", "24 nov 2026, 22:00"),
        ("{{ moment|clock }}", "22:00", "22:00"),
        ("{{ nothing|day }}", "–", "–"),
    ],
)
def test_days(source: str, english: str, spanish: str) -> None:
    values = {"day": DAY, "moment": MOMENT, "nothing": None}
    with override("en"):
        assert shown(source, **values) == english
    with override("es"):
        assert shown(source, **values) == spanish


def test_a_moment_is_shown_in_the_zone_of_the_plant(settings: object) -> None:
    settings.TIME_ZONE = "America/Chicago"  # type: ignore[attr-defined]

    assert shown("{{ moment|moment }}", moment=MOMENT) == "24 Nov 2026, 16:00"


def test_progress_has_a_tick_for_each_judgement() -> None:
    markup = shown("{% progress 22 70 %}")

    assert "22 of 70 judged" in markup
    assert markup.count('class="done fine"') == 22
    assert markup.count('class="tk"') == 48


def test_progress_of_a_single_part() -> None:
    assert shown("{% progress 0 1 %}").count('class="tk"') == 1


def test_ruler_says_itself_in_words() -> None:
    assert describe(Ruler(limit=6, value=9)) == "Limit 6 mm, this part 9 mm, 3 mm over."
    assert describe(Ruler(limit=6, value=4)) == "Limit 6 mm, this part 4 mm."
    own = Ruler(limit=6, value=7.1, low=5.9, high=8.6)
    assert describe(own) == "Limit 6 mm, yours 7.1 mm, interval 5.9 to 8.6."


def test_ruler_in_spanish_uses_the_decimal_comma() -> None:
    with override("es"):
        assert (
            describe(Ruler(limit=0.3, value=0.35))
            == "Límite 0,3 mm, esta pieza 0,35 mm, 0,05 mm de más."
        )


def test_ruler_beyond_its_ceiling_shows_the_excess() -> None:
    assert 'class="ok-x"' in draw(Ruler(limit=26, ceiling=25))
    assert 'class="ok-x"' not in draw(Ruler(limit=6, ceiling=10))


def test_ruler_is_to_scale() -> None:
    """The thick stretch is to the scale as the limit is to its end: 6 of 12 mm is half of 480 px."""
    assert '<line class="ok" x1="20.0" x2="260.0"' in draw(Ruler(limit=6, value=9, top=12))


def test_counts_are_numbered_in_whole_ones() -> None:
    assert step_of(Ruler(limit=1, value=2, unit="specks"), 3) == 1


def test_ruler_of_nothing_allowed_has_no_thick_stretch() -> None:
    assert 'class="ok"' not in draw(Ruler(limit=0, value=2))


@given(
    limit=st.floats(0, 500, allow_subnormal=False),
    value=st.floats(0.001, 500),
    ceiling=st.none() | st.floats(0.001, 500),
)
def test_nothing_of_a_ruler_leaves_its_drawing(
    limit: float, value: float, ceiling: float | None
) -> None:
    import re

    markup = draw(Ruler(limit=limit, value=value, ceiling=ceiling))

    for x in re.findall(r' (?:x|x1|x2|cx)="([^"]+)"', markup):
        assert 0 <= float(x) <= 520
