"""What a person's certificates of one family are worth on a day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from certification.certificates.standing_facts import (
    Asked,
    Certificate,
    Level,
    Rules,
    Stop,
    StopKind,
)
from certification.certificates.standing_reasons import Reason, ReasonCode


class Standing(StrEnum):
    """The six standings of a certificate."""

    IN_DATE = "in_date"
    DUE_SOON = "due_soon"
    LAPSED = "lapsed"
    SUSPENDED = "suspended"
    UNDER_SUPERVISION = "under_supervision"
    NOT_CERTIFIED = "not_certified"


@dataclass(frozen=True, slots=True)
class FamilyStanding:
    """A standing with the last day it is good for and the days left until then.

    ``days_left`` is 0 on the last day and negative once lapsed. ``held`` is the highest level
    in date, which may be below the level asked for. ``certificate`` is the key of the
    certificate the standing rests on.
    """

    standing: Standing
    ends: date | None = None
    days_left: int | None = None
    held: Level | None = None
    certificate: str = ""


def family_standing(
    certificates: Iterable[Certificate],
    family: str,
    level: Level,
    day: date,
    rules: Rules,
) -> FamilyStanding:
    """The standing of ``family`` at ``level`` on ``day`` from all certificates ever granted."""
    asked = Asked(day)
    mine = [certificate for certificate in certificates if certificate.family == family]
    current = [certificate for certificate in mine if _in_date(certificate, asked)]
    held = max((c.level for c in current if not stopped_by(c, asked)), default=None)
    reason = family_reason(mine, family, level, asked)
    if reason is None:
        good = [c for c in current if c.level >= level and not stopped_by(c, asked)]
        best = max(good, key=lambda c: _end(c, asked))
        left = (_end(best, asked) - day).days
        standing = Standing.DUE_SOON if left <= rules.due_soon_days else Standing.IN_DATE
        return FamilyStanding(standing, _end(best, asked), left, held, best.key)
    if reason.code is ReasonCode.LAPSED:
        past = [c for c in mine if c.level >= level and _ended(c, asked)]
        last = max(past, key=lambda c: _end(c, asked))
        return FamilyStanding(
            Standing.LAPSED, _end(last, asked), (_end(last, asked) - day).days, held, last.key
        )
    if reason.code in {ReasonCode.SUSPENDED, ReasonCode.UNDER_SUPERVISION}:
        kind = StopKind.SUSPENDED if reason.code is ReasonCode.SUSPENDED else StopKind.SUPERVISED
        stopped = [c for c in current if stopped_by(c, asked) is kind]
        halted = max(stopped, key=lambda c: _end(c, asked))
        left = (_end(halted, asked) - day).days
        return FamilyStanding(
            Standing(reason.code.value), _end(halted, asked), left, held, halted.key
        )
    return FamilyStanding(Standing.NOT_CERTIFIED, held=held)


def family_reason(
    certificates: Iterable[Certificate], family: str, level: Level, asked: Asked
) -> Reason | None:
    """Why the certificates of one family do not carry ``level``; None if one does.

    One reason a family: suspended, under supervision, below the level, lapsed, never held,
    the first that fits.
    """
    given = list(certificates)
    current = [certificate for certificate in given if _in_date(certificate, asked)]
    enough = [certificate for certificate in current if certificate.level >= level]
    if any(stopped_by(certificate, asked) is None for certificate in enough):
        return None
    if any(stopped_by(certificate, asked) is StopKind.SUSPENDED for certificate in current):
        return Reason(ReasonCode.SUSPENDED, family)
    if enough:
        return Reason(ReasonCode.UNDER_SUPERVISION, family)
    if current:
        return Reason(ReasonCode.ORDINARY_ONLY, family)
    ended = [_end(c, asked) for c in given if c.level >= level and _ended(c, asked)]
    if ended:
        return Reason(ReasonCode.LAPSED, family, day=max(ended))
    return Reason(ReasonCode.NOT_CERTIFIED, family)


def stopped_by(certificate: Certificate, asked: Asked) -> StopKind | None:
    """The suspension or supervision that holds when asked; a suspension comes first."""
    kinds = {
        stop.kind
        for stop in certificate.stops
        if stop.kind is not StopKind.WITHDRAWN and _holds(stop, asked)
    }
    return max(kinds, key=lambda kind: kind is StopKind.SUSPENDED) if kinds else None


def _holds(stop: Stop, asked: Asked) -> bool:
    """Whether a stop is in force when asked."""
    if asked.day < stop.first or (stop.last is not None and stop.last < asked.day):
        return False
    if stop.ended is not None and asked.day == stop.last:
        still = asked.moment is not None and asked.moment < stop.ended
        if not still:
            return False
    if asked.day > stop.first or stop.began is None or asked.moment is None:
        return True
    return stop.began <= asked.moment


def _end(certificate: Certificate, asked: Asked) -> date:
    """The last day a certificate is good for, as known when asked."""
    withdrawn = [
        stop.first - timedelta(days=1)
        for stop in certificate.stops
        if stop.kind is StopKind.WITHDRAWN and _holds(stop, asked)
    ]
    return min([certificate.expires, *withdrawn])


def _in_date(certificate: Certificate, asked: Asked) -> bool:
    """Granted, not expired, not withdrawn; it may still be suspended."""
    return certificate.granted <= asked.day <= _end(certificate, asked)


def _ended(certificate: Certificate, asked: Asked) -> bool:
    """Was good once and is over; one withdrawn on its first day never was."""
    end = _end(certificate, asked)
    return certificate.granted <= end < asked.day
