"""Reading an agreement study: its figures, its parts by disagreement, and what each person needs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from training.statistics.agreement import AppraiserStudy, AttributeStudy, Verdict, attribute_study


@dataclass(frozen=True)
class Answers:
    """A full block of answers: every person judged every part equally often.

    `accepted` is by part, person and round; `reference` says of each part whether it should be
    accepted.
    """

    parts: tuple[str, ...]
    reference: tuple[bool, ...]
    judges: tuple[str, ...]
    accepted: tuple[tuple[tuple[bool, ...], ...], ...]

    @property
    def repeats(self) -> int:
        return len(self.accepted[0][0]) if self.accepted and self.accepted[0] else 0


class Doubt(StrEnum):
    """What the answers on a part say of it."""

    NONE = "none"
    # Most answers contradict the reference.
    REFERENCE = "reference"
    # Somebody contradicts the reference every time, others do not.
    BETWEEN = "between"
    # Answers of one person differ from round to round.
    WITHIN = "within"


@dataclass(frozen=True, slots=True)
class PartReading:
    """One part with all its answers: `place` in the study, how many contradict the reference."""

    place: int
    label: str
    reference: bool
    accepted: tuple[tuple[bool, ...], ...]

    @property
    def of(self) -> int:
        return sum(len(own) for own in self.accepted)

    @property
    def against(self) -> int:
        return sum(answer != self.reference for own in self.accepted for answer in own)

    @property
    def split(self) -> int:
        """Answers of the smaller side: 0 when all are alike."""
        accepts = sum(answer for own in self.accepted for answer in own)
        return min(accepts, self.of - accepts)

    @property
    def doubt(self) -> Doubt:
        if self.against == 0:
            return Doubt.NONE
        if 2 * self.against > self.of:
            return Doubt.REFERENCE
        if any(len(set(own)) > 1 for own in self.accepted):
            return Doubt.WITHIN
        return Doubt.BETWEEN


class Need(StrEnum):
    """What somebody's figures ask for."""

    NOTHING = "nothing"
    # Their answers differ from round to round: how they look.
    STEADY = "steady"
    # Steady, but bad parts pass: where their limit lies.
    STRICTER = "stricter"
    # Steady, but good parts are refused.
    LAXER = "laxer"
    # Errors on both sides with steady answers: what the limits are.
    LIMITS = "limits"


@dataclass(frozen=True)
class JudgeReading:
    """How one person did: the figures, and where they come from.

    `unsteady` parts were answered differently from round to round; on `steady_wrong` parts all their
    answers contradict the reference.
    """

    figures: AppraiserStudy
    unsteady: tuple[str, ...]
    steady_wrong: tuple[str, ...]
    missed: tuple[str, ...]
    refused: tuple[str, ...]

    @property
    def need(self) -> Need:
        if self.figures.verdict in (None, Verdict.ACCEPTABLE):
            return Need.NOTHING
        if len(self.unsteady) >= max(len(self.steady_wrong), 1):
            return Need.STEADY
        misses, alarms = self.figures.miss_verdict, self.figures.false_alarm_verdict
        if misses is not Verdict.ACCEPTABLE and alarms is Verdict.ACCEPTABLE:
            return Need.STRICTER
        if alarms is not Verdict.ACCEPTABLE and misses is Verdict.ACCEPTABLE:
            return Need.LAXER
        return Need.LIMITS


@dataclass(frozen=True)
class StudyReading:
    """Everything a study says; `parts` with the most disagreement first."""

    answers: Answers
    figures: AttributeStudy
    judges: tuple[JudgeReading, ...]
    parts: tuple[PartReading, ...]

    @property
    def disputed(self) -> tuple[PartReading, ...]:
        return tuple(part for part in self.parts if part.against)

    @property
    def bad(self) -> int:
        return sum(not each for each in self.answers.reference)

    @property
    def good(self) -> int:
        return sum(self.answers.reference)


def read_study(answers: Answers, *, confidence: float = 0.95) -> StudyReading:
    """Work a full block of answers out.

    Raises
    ------
    ValueError
        When the block is not full or empty; see `attribute_study`.
    """
    figures = attribute_study(
        answers.accepted, answers.reference, names=answers.judges, confidence=confidence
    )
    parts = [
        PartReading(place, label, reference, accepted)
        for place, (label, reference, accepted) in enumerate(
            zip(answers.parts, answers.reference, answers.accepted, strict=True)
        )
    ]
    judges = tuple(_judge(place, own, parts) for place, own in enumerate(figures.appraisers))
    parts.sort(key=lambda part: (-part.against, -part.split, part.place))
    return StudyReading(answers, figures, judges, tuple(parts))


def _judge(place: int, figures: AppraiserStudy, parts: Sequence[PartReading]) -> JudgeReading:
    unsteady: list[str] = []
    wrong: list[str] = []
    missed: list[str] = []
    refused: list[str] = []
    for part in parts:
        own = part.accepted[place]
        against = sum(answer != part.reference for answer in own)
        if 0 < against < len(own):
            unsteady.append(part.label)
        elif against:
            wrong.append(part.label)
        if against:
            (refused if part.reference else missed).append(part.label)
    return JudgeReading(figures, tuple(unsteady), tuple(wrong), tuple(missed), tuple(refused))


def full_block(rounds: Mapping[str, int]) -> tuple[int, tuple[str, ...]]:
    """Return how many rounds count, and whose, where people finished different numbers of rounds.

    `rounds` is finished rounds by person. The figures need the same number from everybody, so the
    number that keeps the most rounds in all is taken, and of equal ones the one with more people; who
    has fewer is left out. Nothing is kept where nobody has finished a round.
    """
    best: tuple[int, tuple[str, ...]] = (0, ())
    for number in range(1, max(rounds.values(), default=0) + 1):
        kept = tuple(judge for judge, done in rounds.items() if done >= number)
        if number * len(kept) > best[0] * len(best[1]):
            best = (number, kept)
    return best
