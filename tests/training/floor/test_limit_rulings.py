"""What overrules what. The order is common practice, no source."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from training.floor.limit_comparing import loosened_by, replaced_by
from training.floor.limit_rulings import (
    AlertLines,
    ConcessionLines,
    JobPapers,
    LimitSample,
    Ruling,
    SampleKind,
    SourceKind,
    limits_for,
)
from training.floor.limits import (
    WHOLE_PART,
    Feature,
    JudgedBy,
    LimitError,
    Line,
    Measure,
    Unit,
)

DAY = date(2025, 11, 25)
DEPTH = Feature("depth", "profundidad")


def line(value: float | None = None, zone: str = "A", **more: Any) -> Line:
    """A sink line: up to so many mm, or none."""
    if value is None:
        more = {"measure": Measure.NONE} | more
    else:
        more = {"measure": Measure.AT_MOST, "value": value, "unit": Unit.MM} | more
    return Line(zone=zone, judged_by=JudgedBy.EYE, family="sink", **more)


def sample(expires: int = 30, **more: Any) -> LimitSample:
    given = {"kind": SampleKind.WORST_ACCEPTED, "family": "sink", "zone": "A"} | more
    return LimitSample(
        "01-SK", signed=DAY - timedelta(days=300), expires=DAY + timedelta(days=expires), **given
    )


def sampled(**more: Any) -> Line:
    return Line("A", Measure.SAMPLE, JudgedBy.EYE, family="sink", sample="01-SK", **more)


def alert(*lines: Line, first: int = 0, last: int = 0) -> AlertLines:
    return AlertLines("A-01", DAY + timedelta(days=first), DAY + timedelta(days=last), lines)


def concession(*lines: Line, first: int = 0, last: int = 0, **more: Any) -> ConcessionLines:
    signed = {"signed_by": "1042", "second_signature": "Customer H"} | more
    return ConcessionLines(
        "CN-01", DAY + timedelta(days=first), DAY + timedelta(days=last), lines, **signed
    )


def rule(papers: JobPapers, zone: str = "A", day: date = DAY) -> tuple[Ruling, ...]:
    return limits_for(papers, family="sink", zone=zone, day=day)


def said(rulings: tuple[Ruling, ...]) -> list[tuple[str, float | None]]:
    return [(ruling.source.kind.value, ruling.line.value) for ruling in rulings]


def test_the_sheet_beats_the_general_limits_zone_by_zone() -> None:
    papers = JobPapers("F", (line(0.05),), general=(line(0.2), line(0.3, "B")))
    assert said(rule(papers)) == [("work_instruction", 0.05)]
    assert said(rule(papers, "B")) == [("general", 0.3)]
    assert rule(papers, "C") == ()


def test_a_whole_part_line_of_the_sheet_beats_general_limits_everywhere() -> None:
    papers = JobPapers("F", (line(zone=WHOLE_PART),), general=(line(0.3, "B"),))
    assert said(rule(papers, "B")) == [("work_instruction", None)]


def test_several_lines_all_rule() -> None:
    papers = JobPapers("F", (line(0.05), line(feature=DEPTH), line(0.1, WHOLE_PART)))
    assert len(rule(papers)) == 3


def test_the_whole_part_asks_for_every_zone() -> None:
    papers = JobPapers("F", (line(0.05),), general=(line(0.3, "B"), line(0.4, "C")))
    assert said(rule(papers, WHOLE_PART)) == [
        ("work_instruction", 0.05),
        ("general", 0.3),
        ("general", 0.4),
    ]


@pytest.mark.parametrize(("offset", "rules"), [(-1, False), (0, True), (3, True), (4, False)])
def test_an_alert_rules_from_its_first_to_its_last_day(offset: int, rules: bool) -> None:
    papers = JobPapers("F", (line(0.05),), alerts=(alert(line(0.03), last=3),))
    found = rule(papers, day=DAY + timedelta(days=offset))
    assert said(found) == ([("alert", 0.03)] if rules else [("work_instruction", 0.05)])


def test_an_alert_names_what_it_sets_aside() -> None:
    papers = JobPapers("F", (line(0.05),), alerts=(alert(line(0.03)),))
    (ruling,) = rule(papers)
    assert ruling.source.reference == "A-01"
    assert [over.line.value for over in ruling.over] == [0.05]


def test_an_alert_never_loosens() -> None:
    papers = JobPapers("F", (line(0.05),), alerts=(alert(line(0.09)),))
    assert said(rule(papers)) == [("alert", 0.09), ("work_instruction", 0.05)]
    assert loosened_by(line(0.09), papers.lines) == papers.lines
    assert loosened_by(line(0.03), papers.lines) == ()
    assert loosened_by(line(0.05, count=2), (line(0.05, count=1),)) != ()


def test_an_alert_on_one_feature_leaves_the_others() -> None:
    other = line(0.05, feature=Feature("opposite the bosses", "frente a los postes"))
    papers = JobPapers(
        "F", (other, line(0.08, feature=DEPTH)), alerts=(alert(line(feature=DEPTH)),)
    )
    assert said(rule(papers)) == [("alert", None), ("work_instruction", 0.05)]


def test_an_alert_sets_the_sample_aside() -> None:
    near = Feature("line near the cut-out", "línea junto al corte")
    papers = JobPapers("F", (sampled(),), alerts=(alert(line(feature=near)),), samples=(sample(),))
    assert said(rule(papers)) == [("alert", None)]


@pytest.mark.parametrize(("offset", "value"), [(-1, 0.05), (0, 0.08), (2, 0.08), (3, 0.05)])
def test_a_concession_loosens_until_its_last_day(offset: int, value: float) -> None:
    papers = JobPapers("F", (line(0.05),), concessions=(concession(line(0.08), last=2),))
    (ruling,) = rule(papers, day=DAY + timedelta(days=offset))
    assert ruling.line.value == value


def test_a_concession_ends_with_its_quantity() -> None:
    left = JobPapers("F", (line(0.05),), concessions=(concession(line(0.08), quantity_left=1),))
    assert said(rule(left)) == [("concession", 0.08)]
    used = JobPapers("F", (line(0.05),), concessions=(concession(line(0.08), quantity_left=0),))
    assert said(rule(used)) == [("work_instruction", 0.05)]


def test_a_concession_touches_its_own_line_only() -> None:
    kept = line(0.05, feature=Feature("on the rim", "en el borde"))
    sheet = (kept, line(0.05, feature=DEPTH), line(feature=Feature("crack", "grieta")))
    paper = concession(line(0.08, feature=DEPTH))
    found = rule(JobPapers("F", sheet, concessions=(paper,)))
    assert said(found) == [
        ("concession", 0.08),
        ("work_instruction", 0.05),
        ("work_instruction", None),
    ]
    assert [over.line for over in found[0].over] == [sheet[1]]


def test_a_concession_that_names_no_line_concedes_nothing() -> None:
    odd = line(0.08, feature=Feature("elsewhere", "otra parte"))
    papers = JobPapers("F", (line(0.05, feature=DEPTH),), concessions=(concession(odd),))
    assert said(rule(papers)) == [("work_instruction", 0.05)]
    assert replaced_by(odd, papers.lines) == ()


def test_an_alert_outranks_a_concession() -> None:
    papers = JobPapers(
        "F",
        (line(0.05),),
        alerts=(alert(line(0.04)),),
        concessions=(concession(line(0.08)),),
    )
    (ruling,) = rule(papers)
    assert ruling.source.kind is SourceKind.ALERT
    (over,) = ruling.over
    assert (over.source.kind, over.over[0].line.value) == (SourceKind.CONCESSION, 0.05)


@pytest.mark.parametrize("missing", ["signed_by", "second_signature"])
def test_a_concession_needs_two_signatures(missing: str) -> None:
    unsigned: dict[str, Any] = {missing: " "}
    with pytest.raises(LimitError, match="two signatures"):
        concession(line(0.08), **unsigned)


@pytest.mark.parametrize(("expires", "lost"), [(0, False), (-1, True)])
def test_a_sample_past_its_day_stops_counting(expires: int, lost: bool) -> None:
    (ruling,) = rule(JobPapers("F", (sampled(),), samples=(sample(expires),)))
    assert (ruling.source.kind, ruling.source.reference) == (SourceKind.SAMPLE, "01-SK")
    assert ruling.ask_quality is lost


def test_a_sample_that_does_not_exist_is_no_valid_sample() -> None:
    (ruling,) = rule(JobPapers("F", (sampled(),)))
    assert ruling.ask_quality


def test_a_number_stands_without_its_sample() -> None:
    (ruling,) = rule(JobPapers("F", (line(0.05, sample="01-SK"),), samples=(sample(-1),)))
    assert ruling.no_valid_sample
    assert not ruling.ask_quality


def test_a_sample_stands_in_where_the_sheet_is_silent() -> None:
    papers = JobPapers("F", (), general=(line(0.2),), samples=(sample(),))
    assert [ruling.line.measure for ruling in rule(papers)] == [Measure.SAMPLE]
    for other in (sample(-1), sample(kind=SampleKind.LEAST_REFUSED), sample(zone="B")):
        assert said(rule(replace(papers, samples=(other,)))) == [("general", 0.2)]
