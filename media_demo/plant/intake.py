"""The intake tray of the invented plant: what went wrong with a fixed set of parts, unnoticed.

Before its records were moved from paper, the plant let agency people of two busy seasons judge one
tray of the same numbered parts, in the same order. The answer sheets were typed in with the other
records. The people have left, and the tray certified nobody: nothing of today rests on it. It holds
what the site's statistics are there to find:

* one part has become known: in the second season nearly everybody rejects it;
* one part has the wrong decision: nearly everybody judges against it, all along;
* late in the night more is missed than by anybody else on the same parts.
"""

import datetime as dt
import math
import random
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from certification.certificates.models import SittingDecision
from media_demo.plant.build import Plant
from media_demo.plant.calendar import GO_LIVE, MOVED_AT
from media_demo.plant.eyes import MIDDLE, Eye
from media_demo.plant.names import agency_names
from training.people.models import ChainHead, Crew, Employment, Person
from training.people.record.chain import append, erasable
from training.quizzes.drawing import Candidate, Draw
from training.quizzes.models import (
    Action,
    ExamPlan,
    Judgement,
    Kind,
    Presented,
    Sitting,
    SittingEnd,
)
from training.quizzes.plan_rules import read_rules
from training.quizzes.scoring import Answer, Counts, Part, Truth, count_answers
from training.quizzes.worked_plan import WorkedPlan
from training.quizzes.working_out import work_out
from training.specimens.models import Pool, ReferenceDecision, Specimen

FAMILIES: Final = ("black-specks", "weld-line")
BAD, GOOD = 12, 12
# First and last day of the sittings of each season.
SEASONS: Final = ((-345, -260), (-170, -85))
EACH_CREW: Final = 22
STARTS: Final = {
    "D": ("06:40", "08:40", "10:40", "12:30"),
    "L": ("14:40", "16:40", "18:40", "20:30"),
    "N": ("22:40", "00:40", "02:40", "04:20"),
}
INVIGILATORS: Final = {"D": "1056", "L": "1079", "N": "1114"}
# Towards morning the night crew's line moves outwards and the mind is elsewhere more often.
TIRED: Final = {"02:40": (0.02, 0.03), "04:20": (0.22, 0.18)}
KNOWN_AFTER, WRONG_KEY = 0.95, 0.10
MEDIAN_S, LOG_SD = 11.0, 0.45
WHY_NOTHING_FOLLOWS: Final = "Intake tray of agency people: certified nobody."


@dataclass(frozen=True)
class Tray:
    """The parts in the order they lay, the plan they make, and the two troubled ones."""

    plan: WorkedPlan
    draw: Draw
    specimens: dict[str, Specimen]
    known: str
    wrong: str


@dataclass(frozen=True, slots=True)
class Intake:
    """How many sat the tray, and the numbers of the part that is known and the one decided wrong."""

    sittings: int
    known: str
    wrong: str


def play_intake(plant: Plant, plan: ExamPlan) -> Intake:
    """Write the two seasons of the tray into the record."""
    moved = plant.calendar.moment(GO_LIVE, MOVED_AT)
    # What the parts are was on record before the answer sheets were typed in.
    plant.ledger.write_until(moved)
    tray = _tray(plant, plan)
    people = list(_people(plant))
    for place, (person, season, start, day) in enumerate(people, start=1):
        chance = random.Random(f"tray {place}")  # noqa: S311 - a simulation that must repeat
        sitting = Sitting(
            number=f"T-{place:04d}",
            person=person,
            kind=Kind.QUALIFICATION,
            plan=plan,
            worked_plan=tray.plan.as_json(),
            groups=_groups(plant),
            families=list(FAMILIES),
            opened_at=plant.calendar.moment(day, start),
            invigilator=plant.people[INVIGILATORS[_crew(person)]],
            seed="tray",
            recorded_at=moved,
            recorded_by=plant.people[INVIGILATORS[_crew(person)]],
        )
        presented = _presented(sitting, tray)
        rejects = _rejects(tray, _eye(start, chance), season, chance)
        judgements = _judgements(sitting, presented, tray, rejects, chance)
        append(sitting, *presented, *judgements, chain=sitting.own_chain, moment=moved)
        _end(plant, sitting, tray, judgements, moved)
    return Intake(len(people), tray.known, tray.wrong)


