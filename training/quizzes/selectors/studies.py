"""Agreement studies: which there are, how far their rounds have come, what is due, and their answers."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery

from training.people.models import Device, Person
from training.quizzes.agreement.reading import Answers, full_block
from training.quizzes.models import (
    AgreementStudy,
    ExamPlan,
    Judgement,
    Kind,
    Presented,
    Sitting,
    SittingEnd,
    StudyAnswer,
    StudyJudge,
    StudyPart,
    StudyRound,
)
from training.specimens.models import ReferenceDecision

ACCEPT = ReferenceDecision.Decision.ACCEPT
FILE = AgreementStudy.Basis.FILE


class State(StrEnum):
    """Where a round, or the next step of a person, stands."""

    DONE = "done"
    RUNNING = "running"
    DUE = "due"
    WAITING = "waiting"


@dataclass(frozen=True, slots=True)
class RoundState:
    """One round of one person: the sitting once there is one, and how far it has come.

    `due_from` is the earliest moment of a round that waits; None where the one before is not done.
    """

    number: int
    state: State
    sitting_id: uuid.UUID | None
    device: Device | None
    judged: int
    total: int
    ended_at: dt.datetime | None
    due_from: dt.datetime | None


@dataclass(frozen=True)
class JudgeProgress:
    """One of the people with all their rounds, those not opened yet included."""

    judge: StudyJudge
    rounds: tuple[RoundState, ...]

    @property
    def done(self) -> int:
        return sum(each.state is State.DONE for each in self.rounds)

    @property
    def next(self) -> RoundState | None:
        """The round that runs, is due or waits next; None when all are done."""
        return next((each for each in self.rounds if each.state is not State.DONE), None)


@dataclass(frozen=True)
class StudyProgress:
    """How far a study has come."""

    study: AgreementStudy
    parts: int
    judges: tuple[JudgeProgress, ...]

    @property
    def done(self) -> int:
        return sum(judge.done for judge in self.judges)

    @property
    def wanted(self) -> int:
        return self.study.repeats * len(self.judges)

    @property
    def complete(self) -> bool:
        return self.study.basis == FILE or self.done == self.wanted

    @property
    def over(self) -> bool:
        """Whether no more rounds will come, so that answers may be shown."""
        return self.complete or self.study.closed_at is not None


@dataclass(frozen=True, slots=True)
class StudyRow:
    """One line of the list of studies."""

    study: AgreementStudy
    parts: int
    judges: int
    done: int
    wanted: int

    @property
    def running(self) -> bool:
        return self.study.closed_at is None and self.done < self.wanted


def study_rows() -> list[StudyRow]:
    """Return every study, those that run first, then the newest. Costs one query."""
    rounds = (
        StudyRound.objects.filter(
            judge__study=OuterRef("pk"), sitting__end__reason=SittingEnd.Reason.COMPLETE
        )
        .order_by()
        .values("judge__study")
        .annotate(n=Count("pk"))
        .values("n")
    )
    studies = AgreementStudy.objects.select_related("opened_by", "closed_by").annotate(
        part_count=Count("parts", distinct=True),
        judge_count=Count("judges", distinct=True),
        done=Subquery(rounds),
    )
    rows = [
        StudyRow(
            study=study,
            parts=study.part_count,
            judges=study.judge_count,
            done=wanted if study.basis == FILE else study.done or 0,
            wanted=wanted,
        )
        for study in studies
        for wanted in [study.judge_count * study.repeats]
    ]
    return sorted(rows, key=lambda row: (not row.running, -row.study.opened_at.timestamp()))


def progress_of_study(study: AgreementStudy, moment: dt.datetime) -> StudyProgress:
    """Return how far a study has come at a moment. Costs three queries."""
    judges = list(study.judges.select_related("person"))
    parts = study.parts.count()
    rounds = _rounds([judge.pk for judge in judges])
    return StudyProgress(
        study=study,
        parts=parts,
        judges=tuple(
            JudgeProgress(judge, _states(study, rounds.get(judge.pk, []), parts, moment))
            for judge in judges
        ),
    )


def _rounds(judges: Collection[uuid.UUID]) -> dict[uuid.UUID, list[StudyRound]]:
    """Return the opened rounds of these judges with what was judged in them. Costs one query."""
    found: dict[uuid.UUID, list[StudyRound]] = defaultdict(list)
    rounds = (
        StudyRound.objects.filter(judge__in=judges)
        .select_related("sitting__end", "sitting__device")
        .annotate(judged=Count("sitting__judgements", filter=Q(sitting__judgements__scored=True)))
        .order_by("number")
    )
    for each in rounds:
        found[each.judge_id].append(each)
    return found


def _states(
    study: AgreementStudy, opened: Sequence[StudyRound], total: int, moment: dt.datetime
) -> tuple[RoundState, ...]:
    """Return one state for each round of a person; a round broken off counts as not opened."""
    by_number = {each.number: each for each in opened}
    states: list[RoundState] = []
    # The first round may be opened at once; every other waits for the end of the one before.
    due_from: dt.datetime | None = study.opened_at
    for number in range(1, study.repeats + 1):
        row = by_number.get(number)
        end: SittingEnd | None = getattr(row.sitting, "end", None) if row else None
        if row is not None and (end is None or end.reason == SittingEnd.Reason.COMPLETE):
            ended = end.ended_at if end else None
            state = State.DONE if end else State.RUNNING
            judged = int(row.judged)  # type: ignore[attr-defined]
            sitting = row.sitting
            states.append(
                RoundState(number, state, sitting.pk, sitting.device, judged, total, ended, None)
            )
            due_from = ended + dt.timedelta(hours=study.gap_hours) if ended else None
            continue
        due = due_from is not None and due_from <= moment and study.closed_at is None
        state = State.DUE if due else State.WAITING
        states.append(RoundState(number, state, None, None, 0, total, None, due_from))
        due_from = None
    return tuple(states)


@dataclass(frozen=True, slots=True)
class OwnRound:
    """The next round of one person in one study that is still open."""

    study: AgreementStudy
    judge: StudyJudge
    round: RoundState

    @property
    def running(self) -> bool:
        return self.round.state is State.RUNNING


def own_rounds(person: Person, moment: dt.datetime) -> list[OwnRound]:
    """Return the rounds a person has open or may open now, running ones first. Costs two queries."""
    judges = list(
        StudyJudge.objects.filter(person=person, study__closed_at=None)
        .exclude(study__basis=FILE)
        .select_related("study")
        .annotate(parts=Count("study__parts"))
    )
    if not judges:
        return []
    rounds = _rounds([judge.pk for judge in judges])
    found = []
    for judge in judges:
        parts = int(judge.parts)
        states = _states(judge.study, rounds.get(judge.pk, []), parts, moment)
        own = next((each for each in states if each.state is not State.DONE), None)
        if own is not None and own.state is not State.WAITING:
            found.append(OwnRound(judge.study, judge, own))
    return sorted(found, key=lambda each: (not each.running, each.study.number))


@dataclass(frozen=True)
class StudyTable:
    """The answers of a study that make a full block, and what they belong to.

    `parts` and `judges` are in the order of `answers`; `left_out` are people without enough finished
    rounds. `answers` is None where nobody has finished a round.
    """

    parts: tuple[StudyPart, ...]
    judges: tuple[StudyJudge, ...]
    left_out: tuple[StudyJudge, ...]
    rounds: int
    answers: Answers | None


def study_table(progress: StudyProgress) -> StudyTable:
    """Return the answers of a study by part, person and round. Costs two queries."""
    study = progress.study
    parts = tuple(study.parts.select_related("specimen__family", "decision"))
    if study.basis == FILE:
        rounds, kept = study.repeats, tuple(str(each.judge.pk) for each in progress.judges)
    else:
        rounds, kept = full_block({str(each.judge.pk): each.done for each in progress.judges})
    judges = tuple(each.judge for each in progress.judges if str(each.judge.pk) in kept)
    left_out = tuple(each.judge for each in progress.judges if str(each.judge.pk) not in kept)
    given = _file_answers(study) if study.basis == FILE else _sat_answers(progress)
    if not judges or not rounds or not parts:
        return StudyTable(parts, judges, left_out, rounds, None)
    return StudyTable(
        parts=parts,
        judges=judges,
        left_out=left_out,
        rounds=rounds,
        answers=Answers(
            parts=tuple(part.label for part in parts),
            reference=tuple(part.reference == ACCEPT for part in parts),
            judges=tuple(judge.label for judge in judges),
            accepted=tuple(
                tuple(
                    tuple(given[part.pk, judge.pk, n] == ACCEPT for n in range(1, rounds + 1))
                    for judge in judges
                )
                for part in parts
            ),
        ),
    )


Given = dict[tuple[uuid.UUID, uuid.UUID, int], str]


def _file_answers(study: AgreementStudy) -> Given:
    rows = StudyAnswer.objects.filter(judge__study=study)
    return {
        (part, judge, number): answer
        for part, judge, number, answer in rows.values_list("part", "judge", "number", "answer")
    }


def _sat_answers(progress: StudyProgress) -> Given:
    """Return the answers of finished rounds; a part is found again by its specimen."""
    done = {
        each.sitting_id: (judge.judge.pk, each.number)
        for judge in progress.judges
        for each in judge.rounds
        if each.state is State.DONE
    }
    parts = dict(progress.study.parts.values_list("specimen", "pk")) if done else {}
    rows = Judgement.objects.filter(sitting__in=list(done), scored=True)
    return {
        (parts[specimen], *done[sitting]): answer
        for sitting, specimen, answer in rows.values_list(
            "sitting", "presented__specimen", "answer"
        )
    }


def earlier_orders(judge: StudyJudge) -> list[list[str]]:
    """Return the orders in which a person was shown the parts so far, broken-off rounds included."""
    orders: dict[uuid.UUID, list[str]] = defaultdict(list)
    sittings = Presented.objects.filter(
        sitting__person=judge.person_id,
        sitting__kind=Kind.STUDY,
        sitting__number__startswith=f"{judge.study.number}-{judge.position}-",
    )
    for sitting, specimen in sittings.order_by("ordinal").values_list("sitting", "specimen"):
        orders[sitting].append(str(specimen))
    return list(orders.values())


def find_study(pk: uuid.UUID) -> AgreementStudy | None:
    """Return a study, or None. Costs one query."""
    return AgreementStudy.objects.select_related("opened_by", "closed_by").filter(pk=pk).first()


def study_of(sitting: Sitting) -> AgreementStudy:
    """Return the study a round was sat for, also where it was broken off and sat anew. One query."""
    number, _judge, _round = sitting.number.rsplit("-", 2)
    return AgreementStudy.objects.get(number=number)


def round_plans() -> QuerySet[ExamPlan]:
    return ExamPlan.objects.filter(form=ExamPlan.Form.STUDY).order_by("-revision")
