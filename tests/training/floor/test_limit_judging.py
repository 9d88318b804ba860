"""Accept, reject or ask: findings against ruling lines."""

from math import inf
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.floor.limit_judging import Decision, Finding, judge
from training.floor.limit_rulings import Ruling, Source, SourceKind
from training.floor.limits import CompareTo, Feature, JudgedBy, Line, Measure, Unit

SHEET = Source(SourceKind.WORK_INSTRUCTION, "F")
NOTCH = Feature("notch felt with the nail", "muesca que se siente con la uña")


def ruling(measure: Measure, **more: Any) -> Ruling:
    lost = more.pop("no_valid_sample", False)
    return Ruling(Line("A", measure, JudgedBy.EYE, **more), SHEET, no_valid_sample=lost)


def up_to(value: float, **more: Any) -> Ruling:
    return ruling(Measure.AT_MOST, value=value, unit=Unit.MM, **more)


def mm(severity: float, **more: Any) -> Finding:
    return Finding(severity, Unit.MM, **more)


BETWEEN = {"value": -0.2, "value2": 0.1, "unit": Unit.MM}
TWO = {"value": 2, "value2": 2, "unit": Unit.PIECES}
FROM = {"value": 0.3, "unit": Unit.MM}


@pytest.mark.parametrize(
    ("rule", "finding", "decision", "ratio"),
    [
        (up_to(6), mm(5), Decision.ACCEPT, 5 / 6),
        (up_to(6), mm(6), Decision.ACCEPT, 1),
        (up_to(6), mm(9), Decision.REJECT, 1.5),
        (up_to(6, count=1), mm(4, count=2), Decision.REJECT, 2),
        (ruling(Measure.NONE), mm(0.1), Decision.REJECT, inf),
        (ruling(Measure.NONE), mm(0), Decision.ACCEPT, 0),
        (ruling(Measure.NONE, **FROM), mm(0.29), Decision.ACCEPT, 0.29 / 0.3),
        (ruling(Measure.NONE, **FROM), mm(0.3), Decision.REJECT, 1),
        (ruling(Measure.BETWEEN, **BETWEEN), mm(-0.1), Decision.ACCEPT, 0.5),
        (ruling(Measure.BETWEEN, **BETWEEN), mm(-0.3), Decision.REJECT, 1.5),
        (ruling(Measure.BETWEEN, **BETWEEN), mm(0.2), Decision.REJECT, 2),
        (ruling(Measure.BETWEEN, **BETWEEN), mm(0), Decision.ACCEPT, 0),
        (ruling(Measure.BETWEEN, **TWO), Finding(2, Unit.PIECES), Decision.ACCEPT, 1),
        (ruling(Measure.BETWEEN, **TWO), Finding(1, Unit.PIECES), Decision.REJECT, 2),
        (ruling(Measure.BETWEEN, **TWO), Finding(0, Unit.PIECES), Decision.REJECT, inf),
        (ruling(Measure.BETWEEN, **TWO), Finding(3, Unit.PIECES), Decision.REJECT, 1.5),
        (
            ruling(Measure.COUNT_AT_MOST, value=0.3, unit=Unit.MM, count=1, per_area_cm2=100),
            mm(0.3, count=1),
            Decision.ACCEPT,
            1,
        ),
        (
            ruling(Measure.COUNT_AT_MOST, value=0.3, unit=Unit.MM, count=1),
            mm(0.2, count=3),
            Decision.REJECT,
            3,
        ),
        (
            ruling(Measure.NOT_VISIBLE_AT, distance_mm=600, time_s=8),
            mm(3, seen=True),
            Decision.REJECT,
            inf,
        ),
        (
            ruling(Measure.NOT_VISIBLE_AT, distance_mm=600, time_s=8),
            mm(3, seen=False),
            Decision.ACCEPT,
            0,
        ),
        (ruling(Measure.ANY), mm(99), Decision.ACCEPT, 0),
    ],
)
def test_one_line(rule: Ruling, finding: Finding, decision: Decision, ratio: float) -> None:
    verdict = judge(finding, [rule])
    assert verdict.decision is decision
    assert verdict.ruling == rule
    assert verdict.ratio == pytest.approx(ratio)


