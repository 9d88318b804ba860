"""How far a sitting has come: what was presented, what was judged, and the counts so far."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cached_property

from training.quizzes.models import Judgement, Presented, Sitting
from training.quizzes.own_plan import counted
from training.quizzes.scoring import (
    Answer,
    Counts,
    Part,
    Place,
    Target,
    Truth,
    count_answers,
    tolerance_px,
)
from training.quizzes.worked_plan import WorkedPlan
from training.specimens.models import ReferenceDecision, View

REJECT = ReferenceDecision.Decision.REJECT
# A gloved fingertip on the tablet; common practice, no source.
LEAST_TOLERANCE_PX = 40


@dataclass(frozen=True)
class Progress:
    """A sitting with everything that is known of it, in the order of presentation."""

    sitting: Sitting
    plan: WorkedPlan
    presented: tuple[Presented, ...]
    judgements: tuple[Judgement, ...]

    @cached_property
    def by_ordinal(self) -> dict[int, Presented]:
        return {each.ordinal: each for each in self.presented}

    @cached_property
    def truths(self) -> dict[int, Truth]:
        critical = frozenset(self.sitting.critical_families)
        # Of parts that are shown together nobody is asked for the place.
        place_asked = not self.plan.exercise
        return {
            each.ordinal: truth_of(each, critical, place_asked=place_asked)
            for each in self.presented
        }

    @cached_property
    def scored(self) -> dict[int, Judgement]:
        """Scored judgements by ordinal."""
        ordinals = {each.pk: each.ordinal for each in self.presented}
        return {ordinals[each.presented_id]: each for each in self.judgements if each.scored}

    @cached_property
    def counts(self) -> Counts:
        return counts_of(self, self.scored.items())

    @property
    def next_ordinal(self) -> int:
        """The first specimen not judged yet; one beyond the last when all are."""
        return next_of(self.scored, self.plan.total)

    @property
    def handed_out(self) -> int:
        """The last ordinal that the device may hold."""
        return handed_out(self.scored, self.plan)


def progress_of(sitting: Sitting) -> Progress:
    """Return how far a sitting has come. Costs five queries, whatever was answered."""
    presented = (
        Presented.objects.filter(sitting=sitting)
        .select_related("specimen__family", "decision", "work_instruction")
        .prefetch_related("specimen__views__regions", "specimen__views__frames")
        .order_by("ordinal")
    )
    judgements = Judgement.objects.filter(sitting=sitting).select_related("family")
    return Progress(
        sitting=sitting,
        plan=WorkedPlan.from_json(sitting.worked_plan),
        presented=tuple(presented),
        judgements=tuple(judgements.order_by("position")),
    )


def next_of(scored: Collection[int], total: int) -> int:
    return next((n for n in range(1, total + 1) if n not in scored), total + 1)


def handed_out(scored: Collection[int], plan: WorkedPlan) -> int:
    """Return the last ordinal a device may hold: the one to be judged and those ahead of it."""
    return min(plan.total, next_of(scored, plan.total) + plan.ahead)


def counts_of(progress: Progress, scored: Iterable[tuple[int, Judgement]]) -> Counts:
    """Return the counts of these judgements by ordinal; fillers of an own plan count nowhere."""
    plan = progress.plan
    judged = [
        (ordinal, (progress.truths[ordinal], answer_of(judgement))) for ordinal, judgement in scored
    ]
    pairs = counted(plan.own, judged) if plan.own else [pair for _ordinal, pair in judged]
    return count_answers(pairs, plan.bad, plan.critical)


def answer_of(judgement: Judgement) -> Answer:
    """Return a judgement as the pure scoring reads it."""
    place = None
    if judgement.place_x is not None and judgement.place_y is not None:
        place = Place(str(judgement.view_id), judgement.place_x, judgement.place_y)
    return Answer(
        reject=judgement.answer == REJECT,
        place=place,
        family=judgement.family.slug if judgement.family is not None else "",
        action=judgement.action,
    )


def truth_of(presented: Presented, critical: Collection[str], *, place_asked: bool = True) -> Truth:
    """Return what a presented specimen is, by the decision it was presented under.

    It counts for the family it was drawn for, which is the specimen's own.
    """
    decision, specimen = presented.decision, presented.specimen
    family = specimen.family
    sheet = presented.work_instruction
    asks_place = place_asked and family.place.get("kind") != "whole_part"
    targets = (target_of(view, family.place) for view in specimen.views.all()) if asks_place else ()
    return Truth(
        family=family.slug,
        part=Part(presented.part),
        reject=decision.decision == REJECT,
        critical=presented.part == Part.CRITICAL
        or family.slug in critical
        or family.always_critical
        or (sheet is not None and sheet.needs.get(family.slug) == "critical"),
        targets={key: target for key, target in targets if target.polygons},
    )


def target_of(view: View, place: dict[str, float]) -> tuple[str, Target]:
    """Return a view's identifier and what counts as the right place on it."""
    polygons = tuple(polygon for region in view.regions.all() for polygon in region.polygons)
    tolerance = tolerance_px(
        float(place.get("tolerance_mm", 0)),
        None if view.px_per_mm is None else float(view.px_per_mm),
        float(place.get("tolerance_px_min", LEAST_TOLERANCE_PX)),
    )
    return str(view.pk), Target(polygons, tolerance)
