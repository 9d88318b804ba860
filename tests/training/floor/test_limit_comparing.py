"""Which line lets more through; and of all papers only a concession loosens a limit."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.floor.limit_comparing import looser, never_looser
from training.floor.limit_judging import Decision, Finding, judge
from training.floor.limit_rulings import (
    AlertLines,
    ConcessionLines,
    JobPapers,
    Ruling,
    SourceKind,
    limits_for,
)
from training.floor.limits import Feature, JudgedBy, Line, Measure, Unit

DAY = date(2026, 11, 25)
DEPTH = Feature("depth", "profundidad")
WIDTH = Feature("width", "anchura")


def line(measure: Measure = Measure.AT_MOST, **more: Any) -> Line:
    return Line("A", measure, JudgedBy.EYE, family="sink", **more)


def at_most(value: float, **more: Any) -> Line:
    return line(value=value, unit=Unit.MM, **more)


def counted(count: int, **more: Any) -> Line:
    return line(Measure.COUNT_AT_MOST, **{"value": 0.3, "unit": Unit.MM, "count": count} | more)


NOTHING = line(Measure.NONE)
ANY = line(Measure.ANY)


@pytest.mark.parametrize(
    ("loose", "tight"),
    [
        (at_most(0.5), at_most(0.3)),
        (at_most(0.3), NOTHING),
        (at_most(0.3), at_most(0.3, count=2)),
        (counted(2), counted(1)),
        (counted(1, per_area_cm2=100), counted(1)),
        (counted(1, per_area_cm2=50), counted(1, per_area_cm2=100)),
        (counted(2, spacing_mm=20), counted(2, spacing_mm=50)),
        (
            line(Measure.BETWEEN, value=1, value2=3, unit=Unit.MM),
            line(Measure.BETWEEN, value=1, value2=2, unit=Unit.MM),
        ),
        (
            line(Measure.BETWEEN, value=0.5, value2=2, unit=Unit.MM),
            line(Measure.BETWEEN, value=1, value2=2, unit=Unit.MM),
        ),
        (
            line(Measure.NONE, value=0.8, unit=Unit.MM),
            line(Measure.NONE, value=0.5, unit=Unit.MM),
        ),
        (
            line(Measure.NOT_VISIBLE_AT, distance_mm=900, time_s=8),
            line(Measure.NOT_VISIBLE_AT, distance_mm=600, time_s=8),
        ),
        (
            line(Measure.NOT_VISIBLE_AT, distance_mm=600, time_s=4),
            line(Measure.NOT_VISIBLE_AT, distance_mm=600, time_s=8),
        ),
        (ANY, at_most(9)),
    ],
)
def test_the_looser_of_two(loose: Line, tight: Line) -> None:
    assert looser(loose, tight)
    assert not looser(tight, loose)
    assert never_looser(tight, loose)
    assert not never_looser(loose, tight)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (at_most(0.3), line(value=0.3, unit=Unit.MM2)),
        (at_most(0.3, feature=DEPTH), at_most(0.3, feature=WIDTH)),
        (at_most(0.3), line(Measure.GAUGE, gauge="04-G")),
        (line(Measure.GAUGE, gauge="04-G"), line(Measure.GAUGE, gauge="05-G")),
        (line(Measure.SAMPLE, sample="01-SK"), line(Measure.SAMPLE, sample="02-SK")),
    ],
)
def test_lines_of_different_kinds_are_not_held_against_each_other(one: Line, other: Line) -> None:
    for first, second in ((one, other), (other, one)):
        assert not looser(first, second)
        assert not never_looser(first, second)


def test_what_else_a_line_asks_for_is_not_lost() -> None:
    sampled, seen = at_most(0.5, sample="01-SK"), at_most(0.5, distance_mm=600, time_s=8)
    for other in (sampled, seen, counted(2, spacing_mm=50)):
        tighter = at_most(0.3) if other.measure is Measure.AT_MOST else counted(2)
        assert not never_looser(tighter, other)
        assert not looser(tighter, other)


SIZES = st.sampled_from([0.1, 0.2, 0.3, 0.5, 0.8])
FEATURES = st.sampled_from([None, DEPTH, WIDTH])
SPANS = st.tuples(SIZES, SIZES).map(sorted)
LINES = st.one_of(
    st.builds(at_most, SIZES, feature=FEATURES, count=st.sampled_from([None, 1, 3])),
    st.builds(
        counted,
        st.integers(1, 3),
        value=SIZES,
        feature=FEATURES,
        per_area_cm2=st.sampled_from([None, 100.0]),
        spacing_mm=st.sampled_from([None, 50.0]),
    ),
    st.builds(
        lambda span, feature: line(
            Measure.BETWEEN, value=span[0], value2=span[1], unit=Unit.MM, feature=feature
        ),
        SPANS,
        FEATURES,
    ),
    st.builds(
        lambda value, feature: line(Measure.NONE, value=value, unit=Unit.MM, feature=feature),
        SIZES,
        FEATURES,
    ),
    # A finding does not say which feature was seen, so these lines name none.
    st.builds(
        lambda distance, time: line(Measure.NOT_VISIBLE_AT, distance_mm=distance, time_s=time),
        st.sampled_from([300.0, 600.0]),
        st.sampled_from([4.0, 8.0]),
    ),
    st.builds(lambda feature: line(Measure.NONE, feature=feature), FEATURES),
    st.just(ANY),
)
SOME = st.lists(LINES, max_size=3).map(tuple)


def found(severity: float, count: int, feature: str, seen: bool | None) -> Finding:
    """Where nothing was found there is nothing to count or to see."""
    if severity == 0:
        return Finding(0, Unit.MM, 0, feature, seen=False if seen else seen)
    return Finding(severity, Unit.MM, count, feature, seen=seen)


# Where lines tell features apart a finding says which one it is.
FINDINGS = st.builds(
    found,
    st.sampled_from([0, 0.05, 0.15, 0.25, 0.4, 0.6, 1]),
    st.integers(1, 4),
    st.sampled_from(["depth", "width"]),
    st.sampled_from([None, True, False]),
)


def decided(papers: JobPapers, finding: Finding) -> Decision:
    return judge(finding, limits_for(papers, family="sink", zone="A", day=DAY)).decision


def alerted(lines: tuple[Line, ...]) -> AlertLines:
    return AlertLines("A-01", DAY, DAY, lines)


def conceded(lines: tuple[Line, ...], first: date = DAY, last: date | None = DAY) -> Any:
    return ConcessionLines("CN-01", first, last, lines, "1042", "1077")


@given(sheet=SOME, general=SOME, alert=SOME, concession=SOME, finding=FINDINGS)
def test_no_alert_accepts_what_was_refused(
    sheet: tuple[Line, ...],
    general: tuple[Line, ...],
    alert: tuple[Line, ...],
    concession: tuple[Line, ...],
    finding: Finding,
) -> None:
    papers = JobPapers("F", sheet, general=general, concessions=(conceded(concession),))
    tightened = JobPapers(
        "F", sheet, general=general, concessions=papers.concessions, alerts=(alerted(alert),)
    )
    if decided(papers, finding) is Decision.REJECT:
        assert decided(tightened, finding) is Decision.REJECT


def rests_on_a_concession(ruling: Ruling) -> bool:
    """Whether it is a concession's line, or stands over one."""
    own = ruling.source.kind is SourceKind.CONCESSION
    return own or any(rests_on_a_concession(over) for over in ruling.over)


