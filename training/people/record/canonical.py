"""The canonical form of a fact: the bytes that are hashed, the same on every database.

A value is written as text that does not depend on the database that keeps it: identifiers and days
as ISO text, moments as UTC text with microseconds, decimals with their declared number of places.
Binary floating-point numbers are refused because their text differs between systems. Empty (null)
values are left out, so that a column added later as nullable leaves older hashes as they are.
The JSON text follows RFC 8785 (JSON Canonicalization Scheme).
"""

import datetime as dt
import hashlib
import uuid
from collections.abc import Mapping
from decimal import Decimal

import rfc8785

NOT_A_FACT = (
    "A fact may hold text, whole numbers, decimals, days, moments and identifiers, not {0!r}."
)

Canonical = str | int | bool | list["Canonical"] | dict[str, "Canonical"]

GENESIS = "0" * 64


def canonical_value(value: object) -> Canonical:  # noqa: PLR0911 - one line a type reads best flat
    """Return the database-independent form of one value; raise TypeError for a float."""
    if isinstance(value, (bool, str)):
        return value if isinstance(value, bool) else str(value)
    if isinstance(value, int):
        return int(value)
    if isinstance(value, uuid.UUID):
        return str(value)
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    if isinstance(value, (list, tuple)):
        return [canonical_value(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): canonical_value(item) for key, item in value.items() if item is not None}
    raise TypeError(NOT_A_FACT.format(value))


def canonical_form(kind: str, values: Mapping[str, object]) -> bytes:
    """Return the RFC 8785 bytes of a fact of this kind with these values; nulls are left out."""
    body = {name: canonical_value(value) for name, value in values.items() if value is not None}
    return rfc8785.dumps({"kind": kind, "fact": body})


def fact_hash(kind: str, values: Mapping[str, object]) -> str:
    """Return the SHA-256 of the canonical form, as 64 hexadecimal digits."""
    return hashlib.sha256(canonical_form(kind, values)).hexdigest()


def commitment(salt: str, text: str) -> str:
    """Return the salted commitment of a text: it proves the text and tells nothing of it."""
    return hashlib.sha256(f"{salt}\x1f{text}".encode()).hexdigest()
