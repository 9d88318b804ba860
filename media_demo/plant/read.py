"""Reads the invented plant's files: tables as rows of text, documents as JSON.

All days in the files are offsets from "today", so that the demo plant never goes stale.
"""

import csv
import json
from datetime import date, datetime, time, timedelta, tzinfo
from pathlib import Path
from typing import Any

SEED = Path(__file__).parent / "seed"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one table (``name`` without ending), every value as text."""
    with (SEED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def documents(name: str) -> list[dict[str, Any]]:
    """The objects of one JSON document (``name`` without ending)."""
    text = (SEED / f"{name}.json").read_text(encoding="utf-8")
    loaded: list[dict[str, Any]] = json.loads(text)
    return loaded


def on(today: date, offset: str | int) -> date:
    """The date of an offset."""
    return today + timedelta(days=int(offset))


def on_or_none(today: date, offset: str) -> date | None:
    """The date of an offset that may be empty."""
    return on(today, offset) if offset else None


def at(today: date, offset: str | int, clock: str | int, zone: tzinfo) -> datetime:
    """The moment of an offset and a time of day, as "HH:MM" or as minutes of the day."""
    if isinstance(clock, int) or clock.isdigit():
        hour, minute = divmod(int(clock), 60)
    else:
        hour, minute = (int(part) for part in clock.split(":"))
    return datetime.combine(on(today, offset), time(hour, minute), zone)
