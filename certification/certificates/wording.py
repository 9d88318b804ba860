"""Turns standing answers into sentences, English and Spanish; pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from certification.certificates.standing_family import FamilyStanding
from certification.certificates.standing_reasons import (
    FAMILY_CODES,
    BuddyBar,
    BuddyRefusal,
    Reason,
    Verdict,
)
from certification.certificates.wording_texts import (
    BUDDY_BARS,
    DAYS_LEFT,
    ENDING,
    ENDING_FAMILY,
    MONTHS,
    NEAR_DAYS,
    REASONS,
    REFUSALS,
    REMEDIES,
    SHORT,
    STANDINGS,
    VERDICTS,
)

Language = Literal["en", "es"]
Text = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Names:
    """Names to print for the keys in reasons, each ``{"en": ..., "es": ...}``.

    A key without a name is printed as it is. Families want their short name ("Crack").
    """

    families: Mapping[str, Text] = field(default_factory=dict)
    job_groups: Mapping[str, Text] = field(default_factory=dict)
    cautions: Mapping[str, Text] = field(default_factory=dict)
    authorisations: Mapping[str, Text] = field(default_factory=dict)


NO_NAMES = Names()


def reason_text(reason: Reason, language: Language, *, today: date, names: Names = NO_NAMES) -> str:
    """The sentence of one reason: "Crack certificate ended yesterday, 24 Nov."."""
    words = _words(reason, language, names)
    if reason.day is not None:
        words["day"] = day_text(reason.day, language, today=today)
    return REASONS[reason.code, reason.detail][language].format_map(words)


def ending_text(reason: Reason, language: Language, *, names: Names = NO_NAMES) -> str:
    """The sentence of something that runs out while the turn goes on."""
    template = ENDING_FAMILY if reason.code in FAMILY_CODES else ENDING[reason.code]
    return template[language].format_map(_words(reason, language, names))


def remedy_text(reason: Reason, language: Language, *, names: Names = NO_NAMES) -> str:
    """The one thing to do about a reason."""
    return REMEDIES[reason.remedy][language].format_map(_words(reason, language, names))


def short_text(reason: Reason, language: Language, *, names: Names = NO_NAMES) -> str:
    """A word or two for a cell of the matrix: "crack", "131 d", "A-08"."""
    words = _words(reason, language, names)
    if reason.code in FAMILY_CODES:
        return words["family"]
    template = SHORT.get(reason.code)
    return template[language].format_map(words) if template else reason.subject


def buddy_bar_text(bar: BuddyBar, language: Language, *, names: Names = NO_NAMES) -> str:
    """Why not even a buddy helps."""
    family = _name(names.families, bar.subject, language)
    return BUDDY_BARS[bar.code][language].format(Family=_upper(family), family=_lower(family))


def refusal_text(refusal: BuddyRefusal, language: Language) -> str:
    """Why somebody may not be the named buddy."""
    return REFUSALS[refusal][language]


def verdict_text(verdict: Verdict, language: Language) -> str:
    """The verdict in words."""
    return VERDICTS[verdict][language]


def standing_text(standing: FamilyStanding, language: Language, *, today: date) -> str:
    """A certificate's standing with its day: "Ends 30 Nov: 5 days left."."""
    words = {}
    if standing.ends is not None and standing.days_left is not None:
        left = DAYS_LEFT[language]
        words["day"] = day_text(standing.ends, language, today=today)
        words["left"] = left.get(standing.days_left, left[None]).format(days=standing.days_left)
    return STANDINGS[standing.standing][language].format_map(words)


def day_text(day: date, language: Language, *, today: date) -> str:
    """A day in a sentence: "yesterday, 24 Nov", "22 Nov", "3 Jan 2024"; "el 22 nov".

    The year is printed only where it is not this year.
    """
    plain = f"{day.day} {MONTHS[language][day.month - 1]}"
    if day.year != today.year:
        plain += f" {day.year}"
    word = NEAR_DAYS[language].get((day - today).days)
    if word is not None:
        return f"{word}, {plain}"
    return f"el {plain}" if language == "es" else plain


def _words(reason: Reason, language: Language, names: Names) -> dict[str, str]:
    """Everything a template may ask for."""
    family = _name(names.families, reason.subject, language)
    return {
        "subject": reason.subject,
        "Family": _upper(family),
        "family": _lower(family),
        "group": _name(names.job_groups, reason.subject, language),
        "caution": _lower(_name(names.cautions, reason.subject, language)),
        "kind": _lower(_name(names.authorisations, reason.subject, language)),
        "days": str(reason.days),
        "revision": reason.revision,
    }


def _name(names: Mapping[str, Text], key: str, language: Language) -> str:
    text = names.get(key, {})
    return text.get(language) or text.get("en") or key


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
