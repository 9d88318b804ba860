"""Every limit of the invented plant is a structured line, and rules as its story tells."""

from datetime import date, timedelta
from functools import cache

import pytest

from media_demo.plant.limits import read_general_lines, read_papers
from media_demo.plant.read import documents, rows
from training.floor.limit_comparing import loosened_by
from training.floor.limit_judging import Decision, Finding, judge
from training.floor.limit_rulings import JobPapers, limits_for
from training.floor.limit_words import ruling_text, source_text
from training.floor.limits import Unit, line_data, parse_line

TODAY = date(2025, 11, 25)


@cache
def papers() -> dict[str, JobPapers]:
    return read_papers(TODAY)


def ruling(job: str, family: str, zone: str, offset: int = 0) -> list[tuple[str, str]]:
    found = limits_for(papers()[job], family=family, zone=zone, day=TODAY + timedelta(days=offset))
    return [(source_text(each.source, "en"), ruling_text(each, "en")) for each in found]


def test_all_limit_lines_of_the_jobs() -> None:
    lines = [line for sheet in papers().values() for line in sheet.lines]
    assert len(papers()) == 24
    assert len(lines) == 322
    assert sum(line.whole_part for line in lines) == 71


def test_all_general_lines() -> None:
    assert len(read_general_lines()) == 114


def test_nothing_is_lost_on_the_way_through() -> None:
    for job in documents("jobs"):
        for data in job["limits"]:
            assert line_data(parse_line(data)) == data
    for family in documents("families"):
        for data in family["limits"]:
            assert line_data(parse_line(data, family["slug"])) == {"family": family["slug"]} | data


def test_every_number_on_a_line_is_a_thing_that_exists() -> None:
    gauges = {row["gauge"] for row in rows("gauges")}
    samples = {row["sample"] for row in rows("limit_samples")}
    families = {family["slug"] for family in documents("families")}
    for sheet in papers().values():
        for line in (*sheet.lines, *sheet.general):
            assert line.gauge in gauges | {""}
            assert line.sample in samples | {""}
            assert line.family in families


def test_no_alert_loosens_its_job() -> None:
    for sheet in papers().values():
        for alert in sheet.alerts:
            for line in alert.lines:
                assert loosened_by(line, sheet.lines) == ()


def test_the_concession_on_the_tank_lid() -> None:
    text = "up to {} mm: depth over a 20 mm bridge"
    assert ruling("124", "sink", "A") == [("concession CN-02", text.format("0.08"))]
    assert ruling("124", "sink", "A", 6) == [("concession CN-02", text.format("0.08"))]
    assert ruling("124", "sink", "A", 7) == [("work instruction rev B", text.format("0.05"))]
    assert ruling("124", "sink", "B") == [("site general limits", text.format("0.1"))]


def test_the_alert_that_overrules_a_sample() -> None:
    words = "none accepted: line near the cut-out"
    assert ruling("111", "weld-line", "A") == [("alert A-08", words)]
    after = ruling("111", "weld-line", "A", 18)
    assert after == [("sample 07-WL", "not worse than sample 07-WL: near the cut-out")]


def test_the_alert_that_ended_yesterday() -> None:
    assert ("alert A-05", "none accepted: speck on the inside face (water)") in ruling(
        "121", "black-specks", "F", -1
    )
    assert [source for source, _ in ruling("121", "black-specks", "F")] == [
        "work instruction rev E"
    ]


def test_the_sample_that_ended_eight_days_ago() -> None:
    assert ("sample 05-GL", "no valid sample: ask quality (dull halo round the gate)") in ruling(
        "108", "gloss", "A"
    )
    then = ruling("108", "gloss", "A", -8)
    assert ("sample 05-GL", "not worse than sample 05-GL: dull halo round the gate") in then


@pytest.mark.parametrize(
    ("job", "family", "zone", "finding", "decision"),
    [
        # The invented plant's own quiz items; the words say the size and the limit.
        ("101", "weld-line", "A", Finding(5, Unit.MM), Decision.ACCEPT),
        ("101", "weld-line", "A", Finding(9, Unit.MM), Decision.REJECT),
        ("101", "sink", "C", Finding(0.15, Unit.MM), Decision.ACCEPT),
        ("101", "sink", "A", Finding(0.15, Unit.MM), Decision.REJECT),
        ("107", "crack", "B", Finding(0.4, Unit.MM), Decision.REJECT),
        ("108", "gloss", "A", Finding(3, Unit.GLOSS_60), Decision.UNDECIDABLE),
        ("108", "gloss", "A", Finding(6, Unit.GLOSS_60), Decision.REJECT),
        ("110", "insert", "F", Finding(1, Unit.PIECES), Decision.REJECT),
        ("110", "insert", "F", Finding(2, Unit.PIECES), Decision.ACCEPT),
        ("124", "sink", "A", Finding(0.07, Unit.MM), Decision.ACCEPT),
    ],
)
def test_judging_parts(
    job: str, family: str, zone: str, finding: Finding, decision: Decision
) -> None:
    rulings = limits_for(papers()[job], family=family, zone=zone, day=TODAY)
    assert judge(finding, rulings).decision is decision
