"""Attribute agreement study: appraisers, trials and a reference decision for each part."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

import numpy as np
import numpy.typing as npt

from training.statistics.chance_agreement import (
    Coefficient,
    CohenKappa,
    FleissKappa,
    cohen_kappa,
    fleiss_kappa,
    gwet_ac1,
    krippendorff_alpha,
)
from training.statistics.checks import BoolArray, IntArray, probability, vector01
from training.statistics.detection import Detection, detection
from training.statistics.proportions import clopper_pearson
from training.statistics.wording import Wording, gettext_noop
from training.statistics.zone_method import ACCEPTED, MIXED, REJECTED


class Verdict(StrEnum):
    """Step of the published acceptance table, best first."""

    ACCEPTABLE = "acceptable"
    MARGINAL = "marginal"
    UNACCEPTABLE = "unacceptable"


# Per cent; AIAG, Measurement Systems Analysis, 4th ed. 2010, III-C (from memory).
EFFECTIVENESS_FROM = {Verdict.ACCEPTABLE: 90, Verdict.MARGINAL: 80}
MISS_UP_TO = {Verdict.ACCEPTABLE: 2, Verdict.MARGINAL: 5}
FALSE_ALARM_UP_TO = {Verdict.ACCEPTABLE: 5, Verdict.MARGINAL: 10}
ORDER = tuple(Verdict)


@dataclass(frozen=True)
class Rate:
    """A count out of a total, with its exact interval; None when the total is 0."""

    count: int
    of: int
    low: float | None
    high: float | None

    @property
    def rate(self) -> float | None:
        """Share from 0 to 1."""
        return self.count / self.of if self.of else None


@dataclass(frozen=True)
class AppraiserStudy:
    """How one appraiser did.

    Attributes
    ----------
    name : str
    effectiveness : Rate
        Parts on which every trial agreed with the reference, of all parts. Counted
        per part; a share of right decisions is another figure under the same name.
    self_agreement : Rate or None
        Parts on which the trials agreed with each other; None with a single trial.
    misses : Rate
        Bad parts accepted, of all decisions on bad parts.
    false_alarms : Rate
        Good parts rejected, of all decisions on good parts.
    kappa_reference : CohenKappa
        All decisions against the reference.
    kappa_within : FleissKappa or None
        Trials against each other; None with a single trial.
    detection : Detection
        Signal detection with log-linear correction; a bad part is the signal.
    effectiveness_verdict, miss_verdict, false_alarm_verdict : Verdict or None
        Steps of the acceptance table; None where nothing was counted.
    verdict : Verdict or None
        The worst of the three.
    reason : Wording or None
        Why there is no verdict.
    """

    name: str
    effectiveness: Rate
    self_agreement: Rate | None
    misses: Rate
    false_alarms: Rate
    kappa_reference: CohenKappa
    kappa_within: FleissKappa | None
    detection: Detection
    effectiveness_verdict: Verdict
    miss_verdict: Verdict | None
    false_alarm_verdict: Verdict | None
    verdict: Verdict | None
    reason: Wording | None


@dataclass(frozen=True)
class PairKappa:
    """Agreement of two appraisers over trials of the same number."""

    first: str
    second: str
    kappa: CohenKappa


@dataclass(frozen=True)
class AttributeStudy:
    """What a study with several appraisers shows.

    Attributes
    ----------
    appraisers : tuple of AppraiserStudy
    between : Rate or None
        Parts on which all trials of all appraisers agreed; None with one appraiser.
    system : Rate
        Parts on which they all agreed with the reference, too.
    pairs : tuple of PairKappa
    fleiss : FleissKappa or None
        Over all ratings of a part; None with a single rating.
    ac1, alpha : Coefficient or None
        Gwet's AC1 and Krippendorff's alpha of the same ratings.
    codes : tuple of str
        Of each part: '+' when accepted every time, '-' when rejected every time, 'x'
        otherwise; `zone_method` takes them.
    verdict : Verdict or None
        The worst of the appraisers'.
    reason : Wording or None
        Why there is no verdict.
    """

    appraisers: tuple[AppraiserStudy, ...]
    between: Rate | None
    system: Rate
    pairs: tuple[PairKappa, ...]
    fleiss: FleissKappa | None
    ac1: Coefficient | None
    alpha: Coefficient | None
    codes: tuple[str, ...]
    verdict: Verdict | None
    reason: Wording | None


def attribute_study(
    ratings: npt.ArrayLike,
    reference: npt.ArrayLike,
    *,
    names: Sequence[str] | None = None,
    confidence: float = 0.95,
) -> AttributeStudy:
    """Analyse an attribute agreement study.

    Parameters
    ----------
    ratings : array_like, shape (parts, appraisers, trials)
        1 for accept, 0 for reject; every appraiser judges every part equally often.
    reference : array_like, shape (parts,)
        1 where the part should be accepted, 0 where rejected.
    names : sequence of str, optional
        One for each appraiser; A, B, C ... when None.
    confidence : float, optional
        Of the exact (Clopper-Pearson) intervals and of kappa's, in (0, 1).

    Returns
    -------
    AttributeStudy
        Without bad (or good) parts there is no miss (false-alarm) rate and no verdict.

    Raises
    ------
    ValueError
        When ratings are not parts x appraisers x trials, hold anything else than 0 and
        1, or do not fit reference or names.

    Notes
    -----
    AIAG, Measurement Systems Analysis, 4th ed. 2010, chapter III-C (from memory):
    effectiveness per part, misses and false alarms per decision; acceptable from 90 %
    effectiveness, up to 2 % misses and 5 % false alarms; marginal from 80 %, up to 5 %
    and 10 %.

    Examples
    --------
    >>> study = attribute_study([[[1, 1]], [[0, 0]], [[1, 0]]], [1, 0, 0])
    >>> study.appraisers[0].effectiveness.count, study.appraisers[0].misses.count
    (2, 1)
    """
    table = _read_ratings(ratings)
    parts, people, trials = table.shape
    should_accept = vector01("reference", reference, parts) == 1
    labels = _read_names(names, people)
    level = probability("confidence", confidence, open_ends=True)
    appraisers = tuple(
        _appraiser(labels[place], table[:, place, :], should_accept, level)
        for place in range(people)
    )
    every = table.reshape(parts, people * trials)
    alike = (every == every[:, :1]).all(axis=1)
    right = alike & (every[:, 0] == should_accept)
    counts = _accept_reject(every)
    several = people * trials > 1
    worst, reason = _worst([appraiser.verdict for appraiser in appraisers])
    return AttributeStudy(
        appraisers=appraisers,
        between=_rate(int(alike.sum()), parts, level) if people > 1 else None,
        system=_rate(int(right.sum()), parts, level),
        pairs=tuple(
            PairKappa(labels[i], labels[j], _kappa(table[:, i, :], table[:, j, :], level))
            for i, j in combinations(range(people), 2)
        ),
        fleiss=fleiss_kappa(counts) if several else None,
        ac1=gwet_ac1(counts) if several else None,
        alpha=krippendorff_alpha(counts) if several else None,
        codes=tuple(_code(row) for row in every),
        verdict=worst,
        reason=reason,
    )


def _read_ratings(ratings: npt.ArrayLike) -> BoolArray:
    try:
        table = np.array(ratings, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError(
            "ratings is not a full block of numbers; give parts x appraisers x trials, "
            "every appraiser judging every part equally often."
        ) from None
    if table.ndim != 3 or table.size == 0:
        raise ValueError(
            f"ratings has shape {table.shape}; give parts x appraisers x trials, none of them 0."
        )
    odd = (table != 0) & (table != 1)
    if odd.any():
        part, person, trial = (int(place) for place in np.argwhere(odd)[0])
        raise ValueError(
            f"ratings, part {part + 1}, appraiser {person + 1}, trial {trial + 1}, is "
            f"{table[part, person, trial]:g}; give 1 for accept and 0 for reject only."
        )
    accepted: BoolArray = np.equal(table, 1)
    return accepted


def _read_names(names: Sequence[str] | None, people: int) -> list[str]:
    if names is None:
        return [chr(ord("A") + i) if i < 26 else str(i + 1) for i in range(people)]
    labels = [str(name) for name in names]
    if len(labels) != people:
        raise ValueError(f"names holds {len(labels)}; give {people}, one for each appraiser.")
    return labels


def _appraiser(
    name: str, accepted: BoolArray, should_accept: BoolArray, level: float
) -> AppraiserStudy:
    parts, trials = accepted.shape
    steady = (accepted == accepted[:, :1]).all(axis=1)
    effective = int((accepted == should_accept[:, None]).all(axis=1).sum())
    misses = _rate(int(accepted[~should_accept].sum()), accepted[~should_accept].size, level)
    alarms = _rate(int((~accepted[should_accept]).sum()), accepted[should_accept].size, level)
    truth = np.repeat(should_accept[:, None], trials, axis=1)
    of_effectiveness = _step_from(effective, parts, EFFECTIVENESS_FROM)
    of_misses = _step_up_to(misses, MISS_UP_TO)
    of_alarms = _step_up_to(alarms, FALSE_ALARM_UP_TO)
    worst, reason = _worst([of_effectiveness, of_misses, of_alarms])
    return AppraiserStudy(
        name=name,
        effectiveness=_rate(effective, parts, level),
        self_agreement=_rate(int(steady.sum()), parts, level) if trials > 1 else None,
        misses=misses,
        false_alarms=alarms,
        kappa_reference=_kappa(accepted, truth, level),
        kappa_within=fleiss_kappa(_accept_reject(accepted)) if trials > 1 else None,
        detection=detection(misses.of - misses.count, misses.of, alarms.count, alarms.of),
        effectiveness_verdict=of_effectiveness,
        miss_verdict=of_misses,
        false_alarm_verdict=of_alarms,
        verdict=worst,
        reason=reason,
    )


def _rate(count: int, of: int, level: float) -> Rate:
    if of == 0:
        return Rate(count, of, None, None)
    interval = clopper_pearson(count, of, level)
    return Rate(count, of, interval.low, interval.high)


def _accept_reject(accepted: BoolArray) -> IntArray:
    """Count accepts and rejects of each part; shape (parts, 2)."""
    accepts = accepted.sum(axis=1)
    return np.column_stack([accepts, accepted.shape[1] - accepts]).astype(np.int64)


def _kappa(first: BoolArray, second: BoolArray, level: float) -> CohenKappa:
    pair = 2 * first.ravel().astype(np.int64) + second.ravel()
    return cohen_kappa(np.bincount(pair, minlength=4).reshape(2, 2), level)


def _step_from(count: int, of: int, edges: dict[Verdict, int]) -> Verdict:
    # Whole numbers, so that 45 of 50 is exactly 90 %.
    for verdict, per_cent in edges.items():
        if 100 * count >= per_cent * of:
            return verdict
    return Verdict.UNACCEPTABLE


def _step_up_to(rate: Rate, edges: dict[Verdict, int]) -> Verdict | None:
    if rate.of == 0:
        return None
    for verdict, per_cent in edges.items():
        if 100 * rate.count <= per_cent * rate.of:
            return verdict
    return Verdict.UNACCEPTABLE


def _code(accepted: BoolArray) -> str:
    if accepted.all():
        return ACCEPTED
    return MIXED if accepted.any() else REJECTED


def _worst(verdicts: Sequence[Verdict | None]) -> tuple[Verdict | None, Wording | None]:
    given = [verdict for verdict in verdicts if verdict is not None]
    if len(given) < len(verdicts):
        return None, Wording(gettext_noop("The study needs both good and bad parts for a verdict."))
    return max(given, key=ORDER.index), None