@given(sheet=SOME, alert=SOME, concession=SOME, finding=FINDINGS)
def test_only_a_concession_in_force_loosens(
    sheet: tuple[Line, ...],
    alert: tuple[Line, ...],
    concession: tuple[Line, ...],
    finding: Finding,
) -> None:
    bare = JobPapers("F", sheet)
    if decided(bare, finding) is not Decision.REJECT:
        return
    papers = JobPapers("F", sheet, alerts=(alerted(alert),), concessions=(conceded(concession),))
    if decided(papers, finding) is not Decision.REJECT:
        rulings = limits_for(papers, family="sink", zone="A", day=DAY)
        assert any(rests_on_a_concession(ruling) for ruling in rulings)


@given(sheet=SOME, alert=SOME, concession=SOME)
def test_a_concession_out_of_its_days_or_parts_changes_nothing(
    sheet: tuple[Line, ...], alert: tuple[Line, ...], concession: tuple[Line, ...]
) -> None:
    day = timedelta(days=1)
    without = limits_for(
        JobPapers("F", sheet, alerts=(alerted(alert),)), family="sink", zone="A", day=DAY
    )
    spent = ConcessionLines("CN-01", DAY, None, concession, "1042", "1077", quantity_left=0)
    for paper in (
        conceded(concession, DAY + day, None),
        conceded(concession, DAY - 9 * day, DAY - day),
        spent,
    ):
        papers = JobPapers("F", sheet, alerts=(alerted(alert),), concessions=(paper,))
        assert limits_for(papers, family="sink", zone="A", day=DAY) == without


@given(first=LINES, second=LINES, finding=FINDINGS)
def test_what_is_never_looser_accepts_nothing_more(
    first: Line, second: Line, finding: Finding
) -> None:
    if never_looser(first, second):
        assert not looser(first, second)
        sheets = (JobPapers("F", (second,)), JobPapers("F", (first,)))
        if decided(sheets[0], finding) is Decision.REJECT:
            assert decided(sheets[1], finding) is Decision.REJECT


def test_a_named_line_is_replaced_and_no_other() -> None:
    sheet = (at_most(0.3, feature=DEPTH), NOTHING)
    paper = ConcessionLines(
        "CN-01", DAY, None, (at_most(0.5),), "1042", "1077", instead_of=(NOTHING,)
    )
    rulings = limits_for(
        JobPapers("F", sheet, concessions=(paper,)), family="sink", zone="A", day=DAY
    )
    assert [(each.source.kind, each.line.value) for each in rulings] == [
        (SourceKind.CONCESSION, 0.5),
        (SourceKind.WORK_INSTRUCTION, 0.3),
    ]
    assert rulings[0].over[0].line == NOTHING


def test_a_named_line_that_is_gone_concedes_nothing() -> None:
    paper = ConcessionLines(
        "CN-01", DAY, None, (at_most(0.5),), "1042", "1077", instead_of=(at_most(0.3),)
    )
    revised = JobPapers("G", (at_most(0.2),), concessions=(paper,))
    (ruling,) = limits_for(revised, family="sink", zone="A", day=DAY)
    assert (ruling.source.kind, ruling.line.value) == (SourceKind.WORK_INSTRUCTION, 0.2)
