"""The cells of the skills matrix: what each answer is drawn as, and its short word."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from certification.certificates.standing import (
    Answer,
    JobFacts,
    PersonFacts,
    ReasonCode,
    Rules,
    Verdict,
    family_standing,
)
from certification.certificates.wording import Language, Names, reason_text, short_text

AWAY_WORDS = {
    "absent": {"en": "absent", "es": "ausente"},
    "leave": {"en": "leave", "es": "permiso"},
    "sick": {"en": "sick", "es": "enf."},
}
DAYS = {"en": "{0} d", "es": "{0} d"}
SENTENCES = {
    "alone": {"en": "runs alone", "es": "por su cuenta"},
    "due": {"en": "runs alone, {0} days left", "es": "por su cuenta, quedan {0} días"},
    "none": {"en": "not certified", "es": "sin certificar"},
    "away": {"en": "could run it, is away", "es": "podría, no está"},
    "buddy": {"en": "only with a named buddy", "es": "solo con acompañante"},
}

Absences = Mapping[str, str]


@dataclass(frozen=True)
class Cell:
    """One person and job: the kind says the shape, the word stands under it."""

    kind: str
    word: str
    sentence: str


def make_cell(
    answer: Answer,
    person: PersonFacts,
    job: JobFacts,
    *,
    rules: Rules,
    day: dt.date,
    away: str,
    names: Names,
    language: Language,
) -> Cell:
    """Return how an answer is drawn; a person who is away today is drawn so where they could run."""
    if answer.verdict is Verdict.ALONE:
        if away:
            word = AWAY_WORDS.get(away, AWAY_WORDS["absent"])[language]
            return Cell("away", word, SENTENCES["away"][language])
        left = days_left(person, job, rules, day)
        if left is not None and left <= rules.due_soon_days:
            word = DAYS[language].format(left)
            return Cell("due", word, SENTENCES["due"][language].format(left))
        return Cell("alone", "", SENTENCES["alone"][language])
    texts = [reason_text(r, language, today=day, names=names) for r in answer.reasons]
    codes = {reason.code for reason in answer.reasons}
    if answer.verdict is Verdict.NO and _never_held(codes):
        return Cell("none", "", SENTENCES["none"][language])
    first = min(answer.reasons, key=lambda reason: ORDER.get(reason.code, 9))
    word = fitting(short_text(first, language, names=names))
    if answer.verdict is Verdict.BUDDY:
        return Cell("buddy", word, f"{SENTENCES['buddy'][language]}: {' '.join(texts)}")
    return Cell(KINDS.get(first.code, "no"), word, " ".join(texts))


# The widest word that stands in a cell without running into its neighbour, in characters.
WIDEST = 6


def fitting(word: str) -> str:
    """Return the word, or its beginning with a full stop where it is wider than a cell."""
    return word if len(word) <= WIDEST else f"{word[: WIDEST - 1].rstrip(' -.')}."


# What was allowed and ended is shown first: it is what somebody can put right soonest.
ORDER = {
    ReasonCode.SUSPENDED: 0,
    ReasonCode.LAPSED: 1,
    ReasonCode.REQUALIFICATION: 2,
    ReasonCode.NEAR_VISION_OVERDUE: 3,
    ReasonCode.OBSERVED_CHECK_LAPSED: 4,
    ReasonCode.REFRESHER_WANTED: 4,
    ReasonCode.ALERT_UNREAD: 5,
    ReasonCode.WI_UNREAD: 5,
}
KINDS = {
    ReasonCode.SUSPENDED: "suspended",
    ReasonCode.LAPSED: "lapsed",
    ReasonCode.OBSERVED_CHECK_LAPSED: "lapsed",
    ReasonCode.REFRESHER_WANTED: "lapsed",
}


def _never_held(codes: set[ReasonCode]) -> bool:
    return ReasonCode.NO_OBSERVED_CHECK in codes or ReasonCode.NOT_EMPLOYED in codes


def days_left(person: PersonFacts, job: JobFacts, rules: Rules, day: dt.date) -> int | None:
    """Return the days until the first certificate that the job needs ends; None if it needs none."""
    standings = (
        family_standing(person.certificates, family, level, day, rules)
        for family, level in job.needs_on(day).items()
    )
    left = (standing.days_left for standing in standings)
    return min((days for days in left if days is not None), default=None)
