"""What everybody's answers say together: each family's usual eye, and scores on one scale; pure."""

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final
from uuid import UUID

import numpy as np

from training.quizzes.reports.meetings import Meeting
from training.statistics.checks import BoolArray, FloatArray
from training.statistics.item_difficulty import BAND_FROM
from training.statistics.operator_limit import (
    DEFAULT_PRIOR,
    POOL_OPERATORS,
    STATE_FROM,
    LimitPrior,
    fit_family,
)
from training.statistics.rasch import RaschFit, fit_rasch, severity_covariates
from training.statistics.reference_score import ReferenceScore, average_share, reference_scores
from training.statistics.wording import Wording, gettext_noop

# A prior from 30 people is as good as one from more (own study, simulation).
MOST_POOLED: Final = 30
# With severity as a covariate fits settle in 30 to 90 rounds, or not at all.
MOST_ROUNDS: Final = 120
# Severity as a covariate wants a bank of fair size; see `fit_rasch`.
COVARIATES_FROM: Final = 40
# Beyond 2.2 times the limit distance no longer matters; so far from it stands what has no blemish
# at all and what is there or not.
FAR: Final = math.exp(0.8)


@dataclass(frozen=True)
class FamilyPrior:
    """What is believed of an eye before it is seen; the default until enough people were."""

    prior: LimitPrior = DEFAULT_PRIOR
    pooled: bool = False
    reason: Wording | None = None


@dataclass(frozen=True)
class PlantEyes:
    """Everything a report takes from other people's answers.

    Attributes
    ----------
    priors : dict of str to FamilyPrior
        By family.
    scores : dict of UUID to ReferenceScore
        By person.
    people, specimens, bad : int
        People in the fit; reference specimens that count, and how many of them are bad.
    average : float or None
        Reference specimens of 100 that somebody of average ability gets right.
    difficulty : dict of UUID to float
        In logits, by specimen.
    """

    priors: Mapping[str, FamilyPrior] = field(default_factory=dict)
    scores: Mapping[UUID, ReferenceScore] = field(default_factory=dict)
    people: int = 0
    specimens: int = 0
    bad: int = 0
    average: float | None = None
    difficulty: Mapping[UUID, float] = field(default_factory=dict)

    def score_of(self, person: UUID) -> ReferenceScore:
        found = self.scores.get(person)
        if found is not None:
            return found
        reason = Wording(gettext_noop("No exam of this person has been judged yet."))
        return ReferenceScore(None, None, None, 0, reason)

    def prior_of(self, family: str) -> FamilyPrior:
        return self.priors.get(family, FamilyPrior())

    def average_right(self, specimens: Collection[UUID]) -> float | None:
        """Return the share of these specimens that an average eye gets right; None if unknown."""
        hard = [self.difficulty[each] for each in specimens if each in self.difficulty]
        return average_share(hard) if hard and len(hard) == len(specimens) else None


def plant_eyes(
    found: Sequence[Meeting], reference: Collection[UUID], newcomers: Collection[UUID]
) -> PlantEyes:
    """Fit what everybody's first meetings say.

    `reference` are the specimens the score is given on; `newcomers` the people who were new when
    they were examined, a group of its own in the fit.
    """
    firsts = [each for each in found if each.first]
    priors = _priors(firsts)
    exams = [each for each in firsts if each.round.counts]
    if not exams:
        return PlantEyes(priors=priors)
    return _with_scores(priors, exams, reference, newcomers)


def _priors(firsts: Iterable[Meeting]) -> dict[str, FamilyPrior]:
    judged: dict[str, dict[UUID, list[tuple[float, bool]]]] = defaultdict(lambda: defaultdict(list))
    for each in firsts:
        if each.log_ratio is not None:
            judged[each.family][each.round.person].append((each.log_ratio, each.seen))
    return {
        family: _prior(tuple(tuple(each) for each in _telling(people.values())))
        for family, people in judged.items()
    }


def _telling(people: Iterable[list[tuple[float, bool]]]) -> list[list[tuple[float, bool]]]:
    """Return the people whose judgements set a family's prior, those with most first.

    Where that many have enough each, the others would only take time.
    """
    most = sorted(people, key=len, reverse=True)[:MOST_POOLED]
    enough = [judged for judged in most if len(judged) >= STATE_FROM]
    return enough if len(enough) >= POOL_OPERATORS else most


@lru_cache(maxsize=128)
def _prior(people: tuple[tuple[tuple[float, bool], ...], ...]) -> FamilyPrior:
    """Fit a family's prior; kept, because an exam that ends changes a few families only."""
    found = fit_family(
        [([ratio for ratio, _ in judged], [seen for _, seen in judged]) for judged in people]
    )
    return FamilyPrior(found.prior, found.pooled, found.reason)


def _with_scores(
    priors: Mapping[str, FamilyPrior],
    exams: Sequence[Meeting],
    reference: Collection[UUID],
    newcomers: Collection[UUID],
) -> PlantEyes:
    people = sorted({each.round.person for each in exams})
    specimens = {each.specimen: each for each in exams}
    keys = sorted(specimens)
    rows = {key: place for place, key in enumerate(people)}
    columns = {key: place for place, key in enumerate(keys)}
    right, seen = np.zeros((2, len(people), len(keys)))
    for each in exams:
        cell = rows[each.round.person], columns[each.specimen]
        seen[cell], right[cell] = 1, each.right
    groups = _groups(people, newcomers)
    known = _covariates([specimens[key] for key in keys])
    fit = fit_rasch(right, seen, groups, known, max_iterations=MOST_ROUNDS)
    if not fit.converged:
        # Severity may explain the answers without end; without it the fit settles.
        fit = fit_rasch(right, seen, groups)
    chosen = np.array([key in reference for key in keys])
    scores = reference_scores(fit, seen.sum(axis=1), chosen)
    counted = _counted(fit, chosen)
    return PlantEyes(
        priors=priors,
        scores=dict(zip(people, scores, strict=True)),
        people=len(people),
        specimens=len(counted),
        bad=sum(specimens[keys[place]].bad for place in counted),
        average=_average(fit, counted, scores),
        difficulty=dict(zip(keys, fit.difficulty.tolist(), strict=True)) if fit.converged else {},
    )


def _groups(people: Sequence[UUID], newcomers: Collection[UUID]) -> list[str] | None:
    """Return each person's group; None where either has too few people for a mean of its own."""
    new = [each in newcomers for each in people]
    if min(sum(new), len(new) - sum(new)) < POOL_OPERATORS:
        return None
    return ["new" if each else "others" for each in new]


def _covariates(specimens: Sequence[Meeting]) -> FloatArray | None:
    if len(specimens) < COVARIATES_FROM:
        return None
    return severity_covariates([math.log(each.ratio or FAR) for each in specimens])


def _counted(fit: RaschFit, chosen: BoolArray) -> list[int]:
    return [int(place) for place in np.flatnonzero(chosen & (fit.answered >= BAND_FROM))]


def _average(
    fit: RaschFit, counted: Sequence[int], scores: Sequence[ReferenceScore]
) -> float | None:
    if not counted or all(score.right is None for score in scores):
        return None
    return 100 * average_share(fit.difficulty[list(counted)])


def newcomers_of(
    found: Iterable[Meeting], hired: Mapping[UUID, dt.date], new_for: dt.timedelta
) -> frozenset[UUID]:
    """Return the people whose newest answer fell within `new_for` of being taken on."""
    newest: dict[UUID, dt.date] = {}
    for each in found:
        newest[each.round.person] = each.at.date()
    return frozenset(
        person
        for person, day in newest.items()
        if person in hired and day < hired[person] + new_for
    )