def _tray(plant: Plant, plan: ExamPlan) -> Tray:
    """Choose the parts: over the whole scale of severity, on both sides of the limit."""
    chosen = [
        specimen
        for slug in FAMILIES
        for decided, count in (("reject", BAD), ("accept", GOOD))
        for specimen in _spread(_numbered(plant, slug, decided), count)
    ]
    candidates = [
        Candidate(
            # By number, not by identifier: the order is drawn from it and must repeat.
            key=specimen.number,
            family=specimen.family.slug,
            bad=specimen.decided == "reject",
            ratio=None if specimen.decided_ratio is None else float(specimen.decided_ratio),
        )
        for specimen in chosen
    ]
    worked, draw = work_out(
        read_rules(plan.form, plan.parameters), candidates, FAMILIES, (), seed="tray"
    )
    bad = [each for each in candidates if each.bad and each.family == FAMILIES[0]]
    return Tray(
        plan=replace(worked, stop_when_lost=False),
        draw=draw,
        specimens={specimen.number: specimen for specimen in chosen},
        known=_nearest(bad, 1.05),
        wrong=_nearest(bad, 1.6),
    )


def _numbered(plant: Plant, slug: str, decided: str) -> list[Specimen]:
    found = Specimen.objects.kept().filter(family__slug=slug, pool=Pool.EXAM, synthetic=False)
    bad = decided == ReferenceDecision.Decision.REJECT
    rows = found.with_decision(plant.calendar.today).select_related("family")
    return sorted(
        (row for row in rows if row.decided == decided and (row.decided_ratio or not bad)),
        key=lambda row: (row.decided_ratio or 0, row.number),
    )


