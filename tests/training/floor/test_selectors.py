"""What a job accepts on a day, from the papers in the database to the pure rules."""

import datetime as dt
from types import SimpleNamespace

from tests.conftest import TODAY
from training.floor.alerts import raise_alert
from training.floor.limit_rulings import SourceKind
from training.floor.limits import JudgedBy, Line, Measure, Unit
from training.floor.models import Concession, GeneralLimits, LimitLine, LimitSample
from training.floor.selectors import (
    alerts_in_force,
    limit_draft,
    lines_of_sheet,
    papers_of,
    rulings_on,
    sheet_in_force,
    today_at_the_plant,
    zone_limits,
)
from training.floor.services import publish_work_instruction, save_lines
from training.people.models import Person

DAY = dt.timedelta(days=1)


def at_most(family: str, value: float, zone: str = "A") -> Line:
    return Line(zone, Measure.AT_MOST, JudgedBy.EYE, family=family, value=value, unit=Unit.MM)


def kinds(plant: SimpleNamespace, family: str, day: dt.date = TODAY, zone: str = "A") -> list[str]:
    return [ruling.source.kind for ruling in rulings_on(plant.job, day, family, zone)]


def test_the_sheet_of_the_day_rules(plant: SimpleNamespace) -> None:
    later = publish_work_instruction(
        job=plant.job,
        revision="B",
        day=TODAY,
        needs={"burn": "ordinary"},
        lines=[at_most("burn", 1)],
    )
    assert sheet_in_force(plant.job, TODAY - DAY) == plant.sheet
    assert sheet_in_force(plant.job, TODAY) == later
    assert sheet_in_force(plant.job, dt.date(2026, 1, 4)) is None
    [before] = rulings_on(plant.job, TODAY - DAY, "burn", "A")
    [after] = rulings_on(plant.job, TODAY, "burn", "A")
    assert (before.line.measure, before.source.reference) == (Measure.NONE, "A")
    assert (after.line.value, after.source.reference) == (1, "B")


def test_the_sites_general_limits_stand_in_where_the_sheet_is_silent(
    plant: SimpleNamespace,
) -> None:
    old = GeneralLimits.objects.create(revision="A", day=dt.date(2025, 1, 1))
    new = GeneralLimits.objects.create(revision="B", day=TODAY)
    save_lines([at_most("burn", 2, "C")], general=old)
    save_lines([at_most("burn", 3, "C")], general=new)
    assert kinds(plant, "burn", zone="C") == [SourceKind.GENERAL]
    assert rulings_on(plant.job, TODAY, "burn", "C")[0].line.value == 3
    assert rulings_on(plant.job, TODAY - DAY, "burn", "C")[0].line.value == 2
    assert kinds(plant, "burn") == [SourceKind.WORK_INSTRUCTION]


def test_an_alert_stands_over_the_sheet_only_on_its_days(
    plant: SimpleNamespace, quality: Person
) -> None:
    raise_alert(
        number="A-01",
        jobs=[plant.job],
        family=plant.specks,
        zone="A",
        text={"en": "None."},
        from_day=TODAY,
        to_day=TODAY + DAY,
        written_day=TODAY - DAY,
        written_by=quality,
        lines=[Line("A", Measure.NONE, JudgedBy.EYE, family="black-specks")],
    )
    assert kinds(plant, "black-specks", TODAY - DAY) == [SourceKind.WORK_INSTRUCTION]
    assert kinds(plant, "black-specks", TODAY + DAY) == [SourceKind.ALERT]
    assert kinds(plant, "black-specks", TODAY + 2 * DAY) == [SourceKind.WORK_INSTRUCTION]
    assert list(alerts_in_force(TODAY)) == [plant.job.pk]
    assert alerts_in_force(TODAY + 2 * DAY) == {}


