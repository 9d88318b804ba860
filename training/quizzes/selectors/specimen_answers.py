"""Answers to specimens: each person's first meeting with one, scored in an exam, under today's key."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from django.db.models import Count, Min

from training.floor.models import Family, WorkInstruction
from training.people.models import Employment
from training.quizzes.models import Kind, Sitting
from training.quizzes.plan_rules import AHEAD
from training.quizzes.scoring import MISSES, Answer, Outcome, Part, Place, Target, Truth, outcome
from training.quizzes.selectors.bank import WHOLE_PART
from training.quizzes.selectors.presented_rows import Row, rows_of_all, rows_of_specimens
from training.quizzes.selectors.progress import target_of
from training.quizzes.selectors.turned import decisions_counted
from training.specimens.models import ReferenceDecision, Specimen, View

# Kinds of sitting whose answers are scored without showing what was right, at an exam's share of
# bad parts: a low-rate round shows one bad part in twenty, and rare ones are missed more often.
SCORED_KINDS: Final = (Kind.QUALIFICATION, Kind.REQUALIFICATION)
# So long after being taken on somebody counts as new: another group when difficulty is fitted.
NEW_FOR: Final = dt.timedelta(days=90)
# Measured again, a part may differ by so much of its severity and ask the same.
SAME_RATIO: Final = Decimal("0.02")
REJECT = ReferenceDecision.Decision.REJECT

Key = tuple[str, Decimal | None]


@dataclass(frozen=True, slots=True)
class FirstAnswer:
    """One person's answer when meeting a specimen for the first time, in an exam.

    `right` is the exam's own ruling: the right answer at the wrong place is a miss.
    """

    specimen_id: uuid.UUID
    person_id: uuid.UUID
    sitting_id: uuid.UUID
    at: dt.datetime
    bad: bool
    right: bool
    seconds: float
    new: bool
    crew: str


@dataclass(slots=True)
class Exposure:
    """Who has met a specimen in any sitting, and when last; counted by part, not by picture."""

    people: set[uuid.UUID] = field(default_factory=set)
    last: dt.datetime | None = None


@dataclass(frozen=True)
class AnswerBook:
    """First answers in the order they were given, exposures, and answers left aside.

    `other_key` counts first answers by specimen that were scored under a decision that holds no
    longer: another answer was right, or the limit was another.
    """

    answers: tuple[FirstAnswer, ...]
    exposures: Mapping[uuid.UUID, Exposure]
    other_key: Mapping[uuid.UUID, int]


def answer_book(day: dt.date, specimens: Iterable[uuid.UUID] | None = None) -> AnswerBook:
    """Return what has been answered up to now; `day` says which decisions are in force.

    `specimens` narrows it to some; None asks for all. An answer of an exam that was scored again
    counts under the decision it was scored by. Costs ten queries at most.
    """
    wanted = None if specimens is None else list(specimens)
    keys = _keys(day, wanted)
    sittings = _sittings()
    truths = _Truths(day, wanted)
    new_until = _new_until()
    later = decisions_counted(sittings)
    rows = rows_of_all(sittings) if wanted is None else rows_of_specimens(wanted)
    answers: list[FirstAnswer] = []
    exposures: dict[uuid.UUID, Exposure] = defaultdict(Exposure)
    other_key: dict[uuid.UUID, int] = defaultdict(int)
    for given, sitting in _handed_out(rows, sittings):
        row = _as_counted(given, later.get((sitting.pk, given["specimen"])))
        met = exposures[row["specimen"]]
        first = sitting.person_id not in met.people
        met.people.add(sitting.person_id)
        met.last = sitting.opened_at
        if not first or not row["judgement__scored"] or sitting.kind not in SCORED_KINDS:
            continue
        if not _same_question(row, keys.get(row["specimen"])):
            other_key[row["specimen"]] += 1
            continue
        answers.append(_answer(row, sitting, truths, new_until))
    return AnswerBook(tuple(answers), exposures, other_key)


def _keys(day: dt.date, specimens: list[uuid.UUID] | None) -> dict[uuid.UUID, Key]:
    found = Specimen.objects.with_decision(day)
    if specimens is not None:
        found = found.filter(pk__in=specimens)
    # Annotated by `with_decision`, which the checker does not see.
    rows = found.values_list("pk", "decided", "decided_ratio")  # type: ignore[misc]
    return {pk: (decided, ratio) for pk, decided, ratio in rows if decided}


def _same_question(row: Row, key: Key | None) -> bool:
    """Return whether what holds now asks what was asked then: the same answer, as far from the limit.

    A part that was only measured or settled once more is the same question.
    """
    if key is None or key[0] != row["decision__decision"]:
        return False
    then, now = row["decision__severity_ratio"], key[1]
    if then is None or now is None:
        return then is now
    return bool(abs(then - now) <= SAME_RATIO * now)


def _sittings() -> dict[uuid.UUID, Sitting]:
    found = Sitting.objects.annotate(judged=Count("judgements"))
    # Of its end only the hash is asked for, of the sitting not what it was drawn from.
    found = found.select_related("person__crew", "end").defer(
        "end__counts", "end__families_passed", "groups", "families"
    )
    return {sitting.pk: sitting for sitting in found.order_by("opened_at", "number")}


def _new_until() -> dict[uuid.UUID, dt.date]:
    hired = Employment.objects.values_list("person").annotate(first=Min("from_day"))
    return {person: day + NEW_FOR for person, day in hired}


def _as_counted(row: Row, later: ReferenceDecision | None) -> Row:
    """Return a row under the decision its exam was scored again by, where it was."""
    if later is None:
        return row
    now = {**row, "decision__severity_ratio": later.severity_ratio}
    if later.decision != row["decision__decision"]:
        part = Part.BAD if later.decision == REJECT else Part.GOOD
        now |= {"decision__decision": later.decision, "part": part}
    return now


def _handed_out(
    rows: Iterable[Row], sittings: Mapping[uuid.UUID, Sitting]
) -> Iterator[tuple[Row, Sitting]]:
    """Leave out what was drawn and never reached the device: nobody has met it."""
    for row in rows:
        sitting = sittings[row["sitting"]]
        ahead = int(sitting.worked_plan.get("ahead", AHEAD))
        if row["ordinal"] <= sitting.judged + 1 + ahead:  # type: ignore[attr-defined]
            yield row, sitting


def _targets(specimens: list[uuid.UUID] | None) -> dict[uuid.UUID, dict[str, Target]]:
    """Return where a tap counts, by specimen and view; specimens without an outline have none."""
    found = View.objects.filter(specimen__isnull=False, regions__isnull=False).distinct()
    if specimens is not None:
        found = found.filter(specimen__in=specimens)
    targets: dict[uuid.UUID, dict[str, Target]] = defaultdict(dict)
    for view in found.select_related("specimen__family").prefetch_related("regions"):
        if view.specimen is None or view.specimen.family.place.get("kind") == WHOLE_PART:
            continue
        key, target = target_of(view, view.specimen.family.place)
        targets[view.specimen.pk][key] = target
    return targets


class _Truths:
    """What scoring asks of a specimen beside its decision, read once."""

    def __init__(self, day: dt.date, specimens: list[uuid.UUID] | None) -> None:
        families = {family.pk: family for family in Family.objects.all()}
        shown = Specimen.objects.all()
        if specimens is not None:
            shown = shown.filter(pk__in=specimens)
        self.families = {pk: families[family] for pk, family in shown.values_list("pk", "family")}
        self.needs = dict(WorkInstruction.objects.filter(day__lte=day).values_list("pk", "needs"))
        self.targets = _targets(specimens)

    def of(self, row: Row, sitting: Sitting) -> Truth:
        family = self.families[row["specimen"]]
        needs = self.needs.get(row["work_instruction"]) or {}
        return Truth(
            family=family.slug,
            part=Part(row["part"]),
            reject=row["decision__decision"] == REJECT,
            critical=row["part"] == Part.CRITICAL
            or family.slug in sitting.critical_families
            or family.always_critical
            or needs.get(family.slug) == "critical",
            targets=self.targets.get(row["specimen"], {}),
        )


def _answer(
    row: Row,
    sitting: Sitting,
    truths: _Truths,
    new_until: Mapping[uuid.UUID, dt.date],
) -> FirstAnswer:
    place = None
    if row["judgement__place_x"] is not None:
        view = str(row["judgement__view"])
        place = Place(view, row["judgement__place_x"], row["judgement__place_y"])
    given = Answer(
        reject=row["judgement__answer"] == REJECT, place=place, action=row["judgement__action"]
    )
    truth = truths.of(row, sitting)
    ruled = outcome(truth, given)
    at, person = row["judgement__answered_at"], sitting.person
    return FirstAnswer(
        specimen_id=row["specimen"],
        person_id=person.pk,
        sitting_id=sitting.pk,
        at=at,
        bad=truth.reject,
        right=ruled not in MISSES and ruled is not Outcome.FALSE_REJECT,
        seconds=row["judgement__judging_ms"] / 1000,
        new=at.date() < new_until.get(person.pk, dt.date.min),
        crew=person.crew.code if person.crew else "",
    )
