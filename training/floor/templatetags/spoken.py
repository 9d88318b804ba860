"""Words in the reader's language: `{{ job.part|spoken }}`, a way of judging."""

from collections.abc import Mapping

from django import template
from django.utils.translation import get_language

from training.floor.limit_words import judged_by_text
from training.floor.limits import JudgedBy
from training.people.texts import in_language

register = template.Library()


def _language() -> str:
    return (get_language() or "en").split("-")[0]


@register.filter
def spoken(text: Mapping[str, str] | None) -> str:
    """Return a text of several languages in the reader's, or in the one there is."""
    return in_language(text, _language())


@register.filter
def judged(way: str) -> str:
    """Return how a limit is judged, in words; a dash where nothing is said."""
    return judged_by_text(JudgedBy(way), _language()) if way else "–"