def _spread(rows: Sequence[Specimen], count: int) -> list[Specimen]:
    if len(rows) < count:
        raise ValueError(f"The tray wants {count} parts of a kind, there are {len(rows)}.")
    return [rows[place * (len(rows) - 1) // (count - 1)] for place in range(count)]


def _nearest(candidates: Sequence[Candidate], ratio: float) -> str:
    return min(candidates, key=lambda each: abs((each.ratio or 0) - ratio)).key


def _people(plant: Plant) -> Iterator[tuple[Person, int, str, int]]:
    """Take on the agency people of both seasons; yield each with season, hour and day."""
    crews = {crew.code: crew for crew in Crew.objects.all()}
    names = agency_names()
    rows = [
        (season, code, turn)
        for season in range(len(SEASONS))
        for turn in range(EACH_CREW)
        for code in STARTS
    ]
    in_a_season = EACH_CREW * len(STARTS)
    made = []
    for place, (season, code, turn) in enumerate(rows):
        first, last = SEASONS[season]
        day = first + place % in_a_season * (last - first) // in_a_season
        person = Person(
            personnel_no=f"A{3001 + place}",
            name=next(names),
            crew=crews[code],
            languages=["en"],
            agency=True,
            note="agency, busy season; left before the records were moved",
        )
        person.set_unusable_password()
        made.append((person, season, STARTS[code][turn % 4], day))
    Person.objects.bulk_create(person for person, _season, _start, _day in made)
    Employment.objects.bulk_create(
        Employment(
            person=person,
            from_day=plant.calendar.day(day - 2),
            to_day=plant.calendar.day(min(day + 60, GO_LIVE - 1)),
            contract="agency",
        )
        for person, _season, _start, day in made
    )
    yield from made


def _crew(person: Person) -> str:
    return person.crew.code if person.crew else ""


def _groups(plant: Plant) -> list[str]:
    return [plant.floor.families[slug].group.code for slug in FAMILIES]


def _eye(start: str, chance: random.Random) -> Eye:
    outwards, lapses = TIRED.get(start, (0.0, 0.0))
    return Eye(middle=MIDDLE + chance.gauss(0, 0.06) + outwards, lapse=0.02 + lapses)


def _rejects(tray: Tray, eye: Eye, season: int, chance: random.Random) -> list[bool]:
    answers = []
    for pick in tray.draw.picks:
        part = pick.candidate
        likely = eye.rejects(part.ratio, bad=part.bad)
        if part.key == tray.known and season:
            likely = KNOWN_AFTER
        elif part.key == tray.wrong:
            likely = WRONG_KEY
        answers.append(chance.random() < likely)
    return answers


def _presented(sitting: Sitting, tray: Tray) -> list[Presented]:
    return [
        Presented(
            sitting=sitting,
            ordinal=ordinal,
            specimen=tray.specimens[pick.candidate.key],
            decision_id=tray.specimens[pick.candidate.key].decision_id,  # type: ignore[misc]
            work_instruction_id=tray.specimens[pick.candidate.key].sheet_id,
            part=str(pick.part),
            recorded_by_id=sitting.recorded_by_id,
        )
        for ordinal, pick in enumerate(tray.draw.picks, start=1)
    ]


def _judgements(
    sitting: Sitting,
    presented: Sequence[Presented],
    tray: Tray,
    rejects: Sequence[bool],
    chance: random.Random,
) -> list[Judgement]:
    clock = sitting.opened_at
    decisions = ReferenceDecision.Decision
    given = []
    for item, rejected in zip(presented, rejects, strict=True):
        seconds = max(2.1, MEDIAN_S * math.exp(chance.gauss(0, LOG_SD)))
        clock += dt.timedelta(seconds=seconds)
        given.append(
            Judgement(
                pk=uuid.UUID(int=chance.getrandbits(128), version=4),
                sitting=sitting,
                presented=item,
                answer=decisions.REJECT if rejected else decisions.ACCEPT,
                family=item.specimen.family if rejected else None,
                action=Action.SEGREGATE if rejected else "",
                judging_ms=int(seconds * 1000),
                answered_at=clock,
                recorded_by_id=sitting.person_id,
            )
        )
    return given


def _end(
    plant: Plant,
    sitting: Sitting,
    tray: Tray,
    judgements: Sequence[Judgement],
    moved: dt.datetime,
) -> None:
    """Add the end to the ledger, and that nothing was granted where the counts would have passed."""
    counts = _counts(tray, judgements)
    decided = tray.plan.decide(counts)
    head = ChainHead.objects.get(name=sitting.own_chain)
    passed, missed = SittingEnd.Result.PASSED, SittingEnd.Result.NOT_PASSED
    end = SittingEnd(
        sitting=sitting,
        ended_at=judgements[-1].answered_at,
        reason=SittingEnd.Reason.COMPLETE,
        result=passed if decided.passed else missed,
        counts=counts.as_json(),
        families_passed=decided.families_passed,
        links=head.position,
        head=head.hash,
        recorded_by_id=sitting.recorded_by_id,
    )
    plant.ledger.add(moved, end)
    if decided.passed:
        quality = plant.people["1042"]
        plant.ledger.add(
            moved,
            SittingDecision(
                sitting=sitting,
                outcome=SittingDecision.Outcome.NOT_GRANTED,
                decided_by=quality,
                reason=erasable(WHY_NOTHING_FOLLOWS),
                recorded_by=quality,
            ),
        )


def _counts(tray: Tray, judgements: Sequence[Judgement]) -> Counts:
    pairs = [
        (
            Truth(pick.candidate.family, Part(pick.part), reject=pick.candidate.bad),
            Answer(reject=judgement.answer == ReferenceDecision.Decision.REJECT),
        )
        for pick, judgement in zip(tray.draw.picks, judgements, strict=True)
    ]
    return count_answers(pairs, tray.plan.bad, tray.plan.critical)
