"""Questions about alerts and concessions: which lines they may speak of, which stand, which wait."""

import datetime as dt
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from django.db.models import Prefetch

from training.floor.concession_selectors import quantity_left
from training.floor.limit_rulings import JobPapers, Ruling, limits_for
from training.floor.limits import Measure
from training.floor.models import Alert, Concession, Family, Job, LimitLine
from training.floor.selectors import papers_of, sheet_in_force, zones_of


class PaperState(StrEnum):
    """Where a paper stands on a day."""

    WAITING = "waiting"
    IN_FORCE = "in_force"
    TO_COME = "to_come"
    USED_UP = "used_up"
    WITHDRAWN = "withdrawn"
    NEVER_SIGNED = "never_signed"
    ENDED = "ended"


OPEN = (PaperState.WAITING, PaperState.IN_FORCE, PaperState.TO_COME)


@dataclass(frozen=True, slots=True)
class ConcessionRow:
    """A concession and where it stands; `left` is how many parts may still be made."""

    paper: Concession
    state: PaperState
    left: int | None


@dataclass(frozen=True, slots=True)
class AlertRow:
    """An alert and where it stands."""

    paper: Alert
    state: PaperState


def state_of_concession(paper: Concession, day: dt.date) -> PaperState:
    """Return where a concession stands on a day; its counts are prefetched."""
    if paper.withdrawn_day is not None and paper.withdrawn_day <= day:
        return PaperState.WITHDRAWN
    if paper.to_day is not None and paper.to_day < day:
        return PaperState.ENDED if paper.signed_twice else PaperState.NEVER_SIGNED
    if not paper.signed_twice:
        return PaperState.WAITING
    if quantity_left(paper, day) == 0:
        return PaperState.USED_UP
    return PaperState.IN_FORCE if paper.from_day <= day else PaperState.TO_COME


def state_of_alert(paper: Alert, day: dt.date) -> PaperState:
    """Return where an alert stands on a day."""
    if paper.last_day < day or paper.last_day < paper.from_day:
        return PaperState.ENDED if paper.withdrawn_day is None else PaperState.WITHDRAWN
    return PaperState.IN_FORCE if paper.from_day <= day else PaperState.TO_COME


def list_concessions(day: dt.date, job: str = "") -> list[ConcessionRow]:
    """Return concessions, those that wait first, then those in force; newest first. Four queries."""
    papers = Concession.objects.select_related("job", "signed_by", "second_signed_by")
    if job:
        papers = papers.filter(job__number=job)
    rows = [
        ConcessionRow(paper, state_of_concession(paper, day), quantity_left(paper, day))
        for paper in papers.prefetch_related(_lines(), "counts").order_by("-from_day", "number")
    ]
    return sorted(rows, key=lambda row: list(PaperState).index(row.state))


def list_alerts(day: dt.date) -> list[AlertRow]:
    """Return alerts, those in force first, then newest first. Costs three queries."""
    papers = Alert.objects.select_related("family", "written_by").prefetch_related("jobs", _lines())
    rows = [
        AlertRow(paper, state_of_alert(paper, day))
        for paper in papers.order_by("-from_day", "number")
    ]
    return sorted(rows, key=lambda row: list(PaperState).index(row.state))


def concession_with_lines(pk: uuid.UUID) -> Concession | None:
    """Return one concession with what its page shows. Costs three queries."""
    papers = Concession.objects.select_related("job", "signed_by", "second_signed_by")
    papers = papers.select_related("withdrawn_by", "job__group")
    return papers.prefetch_related(_lines(), "counts__recorded_by").filter(pk=pk).first()


def alert_with_lines(pk: uuid.UUID) -> Alert | None:
    """Return one alert with what its page shows. Costs three queries."""
    papers = Alert.objects.select_related("family", "written_by", "withdrawn_by")
    return papers.prefetch_related(_lines(), "jobs").filter(pk=pk).first()


def _lines() -> "Prefetch[str]":
    return Prefetch("lines", LimitLine.objects.select_related("family"))


def newest_number(numbers: Iterable[str]) -> str:
    """Return the highest of some numbers that are written alike: CN-10 after CN-9."""
    return max(numbers, key=lambda number: (len(number), number), default="")


def unsigned_concessions(day: dt.date) -> list[Concession]:
    """Return the concessions that wait for their second signature. Costs at most three queries."""
    wanting = Concession.objects.filter(second_signed_by=None, second_signature="")
    papers = wanting.select_related("job", "signed_by").prefetch_related("counts")
    return [paper for paper in papers if state_of_concession(paper, day) is PaperState.WAITING]


def rulings_of(job: Job, papers: JobPapers, families: Iterable[str], day: dt.date) -> list[Ruling]:
    """Return every line that rules one of the families (by slug) anywhere on the part, once."""
    found: dict[tuple[object, object], Ruling] = {}
    for family in families:
        for zone in zones_of(job, papers.lines):
            for ruling in limits_for(papers, family=family, zone=zone, day=day):
                found.setdefault((ruling.line, ruling.source), ruling)
    return list(found.values())


@dataclass(frozen=True)
class Concedable:
    """What a concession on a job may loosen on a day, and what nothing may loosen."""

    revision: str
    needs: Mapping[str, str]
    families: Mapping[str, Family]
    rulings: tuple[Ruling, ...]
    critical: tuple[Ruling, ...]


def concedable(job: Job, day: dt.date) -> Concedable | None:
    """Return the lines of a job that a concession may loosen; None without a sheet.

    Alerts are left out because they outrank a concession. Nothing of a critical family is accepted
    on the floor, so no paper loosens it (common practice, no source). Costs at most eleven queries.
    """
    sheet = sheet_in_force(job, day)
    if sheet is None:
        return None
    families = {family.slug: family for family in Family.objects.filter(slug__in=sheet.needs)}
    papers = replace(papers_of(job, day, sheet), alerts=(), concessions=())
    rulings = [
        ruling
        for ruling in rulings_of(job, papers, families, day)
        if ruling.line.measure is not Measure.ANY
    ]
    critical = [
        ruling
        for ruling in rulings
        if is_critical(ruling, sheet.needs, families[ruling.line.family])
    ]
    return Concedable(
        sheet.revision,
        sheet.needs,
        families,
        tuple(ruling for ruling in rulings if ruling not in critical),
        tuple(critical),
    )


def is_critical(ruling: Ruling, needs: Mapping[str, str], family: Family) -> bool:
    """Return whether a line is critical by itself, by the job or always."""
    levels = (str(ruling.line.level), needs.get(ruling.line.family))
    return "critical" in levels or family.always_critical


def level_of(family: str, jobs: Sequence[Job], day: dt.date) -> str:
    """Return the highest level that the sheets of some jobs ask for a family. A query a job."""
    sheets = [sheet for job in jobs if (sheet := sheet_in_force(job, day)) is not None]
    critical = any(sheet.needs.get(family) == "critical" for sheet in sheets)
    return "critical" if critical else "ordinary"
