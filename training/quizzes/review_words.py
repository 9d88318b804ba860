"""The yearly review of a plan in words: counts with intervals, never a rate of a few."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final

from django.conf import settings
from django.utils.dateformat import format as format_date
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from training.people.models import Crew
from training.quizzes.models import PlanReview
from training.quizzes.plan_words import percent
from training.quizzes.selectors.plan_reviews import (
    LEAST_FOR_RATE,
    PassRate,
    PlanYear,
    ReviewDue,
)
from training.quizzes.specimen_words import DOUBT_WORDS
from training.quizzes.words import here

# Above this share met before the plan is meant to be tighter; above the second, not used.
SEEN_MUCH: Final = 0.10


@dataclass(frozen=True, slots=True)
class RateRow:
    """How many sittings of a language or a crew were passed, with the interval in words."""

    name: str
    passed: int
    of: int
    interval: str


def review_context(year: PlanYear, reviews: Iterable[PlanReview]) -> dict[str, Any]:
    """Return what the page of the review shows. Costs one query, for the crews' names."""
    languages = dict(settings.LANGUAGES)
    crews = {crew.code: here(crew.name) for crew in Crew.objects.all()}
    return {
        "year": year,
        "everybody": rate_row(year.everybody, _("all")),
        "by_language": [
            rate_row(each, str(_(languages.get(each.name, each.name)))) for each in year.by_language
        ],
        "by_crew": [
            rate_row(each, crews.get(each.name, "") or _("no crew")) for each in year.by_crew
        ],
        "shares": share_lines(year),
        "lengths": length_lines(year),
        "consistency": consistency_lines(year),
        "flagged": [
            {
                "id": line.id,
                "number": line.number,
                "family": here(line.family),
                "doubts": ", ".join(str(DOUBT_WORDS[doubt]) for doubt in line.figures.doubts),
            }
            for line in year.flagged
        ],
        "reviews": [
            {"review": each, "words": each.words.text if each.words else ""} for each in reviews
        ],
        "least": LEAST_FOR_RATE,
    }


def rate_row(rate: PassRate, name: str) -> RateRow:
    interval = rate.interval
    words = _("too few for a rate")
    if interval is not None:
        words = _("%(low)s to %(high)s") % {
            "low": percent(round(interval.low, 2)),
            "high": percent(round(interval.high, 2)),
        }
    return RateRow(name, rate.passed, rate.of, words)


def share_lines(year: PlanYear) -> list[str]:
    """Say how much of what was drawn had been met before, and how much was drawn by program."""
    if not year.drawn:
        return [_("Nothing was drawn in this period.")]
    values = {"seen": year.seen, "drawn": year.drawn, "synthetic": year.synthetic}
    seen = _("%(seen)s of %(drawn)s parts drawn had been met before by whoever sat.") % values
    if year.seen > SEEN_MUCH * year.drawn:
        seen += " " + _("That is more than one in ten: the bank needs fresh specimens.")
    return [seen, _("%(synthetic)s of %(drawn)s parts were drawn by program.") % values]


def length_lines(year: PlanYear) -> list[str]:
    """Say how many judgements a sitting took, beside what is expected of an attentive eye."""
    if year.judged is None or year.expected is None:
        return []
    return [
        _(
            "%(judged)s judgements a sitting in the mean; %(expected)s are expected of somebody "
            "who errs in 2 %% on either side."
        )
        % {
            "judged": number_format(round(year.judged, 1), 1),
            "expected": number_format(round(year.expected, 1), 1),
        }
    ]


def consistency_lines(year: PlanYear) -> list[str]:
    """Say how alike and how rightly the plan decides; below 30 people why it is not said."""
    found = year.consistency
    basis = _("Counted under the numbers that most people sat, each person once.")
    if found.reason is not None:
        return [_(found.reason.pattern) % found.reason.values, basis]
    if found.consistency is None or found.accuracy is None:
        return []
    people = ngettext("%(n)d person", "%(n)d people", found.operators) % {"n": found.operators}
    return [
        _("A second sitting would decide the same for %(n)s of 100 (from %(people)s).")
        % {"n": round(100 * found.consistency), "people": people},
        _("The decision is right for %(n)s of 100.") % {"n": round(100 * found.accuracy)},
        basis,
    ]


def due_words(due: ReviewDue) -> str:
    """Say since when a plan has not been reviewed."""
    day = format_date(due.since, pgettext("pattern of a day with its year", "j M Y"))
    if due.reviewed:
        return _("Yearly review due: the last one was up to %(day)s.") % {"day": day}
    return _("Yearly review due: in force since %(day)s and never reviewed.") % {"day": day}
