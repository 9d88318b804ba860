"""Filters for texts in several languages: `{{ job.part|in_my_language }}`."""

from collections.abc import Mapping

from django import template
from django.utils.translation import get_language

from training.people.texts import in_language

register = template.Library()


@register.filter
def in_my_language(text: Mapping[str, str] | None) -> str:
    """Return the words in the language of the page, or in the first one that has any."""
    return in_language(text, get_language() or "en")
