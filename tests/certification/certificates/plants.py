"""Random small plants for the standing rule, dense with edge days."""

from datetime import UTC, date, datetime, timedelta
from random import Random

from certification.certificates.standing_facts import (
    SITE_SAFETY,
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
    Rules,
    Sight,
    Span,
    Stop,
    StopKind,
    VisionCheck,
    WorkDay,
)

TODAY = date(2028, 2, 29)
RULES = Rules()
FAMILIES = ("flash", "sink", "crack")
GROUPS = ("G1", "G2")
KINDS = (SITE_SAFETY, "cutter", "insert")
ALERTS = ("A-1", "A-2")
CAUTIONS = ("hot", "knife")
# Days around today and around the limits of 90 and 180 days, where off-by-one errors live.
EDGES = (0, 0, 1, 1, 2, 30, 89, 90, 91, 180, 181, 200)


class Plant:
    """Draws people and jobs; ``mostly`` says how often a single fact is in order."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.mostly = self.random.choice((0.5, 0.9, 0.97, 1.0))

    def people(self, count: int) -> list[PersonFacts]:
        return [self.person(number) for number in range(count)]

    def jobs(self, count: int) -> list[JobFacts]:
        return [self.job(number) for number in range(count)]

    def chance(self, odds: float | None = None) -> bool:
        return self.random.random() < (self.mostly if odds is None else odds)

    def before(self) -> date:
        return TODAY - timedelta(days=self.random.choice(EDGES))

    def near(self) -> date:
        return TODAY + timedelta(days=self.random.choice((-200, -2, -1, 0, 0, 1, 2, 200)))

    def span(self) -> Span:
        first = self.before() if self.chance() else self.near()
        last = self.near()
        return Span(first, last if last >= first and self.chance(0.4) else None)

    def certificate(self, family: str) -> Certificate:
        level = Level.CRITICAL if self.chance(0.7) else Level.ORDINARY
        granted, expires = self.near(), self.near()
        if self.chance():
            granted, expires = min(granted, self.before()), max(expires, TODAY)
        stops = tuple(self.stop() for _ in range(self.random.choice((0, 0, 0, 1, 2))))
        return Certificate(family, level, granted, expires, stops)

    def stop(self) -> Stop:
        kind = self.random.choice(tuple(StopKind))
        first = self.near()
        last = self.near() if self.chance(0.7) and kind is not StopKind.WITHDRAWN else None
        began = datetime.combine(first, datetime.min.time(), UTC) if self.chance(0.3) else None
        ended = (
            datetime.combine(last, datetime.min.time(), UTC) if last and self.chance(0.3) else None
        )
        return Stop(kind, first, last, began, ended)

    def vision(self) -> list[VisionCheck]:
        checks = []
        for sight in Sight:
            for _ in range(self.random.choice((1, 1, 2)) if self.chance() else 0):
                due = max(self.near(), TODAY) if self.chance() else self.near()
                near = sight is Sight.NEAR
                checks.append(
                    VisionCheck(sight, self.before(), self.chance(), due if near else None)
                )
        return checks

    def readings(self) -> list[Reading]:
        found = []
        for job in ("0", "1", "2"):
            for code in ("A", "B"):
                if self.chance():
                    day = self.before() if self.chance() else self.near()
                    found.append(
                        Reading(
                            ReadingKind.WORK_INSTRUCTION,
                            code,
                            day,
                            job,
                            check_passed=self.chance(),
                        )
                    )
        papers = [(ReadingKind.ALERT, ref) for ref in ALERTS]
        papers += [(ReadingKind.CAUTION, ref) for ref in CAUTIONS]
        found += [Reading(kind, ref, self.near()) for kind, ref in papers if self.chance(0.3)]
        found += [Reading(kind, ref, self.before()) for kind, ref in papers if self.chance()]
        return found

    def requalification(self) -> Requalification:
        families = frozenset(self.random.sample(FAMILIES, self.random.choice((1, 2))))
        block = self.random.choice(tuple(Block))
        closed = self.near() if self.chance() else None
        return Requalification("RQ", families, block, self.near(), self.near(), closed)

    def person(self, number: int) -> PersonFacts:
        checks = [ObservedCheck(group, self.before()) for group in GROUPS if self.chance()]
        work = [
            WorkDay(group, self.before() if self.chance() else self.near())
            for group in GROUPS
            for _ in range(2)
            if self.chance()
        ]
        certificates = [
            self.certificate(family)
            for family in FAMILIES
            for _ in range(self.random.choice((1, 2)))
            if self.chance()
        ]
        return PersonFacts(
            str(number),
            tuple(self.span() for _ in range(1)) if self.chance() else (),
            tuple(certificates),
            tuple(checks),
            tuple(self.vision()),
            tuple(Authorisation(kind, self.span()) for kind in KINDS if self.chance()),
            tuple(work),
            tuple(self.readings()),
            tuple(LessonRead(family, self.near()) for family in FAMILIES if self.chance()),
            tuple(self.requalification() for _ in range(not self.chance())),
        )

    def needs(self) -> dict[str, Level]:
        families = self.random.sample(FAMILIES, self.random.choice((0, 1, 2, 3)))
        return {family: self.random.choice(tuple(Level)) for family in families}

    def job(self, number: int) -> JobFacts:
        revisions = [Revision("A", TODAY - timedelta(days=300))] if self.chance() else []
        if self.chance(0.5):
            needs = self.needs() if self.chance(0.3) else None
            revisions.append(Revision("B", self.near(), self.chance(0.8), needs))
        return JobFacts(
            str(number),
            self.random.choice(GROUPS),
            self.needs(),
            critical_job=self.chance(0.3),
            needs_colour_vision=self.chance(0.5),
            cautions=tuple(caution for caution in CAUTIONS if self.chance(0.3)),
            needs_authorisation=tuple(kind for kind in KINDS[1:] if self.chance(0.3)),
            revisions=tuple(revisions),
            alerts=tuple(Alert(alert, self.span()) for alert in ALERTS if self.chance(0.3)),
        )