def test_a_concession_takes_the_place_of_the_line_it_speaks_of(
    plant: SimpleNamespace, quality: Person
) -> None:
    paper = Concession.objects.create(
        number="CN-1",
        job=plant.job,
        from_day=TODAY,
        to_day=TODAY,
        reason="cooling line",
        signed_by=quality,
        second_signature="customer, on paper",
    )
    save_lines([Line("A", Measure.NONE, JudgedBy.EYE, family="burn", value=0.5, unit=Unit.MM)],
               concession=paper)  # fmt: skip
    line = LimitLine.objects.get(work_instruction=plant.sheet, family=plant.burn)
    line.measure = {**line.measure, "value": 0.2, "unit": "mm"}
    line.save()
    [ruling] = rulings_on(plant.job, TODAY, "burn", "A")
    assert (ruling.source.kind, ruling.source.reference, ruling.line.value) == (
        SourceKind.CONCESSION,
        "CN-1",
        0.5,
    )
    assert kinds(plant, "burn", TODAY + DAY) == [SourceKind.WORK_INSTRUCTION]


def test_a_sample_past_its_day_stops_counting(plant: SimpleNamespace, quality: Person) -> None:
    LimitSample.objects.create(
        code="01-BU", job_group=plant.job.group, family=plant.burn, zone="A",
        text={"en": "palest"}, kind="worst accepted", place="drawer",
        signed_day=TODAY - DAY, expires_day=TODAY, signed_by=quality,
    )  # fmt: skip
    publish_work_instruction(
        job=plant.job,
        revision="B",
        day=TODAY,
        needs={"burn": "ordinary"},
        lines=[Line("A", Measure.SAMPLE, JudgedBy.EYE, family="burn", sample="01-BU")],
    )
    [today] = rulings_on(plant.job, TODAY, "burn", "A")
    [tomorrow] = rulings_on(plant.job, TODAY + DAY, "burn", "A")
    assert (today.ask_quality, tomorrow.ask_quality) == (False, True)


def test_families_without_zones_stand_under_the_whole_part(plant: SimpleNamespace) -> None:
    sheet = publish_work_instruction(
        job=plant.job,
        revision="B",
        day=TODAY,
        needs={"burn": "ordinary", "grease-oil": "ordinary"},
        lines=[at_most("burn", 1), Line("*", Measure.NONE, JudgedBy.EYE, family="grease-oil")],
    )
    zones = zone_limits(plant.job, papers_of(plant.job, TODAY), sheet.needs, TODAY)
    assert [(zone.zone, [row.family.slug for row in zone.families]) for zone in zones] == [
        ("A", ["burn"]),
        ("*", ["grease-oil"]),
    ]


def test_a_zone_that_no_drawing_names_still_shows_its_limits(plant: SimpleNamespace) -> None:
    plant.job.zones = {}
    zones = zone_limits(plant.job, papers_of(plant.job, TODAY), plant.sheet.needs, TODAY)
    assert [(zone.zone, len(zone.families)) for zone in zones] == [("A", 3)]


def test_lines_come_back_as_they_were_written(plant: SimpleNamespace) -> None:
    lines = [
        at_most("burn", 0.25),
        Line("A", Measure.GAUGE, JudgedBy.GAUGE, family="burn", gauge="G-1"),
    ]
    sheet = publish_work_instruction(
        job=plant.job, revision="B", day=TODAY, needs={"burn": "ordinary"}, lines=lines
    )
    assert lines_of_sheet(sheet) == lines
    draft = limit_draft(plant.job, TODAY)
    assert draft is not None
    assert (draft.sheet, draft.lines, draft.readers) == (sheet, tuple(lines), 0)


def test_the_plants_day_begins_in_the_morning() -> None:
    """The night of a day is the one that begins on it; the plant's zone is UTC in these tests."""
    for hour, day in ((5, TODAY - DAY), (6, TODAY), (23, TODAY)):
        assert (
            today_at_the_plant(dt.datetime(2026, 11, 25, hour, 59 * (hour == 5), tzinfo=dt.UTC))
            == day
        )
