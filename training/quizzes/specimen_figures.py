"""How hard each specimen is and what casts doubt on it, from first answers; numbers only."""

import datetime as dt
import math
import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Final, Protocol

import numpy as np

from training.statistics.item_difficulty import (
    BAND_FROM,
    LARGEST_SE_TO_CHOOSE,
    Band,
    Precision,
    RaschFit,
    fit_rasch,
    severity_covariates,
    shrunken_proportion,
)
from training.statistics.item_flags import (
    DRIFT_FROM,
    DRIFT_LIMIT,
    Flag,
    ItemFlag,
    flag_items,
)
from training.statistics.wording import Wording

# What was answered within so many days is compared with what was answered before.
RECENT: Final = dt.timedelta(days=180)
# |log(severity / limit)| where nothing is measured: clean, or present where nothing is accepted.
FAR: Final = 0.8
# In a smaller bank severity explains the answers without end and the fit does not settle.
LEAST_FOR_SEVERITY: Final = 30


class Doubt(StrEnum):
    """What casts doubt on a specimen, most urgent first."""

    CHECK_KEY = "check_key"
    TOO_CLOSE = "too_close"
    PANEL = "panel"
    PERHAPS_KNOWN = "perhaps_known"


class Answered(Protocol):
    """A first answer, as far as the figures need it."""

    @property
    def specimen_id(self) -> uuid.UUID: ...
    @property
    def person_id(self) -> uuid.UUID: ...
    @property
    def at(self) -> dt.datetime: ...
    @property
    def bad(self) -> bool: ...
    @property
    def right(self) -> bool: ...
    @property
    def new(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class Windows:
    """Right of all, before and since a moment; both windows hold enough answers to compare."""

    earlier_right: int
    earlier: int
    recent_right: int
    recent: int
    since: dt.datetime


@dataclass(frozen=True, slots=True)
class SpecimenFigures:
    """What the answers say of one specimen.

    Attributes
    ----------
    answered, right : int
        First answers, and those that agree with the key.
    proportion, low, high : float or None
        Proportion right drawn towards the bank's, with its central 95 %; None below 8 answers.
    precision : Precision
        How much of it may be shown.
    band : Band or None
    rank : int or None
        1 for the hardest of those with 30 answers or more; None where they cannot be compared.
    difficulty, difficulty_se : float or None
        In logits, larger is harder; None below 8 answers, where the fit did not settle, or where
        the key is in doubt.
    doubts : tuple of Doubt
    p_wrong_key, p_too_close, drift_z : float or None
        As in `item_flags.ItemFlag`; None below their least number of answers.
    windows : Windows or None
        None below 120 answers.
    panel : tuple of int or None
        Members of the panel whose verdict agrees with the key, and all who gave one.
    """

    answered: int = 0
    right: int = 0
    proportion: float | None = None
    low: float | None = None
    high: float | None = None
    precision: Precision = Precision.TOO_FEW
    band: Band | None = None
    rank: int | None = None
    difficulty: float | None = None
    difficulty_se: float | None = None
    doubts: tuple[Doubt, ...] = ()
    p_wrong_key: float | None = None
    p_too_close: float | None = None
    drift_z: float | None = None
    windows: Windows | None = None
    panel: tuple[int, int] | None = None

    @property
    def chooses(self) -> bool:
        """Whether the difficulty is known well enough to choose the specimen by it."""
        return self.difficulty_se is not None and self.difficulty_se <= LARGEST_SE_TO_CHOOSE


@dataclass(frozen=True)
class BankFigures:
    """Figures of every specimen with an answer, and what keeps them from being compared."""

    specimens: Mapping[uuid.UUID, SpecimenFigures] = field(default_factory=dict)
    ranked: int = 0
    answers: int = 0
    people: int = 0
    not_linked: Wording | None = None
    not_fitted: Wording | None = None

    def of(self, specimen: uuid.UUID) -> SpecimenFigures:
        return self.specimens.get(specimen, SpecimenFigures())


def bank_figures(
    answers: Sequence[Answered],
    *,
    ratios: Mapping[uuid.UUID, float | None],
    panels: Mapping[uuid.UUID, tuple[int, int]],
    now: dt.datetime,
) -> BankFigures:
    """Return what first answers say of every specimen.

    Parameters
    ----------
    answers : sequence
        In order of time, scored under the key that holds now.
    ratios : mapping of specimen to float or None
        Severity / limit.
    panels : mapping of specimen to (agreeing, members)
        Panel members whose verdict agrees with the key, and all who gave one.
    now : datetime
        The recent window reaches back from here.

    Notes
    -----
    A specimen whose key is in doubt teaches nothing about the others: it is left out of the
    bank's mean and of the fit. Bad and good specimens are drawn towards their own mean.
    """
    by_specimen: dict[uuid.UUID, list[Answered]] = defaultdict(list)
    for answer in answers:
        by_specimen[answer.specimen_id].append(answer)
    found = {
        specimen: _counted(given, panels.get(specimen), now)
        for specimen, given in by_specimen.items()
    }
    for specimen, panel in panels.items():
        if specimen not in found:
            found[specimen] = SpecimenFigures(panel=panel, doubts=_doubts(None, None, panel))
    sound = [
        specimen
        for specimen, figures in found.items()
        if figures.answered and Doubt.CHECK_KEY not in figures.doubts
    ]
    for bad in (True, False):
        _shrink(found, [each for each in sound if by_specimen[each][0].bad is bad])
    fitted = [each for each in sound if found[each].answered >= BAND_FROM]
    fit = _fit(answers, fitted, ratios) if fitted else None
    ranked = _placed(found, fitted, fit) if fit is not None else 0
    return BankFigures(
        specimens=found,
        ranked=ranked,
        answers=len(answers),
        people=len({answer.person_id for answer in answers}),
        not_linked=fit.link_reason if fit is not None else None,
        not_fitted=fit.reason if fit is not None else None,
    )


def windows_of(given: Sequence[Answered], now: dt.datetime) -> Windows | None:
    """Part a specimen's answers into earlier and recent; None below 60 answers in either.

    Recent are those of the last 180 days, but always 60 or more, and 60 or more stay earlier.
    """
    n = len(given)
    if n < 2 * DRIFT_FROM:
        return None
    within = sum(answer.at > now - RECENT for answer in given)
    recent = min(max(within, DRIFT_FROM), n - DRIFT_FROM)
    before, since = given[: n - recent], given[n - recent :]
    return Windows(
        earlier_right=sum(answer.right for answer in before),
        earlier=len(before),
        recent_right=sum(answer.right for answer in since),
        recent=len(since),
        since=since[0].at,
    )


def _counted(
    given: Sequence[Answered], panel: tuple[int, int] | None, now: dt.datetime
) -> SpecimenFigures:
    right, answered = sum(answer.right for answer in given), len(given)
    flagged = flag_items([right], [answered])[0]
    windows = windows_of(given, now)
    drift = None
    if windows is not None:
        drift = flag_items(
            [windows.recent_right],
            [windows.recent],
            [windows.earlier_right],
            [windows.earlier],
        )[0].drift_z
    return SpecimenFigures(
        answered=answered,
        right=right,
        doubts=_doubts(flagged, drift, panel),
        p_wrong_key=flagged.p_wrong_key,
        p_too_close=flagged.p_too_close,
        drift_z=drift,
        windows=windows,
        panel=panel,
    )


def _doubts(
    flagged: ItemFlag | None, drift: float | None, panel: tuple[int, int] | None
) -> tuple[Doubt, ...]:
    doubts = []
    if flagged is not None and flagged.flag is Flag.CHECK_KEY:
        doubts.append(Doubt.CHECK_KEY)
    if flagged is not None and flagged.flag is Flag.TOO_CLOSE:
        doubts.append(Doubt.TOO_CLOSE)
    if panel is not None and panel[1] and 2 * panel[0] <= panel[1]:
        doubts.append(Doubt.PANEL)
    if drift is not None and drift > DRIFT_LIMIT:
        doubts.append(Doubt.PERHAPS_KNOWN)
    return tuple(doubts)


def _shrink(found: dict[uuid.UUID, SpecimenFigures], specimens: Sequence[uuid.UUID]) -> None:
    if not specimens:
        return
    shrunk = shrunken_proportion(
        [found[each].right for each in specimens], [found[each].answered for each in specimens]
    )
    for place, each in enumerate(specimens):
        if shrunk.precision[place] is Precision.TOO_FEW:
            continue
        found[each] = replace(
            found[each],
            proportion=float(shrunk.proportion[place]),
            low=float(shrunk.low[place]),
            high=float(shrunk.high[place]),
            precision=shrunk.precision[place],
            band=shrunk.band[place],
        )


def _fit(
    answers: Iterable[Answered],
    specimens: Sequence[uuid.UUID],
    ratios: Mapping[uuid.UUID, float | None],
) -> RaschFit:
    """Fit difficulties; whoever was new at the first answer counts in a group of their own."""
    columns = {specimen: place for place, specimen in enumerate(specimens)}
    kept = [answer for answer in answers if answer.specimen_id in columns]
    rows: dict[uuid.UUID, int] = {}
    new: list[bool] = []
    for answer in kept:
        if answer.person_id not in rows:
            rows[answer.person_id] = len(rows)
            new.append(answer.new)
    right = np.zeros((len(rows), len(columns)))
    seen = np.zeros_like(right)
    cells = (
        [rows[answer.person_id] for answer in kept],
        [columns[answer.specimen_id] for answer in kept],
    )
    right[cells] = [float(answer.right) for answer in kept]
    seen[cells] = 1.0
    known = None
    if len(specimens) >= LEAST_FOR_SEVERITY:
        known = severity_covariates([_distance(ratios.get(each)) for each in specimens])
    return fit_rasch(right, seen, group=new, covariates=known)


def _distance(ratio: float | None) -> float:
    return math.log(ratio) if ratio else FAR


def _placed(
    found: dict[uuid.UUID, SpecimenFigures], specimens: Sequence[uuid.UUID], fit: RaschFit
) -> int:
    """Write difficulties, and ranks where all can be compared; return how many are ranked."""
    if not fit.converged:
        return 0
    for place, each in enumerate(specimens):
        found[each] = replace(
            found[each],
            difficulty=float(fit.difficulty[place]),
            difficulty_se=float(fit.difficulty_se[place]),
        )
    if not fit.linked:
        return 0
    ranked = [each for each in specimens if found[each].precision is Precision.RANK]
    ranked.sort(key=lambda each: -(found[each].difficulty or 0.0))
    for rank, each in enumerate(ranked, start=1):
        found[each] = replace(found[each], rank=rank)
    return len(ranked)
