"""A person and a job that are just in order, to be spoiled one fact at a time."""

from dataclasses import replace
from datetime import date, timedelta

from certification.certificates.standing import (
    Answer,
    Asked,
    JobFacts,
    PersonFacts,
    Rules,
    explain,
)
from certification.certificates.standing_facts import (
    SITE_SAFETY,
    Alert,
    Authorisation,
    Certificate,
    Level,
    ObservedCheck,
    Reading,
    ReadingKind,
    Revision,
    Sight,
    Span,
    VisionCheck,
    WorkDay,
)

DAY = date(2025, 11, 24)
RULES = Rules()
LONG_AGO = DAY - timedelta(days=400)

JOB = JobFacts(
    "103",
    "G2",
    {"flash": Level.ORDINARY, "mixed-hands": Level.CRITICAL},
    cautions=("cutters",),
    needs_authorisation=("cutter",),
    revisions=(Revision("C", LONG_AGO), Revision("D", DAY, needs_check=True)),
    alerts=(Alert("A-09", Span(DAY, DAY + timedelta(days=30))),),
)
PERSON = PersonFacts(
    "1022",
    (Span(LONG_AGO),),
    (
        Certificate("flash", Level.CRITICAL, LONG_AGO, DAY, key="C1"),
        Certificate("mixed-hands", Level.CRITICAL, LONG_AGO, DAY + timedelta(days=300), key="C2"),
    ),
    (ObservedCheck("G2", LONG_AGO),),
    (VisionCheck(Sight.NEAR, LONG_AGO, True, DAY),),
    (Authorisation(SITE_SAFETY, Span(LONG_AGO)), Authorisation("cutter", Span(LONG_AGO))),
    (WorkDay("G2", DAY - timedelta(days=90)),),
    (
        Reading(ReadingKind.WORK_INSTRUCTION, "D", DAY, "103", check_passed=True),
        Reading(ReadingKind.ALERT, "A-09", DAY),
        Reading(ReadingKind.CAUTION, "cutters", LONG_AGO),
    ),
)


def days(count: int) -> timedelta:
    return timedelta(days=count)


def ask(person: PersonFacts = PERSON, job: JobFacts = JOB, asked: Asked | None = None) -> Answer:
    return explain(person, job, RULES, asked or Asked(DAY))


def codes(answer: Answer) -> list[str]:
    return [reason.code.value for reason in answer.reasons]


def unread(kind: ReadingKind) -> PersonFacts:
    return replace(PERSON, readings=tuple(r for r in PERSON.readings if r.kind is not kind))
