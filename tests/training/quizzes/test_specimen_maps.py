"""Answers over time in groups of equal number, and the map of a family."""

import datetime as dt
import uuid
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from tests.conftest import NOON
from tests.training.quizzes.answered import answers, key
from training.quizzes.selectors.specimen_statistics import SpecimenLine
from training.quizzes.specimen_figures import SpecimenFigures, bank_figures
from training.quizzes.specimen_maps import family_maps, over_time, spans_of


def line(number: int, figures: SpecimenFigures, ratio: str | None = "1.2") -> SpecimenLine:
    return SpecimenLine(
        id=uuid.uuid4(),
        number=f"S-{number}",
        job="901",
        zone="A",
        family_slug="burn",
        family={"en": "Burn mark", "es": "Quemadura"},
        pool="exam",
        retired_day=None,
        decided="reject",
        clear=False,
        ratio=None if ratio is None else Decimal(ratio),
        figures=figures,
        people=3,
        last=NOON,
        other_key=0,
    )


@given(st.integers(0, 300), st.data())
def test_spans_hold_every_answer_once_with_its_exact_interval(n: int, data: st.DataObject) -> None:
    right = data.draw(st.integers(0, n))
    spans = spans_of(answers(1, right, n))  # type: ignore[arg-type]
    assert len(spans) == min(8, n // 10)
    if not spans:
        return
    assert sum(span.answered for span in spans) == n
    assert sum(span.right for span in spans) == right
    assert max(s.answered for s in spans) - min(s.answered for s in spans) <= 1
    for span in spans:
        low, high = proportion_confint(span.right, span.answered, method="beta")
        assert (span.low, span.high) == pytest.approx((low, high))


def test_one_span_is_not_drawn_over_time() -> None:
    given_ = answers(1, 9, 15)
    assert over_time(line(1, SpecimenFigures()), spans_of(given_)) is None  # type: ignore[arg-type]


def test_a_known_part_is_drawn_with_the_day_it_is_compared_from() -> None:
    book = [*answers(1, 40, 60, days_ago=400), *answers(1, 60, 60, days_ago=20, first=60)]
    figures = bank_figures(book, ratios={}, panels={}, now=NOON).of(key(1))
    chart = over_time(line(1, figures), spans_of(book))  # type: ignore[arg-type]
    assert chart is not None
    assert [layer["kind"] for layer in chart["layers"]] == ["dots", "limit"]
    assert len(chart["table"]["rows"]) == 8
    assert chart["x"]["high"] == pytest.approx(1.04 * (380 + 60 / 1440), rel=0.01)


def test_the_map_holds_measured_parts_with_eight_answers_and_counts_the_others() -> None:
    book = [*answers(1, 25, 30), *answers(2, 5, 7), *answers(3, 20, 25), *answers(4, 2, 30)]
    bank = bank_figures(book, ratios={}, panels={}, now=NOON)
    lines = [
        line(1, bank.of(key(1)), "2.0"),
        line(2, bank.of(key(2))),
        line(3, bank.of(key(3)), None),
        line(4, bank.of(key(4)), "1.1"),
        line(5, SpecimenFigures()),
    ]
    found = family_maps(lines)
    assert len(found) == 1
    assert [point.number for point in found[0].points] == ["S-4", "S-1"]
    assert (found[0].too_few, found[0].unmeasured) == (1, 1)
    assert found[0].points[0].doubt == "Check the key"
    assert found[0].points[0].share == pytest.approx(2 / 30)
    assert found[0].points[1].doubt == ""
    assert "S-4 at 1.10 times the limit" in found[0].finding


def test_a_part_retired_is_not_on_the_map() -> None:
    book = answers(1, 25, 30)
    bank = bank_figures(book, ratios={}, panels={}, now=NOON)
    kept = line(1, bank.of(key(1)))
    gone = SpecimenLine(**{**kept.__dict__, "retired_day": dt.date(2026, 1, 1)})
    assert family_maps([gone]) == []
