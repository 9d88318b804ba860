"""Reading settings from the environment, with secrets from files where a path is given."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

TRUE, FALSE = ("1", "true", "yes", "on"), ("0", "false", "no", "off", "")


def text(name: str, default: str = "") -> str:
    """Return the variable, or the content of the file that NAME_FILE points to."""
    path = os.environ.get(f"{name}_FILE")
    if path:
        try:
            return Path(path).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise ImproperlyConfigured(f"{name}_FILE={path} cannot be read: {error}") from error
    return os.environ.get(name, default)


def flag(name: str, default: bool) -> bool:
    value = text(name, "1" if default else "0").lower()
    if value not in (*TRUE, *FALSE):
        raise ImproperlyConfigured(f"{name}={value} is neither of {', '.join(TRUE + FALSE[:-1])}.")
    return value in TRUE


def number(name: str, default: int, *, least: int = 0) -> int:
    value = text(name, str(default))
    if not value.isdigit() or int(value) < least:
        raise ImproperlyConfigured(f"{name}={value} is not a whole number of at least {least}.")
    return int(value)


def words(name: str, default: str = "") -> list[str]:
    return [word.strip() for word in text(name, default).split(",") if word.strip()]
