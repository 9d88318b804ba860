"""The invented plant's two agreement studies on real parts: one finished, one with rounds still due."""

import datetime as dt
import math
import random
import uuid
from dataclasses import dataclass

from media_demo.plant.build import Plant
from media_demo.plant.eyes import Eye
from training.people.models import Person
from training.quizzes.agreement.drawing import choose_parts
from training.quizzes.models import (
    Action,
    AgreementStudy,
    Presented,
    Sitting,
    StudyJudge,
)
from training.quizzes.selectors.study_pool import pooled
from training.quizzes.services.judging import Given, record_judgements
from training.quizzes.services.studies import Design, add_study, open_round
from training.specimens.models import Pool, ReferenceDecision

ACCEPT, REJECT = ReferenceDecision.Decision.ACCEPT, ReferenceDecision.Decision.REJECT
PHYSICAL = AgreementStudy.Basis.PHYSICAL
QUALITY = "1042"


@dataclass(frozen=True)
class _Told:
    """A study as it is told: who judges with which eye, and on which days the rounds were sat."""

    name: str
    note: str
    families: tuple[str, ...]
    parts: int
    repeats: int
    opened: int
    eyes: dict[str, Eye]
    rounds: tuple[tuple[str, int], ...]


SHARP = Eye(math.log(1.0), 0.10, 0.01)
LENIENT = Eye(math.log(1.25), 0.10, 0.01)
UNSURE = Eye(math.log(0.97), 0.45, 0.04)
STUDIES = (
    _Told(
        name="Flash and sink marks at the bench",
        note="Do three inspectors of different crews draw the line at the same place?",
        families=("flash", "sink"),
        parts=20,
        repeats=2,
        opened=-13,
        eyes={"1008": SHARP, "1011": LENIENT, "1018": UNSURE},
        rounds=tuple((who, day) for day in (-12, -10) for who in ("1008", "1011", "1018")),
    ),
    _Told(
        name="Gate vestige after the new cutters",
        note="Is the limit read the same on days and on lates?",
        families=("gate-vestige",),
        parts=16,
        repeats=3,
        opened=-4,
        # The third can be signed in as, and finds the next round on their own page.
        eyes={"1006": SHARP, "1010": UNSURE, "1028": SHARP},
        rounds=(("1006", -3), ("1010", -3), ("1028", -3), ("1006", -1)),
    ),
)


def load_studies(plant: Plant) -> int:
    """Plan the studies and sit their rounds through the real services; return the answers given."""
    return sum(_load(plant, told) for told in STUDIES)


def _load(plant: Plant, told: _Told) -> int:
    people = [plant.people[number] for number in told.eyes]
    seed = f"study {told.name}"[:40]
    bank = pooled(
        pool=Pool.EXAM,
        basis=PHYSICAL,
        families=[plant.floor.families[slug] for slug in told.families],
        people=people,
        day=plant.calendar.today,
    )
    study = add_study(
        design=Design(told.name, PHYSICAL, told.repeats, 20, told.note),
        people=people,
        chosen=choose_parts(bank.offers, told.parts, bad_share=0.5, near_share=0.5, seed=seed),
        bank=bank,
        seed=seed,
        opened_by=plant.people[QUALITY],
        moment=plant.calendar.moment(told.opened, "09:00"),
    )
    judges = {judge.person_id: judge for judge in study.judges.select_related("study", "person")}
    for number, day in told.rounds:
        person = plant.people[number]
        _sit(judges[person.pk], person, told.eyes[number], plant.calendar.moment(day, "10:15"))
    return told.parts * len(told.rounds)


def _sit(judge: StudyJudge, person: Person, eye: Eye, moment: dt.datetime) -> None:
    seed = f"{judge.study.number} {judge.label} {moment:%d}"
    sitting = open_round(judge=judge, opened_by=person, moment=moment, sitting_seed=seed)
    # A simulation that must repeat.
    chance = random.Random(seed)  # noqa: S311
    answers = _answers(sitting, eye, chance, moment)
    record_judgements(sitting=sitting, answers=answers, moment=answers[-1].answered_at)


def _answers(sitting: Sitting, eye: Eye, chance: random.Random, moment: dt.datetime) -> list[Given]:
    given, clock = [], moment + dt.timedelta(seconds=20)
    shown = Presented.objects.filter(sitting=sitting).select_related("decision", "specimen__family")
    for item in shown.order_by("ordinal"):
        seconds = max(2.1, 9.0 * math.exp(chance.gauss(0, 0.4)))
        clock += dt.timedelta(seconds=seconds)
        ratio = item.decision.severity_ratio
        bad = item.decision.decision == REJECT
        likely = eye.rejects(None if ratio is None else float(ratio), bad=bad)
        rejects = chance.random() < likely
        given.append(
            Given(
                judgement_id=uuid.UUID(int=chance.getrandbits(128), version=4),
                ordinal=item.ordinal,
                answer=REJECT if rejects else ACCEPT,
                judging_ms=int(seconds * 1000),
                answered_at=clock,
                family=item.specimen.family.slug if rejects else "",
                action=Action.SEGREGATE if rejects else "",
            )
        )
    return given
