"""Texts that people read, in several languages: one JSON value per text, and how to read it."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

LANGUAGES = ("en", "es")


def in_language(text: Mapping[str, str] | None, language: str) -> str:
    """Return the text in the language, or in the first one that has words, or nothing."""
    if not text:
        return ""
    order = (language.split("-", maxsplit=1)[0], *LANGUAGES)
    return next((text[code] for code in order if text.get(code)), "")


def is_stale(text: Mapping[str, Any] | None, language: str) -> bool:
    """Return whether this language's words are missing or marked as older than another's."""
    return not text or not text.get(language) or language in text.get("stale", ())


def validate_text(value: object) -> None:
    """Refuse anything but {"en": words, "es": words}, with at least one of them filled."""
    if not isinstance(value, dict) or not any(value.get(code) for code in LANGUAGES):
        raise ValidationError('Give the words as {"en": …, "es": …}, at least one of them filled.')
    wrong = [key for key in value if key not in (*LANGUAGES, "stale")]
    if wrong or any(not isinstance(value.get(code, ""), str) for code in LANGUAGES):
        raise ValidationError("A text has the languages en and es and nothing else.")


class TextField(models.JSONField):
    """A text in several languages."""

    default_validators = [validate_text]