@pytest.mark.parametrize(
    "rule",
    [
        ruling(Measure.GAUGE, gauge="HG-115"),
        ruling(Measure.SAMPLE, sample="01-WL"),
        ruling(Measure.NOT_VISIBLE_AT, distance_mm=600, time_s=8),
        ruling(Measure.NONE, feature=NOTCH),
        ruling(Measure.AT_MOST, value=4, unit=Unit.GLOSS_60),
    ],
)
def test_what_a_number_cannot_decide_stays_open(rule: Ruling) -> None:
    verdict = judge(mm(3), [rule])
    assert (verdict.decision, verdict.ratio, verdict.open) == (Decision.UNDECIDABLE, None, (rule,))


def test_no_line_decides_nothing() -> None:
    assert judge(mm(3), []).decision is Decision.UNDECIDABLE


def test_all_lines_have_to_hold() -> None:
    wide, narrow = up_to(10), up_to(6)
    verdict = judge(mm(9), [wide, narrow])
    assert (verdict.decision, verdict.ruling, verdict.ratio) == (Decision.REJECT, narrow, 1.5)
    assert judge(mm(5), [wide, narrow]).ruling == narrow


def test_a_notch_is_told_apart_from_length() -> None:
    rules = [up_to(6), ruling(Measure.NONE, feature=NOTCH)]
    assert judge(mm(5), rules).decision is Decision.ACCEPT
    assert judge(mm(5), rules).open == (rules[1],)
    felt = judge(mm(5, present=frozenset({NOTCH.en})), rules)
    assert (felt.decision, felt.ruling) == (Decision.REJECT, rules[1])
    assert judge(mm(0), rules).open == ()


def test_a_lost_sample_stops_an_accept_but_not_a_reject() -> None:
    lost = ruling(Measure.SAMPLE, sample="05-GL", no_valid_sample=True)
    unclear = judge(mm(3), [up_to(6), lost])
    assert (unclear.decision, unclear.ruling) == (Decision.UNDECIDABLE, lost)
    assert judge(mm(9), [up_to(6), lost]).decision is Decision.REJECT


def test_a_colour_difference_is_held_to_what_it_was_measured_against() -> None:
    rules = [
        ruling(Measure.AT_MOST, value=limit, unit=Unit.DELTA_E, compare_to=against)
        for limit, against in [(1.0, CompareTo.MASTER), (0.7, CompareTo.OTHER_HAND)]
    ]
    master = Finding(0.9, Unit.DELTA_E, compare_to=CompareTo.MASTER)
    assert judge(master, rules).decision is Decision.ACCEPT
    hand = Finding(0.9, Unit.DELTA_E, compare_to=CompareTo.OTHER_HAND)
    assert judge(hand, rules).decision is Decision.REJECT
    assert judge(Finding(0.9, Unit.DELTA_E), rules).decision is Decision.REJECT


def test_a_named_feature_is_held_to_its_own_line() -> None:
    length = up_to(10, feature=Feature("length", "largo"))
    width = up_to(0.2, feature=Feature("width", "ancho"))
    assert judge(mm(8, feature="length"), [length, width]).decision is Decision.ACCEPT
    assert judge(mm(8, feature="width"), [length, width]).decision is Decision.REJECT


@pytest.mark.parametrize("wrong", [{"severity": float("nan")}, {"severity": 1, "count": -1}])
def test_senseless_findings_are_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="give"):
        Finding(unit=Unit.MM, **wrong)


@given(st.floats(0, 100), st.lists(st.floats(0.01, 100), min_size=1, max_size=4))
def test_accepted_exactly_where_the_narrowest_limit_holds(
    severity: float, limits: list[float]
) -> None:
    verdict = judge(mm(severity), [up_to(limit) for limit in limits])
    assert (verdict.decision is Decision.ACCEPT) is (severity <= min(limits))


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0.01, 100))
def test_a_worse_part_is_never_better_judged(first: float, second: float, limit: float) -> None:
    better, worse = sorted((first, second))
    if judge(mm(worse), [up_to(limit)]).decision is Decision.ACCEPT:
        assert judge(mm(better), [up_to(limit)]).decision is Decision.ACCEPT
