"""The standing facts of the invented plant, straight from its files, without a database."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import date, datetime, tzinfo
from typing import TypeVar

from certification.certificates.standing_facts import (
    Alert,
    Authorisation,
    Block,
    Certificate,
    JobFacts,
    LessonRead,
    Level,
    ObservedCheck,
    PersonFacts,
    Reading,
    ReadingKind,
    Requalification,
    Revision,
    Sight,
    Span,
    VisionCheck,
    WorkDay,
    plant_day,
)
from media_demo.plant.read import at, documents, on, on_or_none, rows

LEVELS = {"ordinary": Level.ORDINARY, "critical": Level.CRITICAL}
WORKING_KINDS = frozenset({"turn", "relief", "under_supervision"})

Fact = TypeVar("Fact")
Row = dict[str, str]


def read_people(today: date, zone: tzinfo) -> dict[str, PersonFacts]:
    """Facts of everybody in the files, by personnel number; leavers and office included."""
    employments = _by_person("employments", lambda row: _span(row, today))
    certificates = _by_person("family_certs", lambda row: _certificate(row, today))
    checks = _by_person("job_signoffs", lambda row: _observed_check(row, today))
    sight = _by_person("vision_checks", lambda row: _vision_check(row, today))
    leave = _by_person(
        "authorisations", lambda row: Authorisation(row["kind"], Span(on(today, row["day"])))
    )
    readings = _by_person("acknowledgements", lambda row: _reading(row, today, zone))
    lessons = _by_person(
        "lessons_read", lambda row: LessonRead(row["family"], on(today, row["day"]))
    )
    orders = {row["order"]: row for row in rows("requalification_orders")}
    lines = _by_person(
        "requalification_people", lambda row: _requalification(row, orders[row["order"]], today)
    )
    work = _work_days(today, zone)
    return {
        number: PersonFacts(
            number,
            employments[number],
            certificates[number],
            checks[number],
            sight[number],
            leave[number],
            work[number],
            readings[number],
            lessons[number],
            lines[number],
        )
        for number in (row["personnel_no"] for row in rows("people"))
    }


def read_jobs(today: date) -> dict[str, JobFacts]:
    """Facts of every job, by number."""
    alerts = defaultdict(list)
    for alert in documents("alerts"):
        span = Span(on(today, alert["start"]), on(today, alert["end"]))
        for number in alert["job"]:
            alerts[number].append(Alert(alert["no"], span))
    jobs = {}
    for job in documents("jobs"):
        sheet = job["work_instruction"]
        # The first revision replaced none, so reading it is enough.
        dated = sorted([*sheet["previous"], sheet], key=lambda revision: revision["day"])
        jobs[job["no"]] = JobFacts(
            number=job["no"],
            job_group=job["job_group"],
            needs={family: LEVELS[level] for family, level in job["needs"].items()},
            critical_job=job["critical_job"],
            needs_colour_vision=job["needs_colour_vision"],
            cautions=tuple(job["cautions"]),
            needs_authorisation=tuple(job["needs_authorisation"]),
            revisions=tuple(
                Revision(revision["revision"], on(today, revision["day"]), place > 0)
                for place, revision in enumerate(dated)
            ),
            alerts=tuple(alerts[job["no"]]),
        )
    return jobs


def _by_person(name: str, fact: Callable[[Row], Fact]) -> dict[str, tuple[Fact, ...]]:
    found: dict[str, list[Fact]] = defaultdict(list)
    for row in rows(name):
        found[row["person"]].append(fact(row))
    return defaultdict(tuple, {person: tuple(facts) for person, facts in found.items()})


def _span(row: Row, today: date) -> Span:
    return Span(on(today, row["from_day"]), on_or_none(today, row["to_day"]))


def _certificate(row: Row, today: date) -> Certificate:
    return Certificate(
        row["family"],
        LEVELS[row["level"]],
        on(today, row["granted_day"]),
        on(today, row["expires_day"]),
    )


def _observed_check(row: Row, today: date) -> ObservedCheck:
    return ObservedCheck(
        row["job_group"], on(today, row["observed_day"]), row["level"] == "can_teach"
    )


def _vision_check(row: Row, today: date) -> VisionCheck:
    meets = row["result"] in {"meets", "meets_with_glasses"}
    due = on_or_none(today, row["due_day"])
    return VisionCheck(Sight(row["kind"]), on(today, row["day"]), meets, due)


def _reading(row: Row, today: date, zone: tzinfo) -> Reading:
    moment = at(today, row["day"], row["minute"], zone) if row["minute"] else None
    return Reading(
        ReadingKind(row["kind"]),
        row["ref"],
        plant_day(moment, zone) if moment else on(today, row["day"]),
        row["job"],
        moment,
        row["check"] == "5/5",
    )


def _requalification(row: Row, order: Row, today: date) -> Requalification:
    return Requalification(
        row["order"],
        frozenset(order["families"].split()),
        Block(row["block"]),
        on(today, order["raised_day"]),
        on(today, row["due_day"]),
        on_or_none(today, row["closed_day"]),
    )


def _work_days(today: date, zone: tzinfo) -> dict[str, tuple[WorkDay, ...]]:
    """Days worked by job group: the turns, and the last day before the turns begin."""
    worked: dict[str, list[WorkDay]] = defaultdict(list)
    for person, work in (*_earlier_work(today), *_turns(today, zone)):
        worked[person].append(work)
    return defaultdict(tuple, {person: tuple(work) for person, work in worked.items()})


def _earlier_work(today: date) -> Iterator[tuple[str, WorkDay]]:
    for row in rows("job_signoffs"):
        yield row["person"], WorkDay(row["job_group"], on(today, row["last_worked_before"]))


def _turns(today: date, zone: tzinfo) -> Iterator[tuple[str, WorkDay]]:
    groups = {job: row["job_group"] for row in rows("job_groups") for job in row["jobs"].split()}
    first: dict[tuple[str, str, date], datetime] = {}
    for turn in rows("turns"):
        if turn["kind"] in WORKING_KINDS:
            key = (turn["person"], groups[turn["job"]], on(today, turn["day"]))
            began = at(today, turn["start_day"], turn["start_time"], zone)
            first[key] = min(began, first.get(key, began))
    for (person, group, day), began in first.items():
        yield person, WorkDay(group, day, began)
