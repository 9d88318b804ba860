"""The facts of the invented plant's files, read once, and short ways to ask the rule about them."""

from collections import Counter
from datetime import date
from functools import cache
from zoneinfo import ZoneInfo

from certification.certificates.standing import (
    Answer,
    Asked,
    JobFacts,
    PersonFacts,
    Rules,
    explain,
)
from media_demo.plant.facts import read_jobs, read_people
from media_demo.plant.read import on, rows

# Mexico City keeps one clock all year; the notes' minutes are plant time.
ZONE = ZoneInfo("America/Mexico_City")
TODAY = date(2025, 11, 25)
RULES = Rules()


@cache
def people() -> dict[str, PersonFacts]:
    return read_people(TODAY, ZONE)


@cache
def jobs() -> dict[str, JobFacts]:
    return read_jobs(TODAY)


@cache
def crew() -> dict[str, str]:
    """Crew of the active operators and trainers, by personnel number."""
    return {
        row["personnel_no"]: row["crew"]
        for row in rows("people")
        if row["role"] in {"operator", "trainer"} and not row["left_day"]
    }


@cache
def names() -> dict[str, str]:
    return {row["personnel_no"]: row["name"] for row in rows("people")}


@cache
def numbers() -> dict[str, str]:
    return {name: number for number, name in names().items()}


@cache
def ask(name: str, job: str, offset: int = 0) -> Answer:
    return explain(people()[numbers()[name]], jobs()[job], RULES, Asked(on(TODAY, offset)))


@cache
def plan() -> dict[str, str]:
    """Tonight's job of each press."""
    return {row["press"]: row["job"] for row in rows("night_plan_today")}


def codes(answer: Answer) -> list[tuple[str, str, int | None, int | None]]:
    """Code, subject, last good day as an offset, days away."""
    return [
        (
            reason.code.value,
            reason.revision or reason.subject,
            None if reason.day is None else (reason.day - TODAY).days,
            reason.days,
        )
        for reason in answer.reasons
    ]


def verdicts(persons: list[str], over: list[str]) -> Counter[str]:
    return Counter(
        explain(people()[person], jobs()[job], RULES, Asked(TODAY)).verdict.value
        for person in persons
        for job in over
    )
