"""What makes a ladder, a contrast or a pair of look-alikes: checked on plain values."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.utils.translation import gettext as _

from training.specimens.models import Pool, ReferenceDecision, SpecimenSet
from training.specimens.series import LADDER_LEAST, LADDER_MOST

ACCEPT: Final = ReferenceDecision.Decision.ACCEPT
REJECT: Final = ReferenceDecision.Decision.REJECT
Kind = SpecimenSet.Kind


@dataclass(frozen=True, slots=True)
class Fit:
    """What decides whether a specimen may stand in a set; `decided` is under today's limits."""

    number: str
    job: str
    zone: str
    family: str
    severity: Decimal | None
    unit: str
    pool: str
    decided: str | None
    pictured: bool
    outlined: bool
    retired: bool


def member_problem(fit: Fit) -> str:
    """Say why a specimen cannot be shown with its answer today, or nothing."""
    number = {"number": fit.number}
    if fit.retired:
        return _("%(number)s is retired.") % number
    if fit.pool != Pool.TEACHING:
        return (
            _("%(number)s is not in the teaching pool: move it there, it then examines nobody.")
            % number
        )
    if not fit.pictured:
        return _("%(number)s has no picture.") % number
    if fit.decided is None:
        return _("%(number)s is not decided for the limits in force: decide it again.") % number
    if fit.decided == REJECT and not fit.outlined:
        return _("%(number)s has no outline: its defect could not be shown.") % number
    return ""


def set_problem(kind: str, members: Sequence[Fit]) -> str:
    """Say what keeps these members, in this order, from being such a set, or nothing."""
    for fit in members:
        problem = member_problem(fit)
        if problem:
            return problem
    if len({fit.number for fit in members}) < len(members):
        return _("A specimen stands in a set once.")
    if len({(fit.job, fit.zone) for fit in members}) > 1:
        return _("All must be of one job and zone, so that one limit holds for them.")
    if kind == Kind.LADDER:
        return _ladder_problem(members)
    if len(members) != 2:
        return _("A pair has two members; chosen are %(n)s.") % {"n": len(members)}
    return _contrast_problem(members) if kind == Kind.CONTRAST else _look_alike_problem(members)


def _ladder_problem(members: Sequence[Fit]) -> str:
    if not LADDER_LEAST <= len(members) <= LADDER_MOST:
        return _("A ladder has %(least)s to %(most)s rungs; chosen are %(n)s.") % {
            "least": LADDER_LEAST,
            "most": LADDER_MOST,
            "n": len(members),
        }
    if len({fit.family for fit in members}) > 1:
        return _("All rungs of a ladder are of one family.")
    if len({fit.unit for fit in members if fit.severity}) > 1:
        return _("All rungs are measured in one unit.")
    if any(fit.severity is None for fit in members[1:]):
        return _("Every rung but a clean first one needs a measured severity.")
    return _rising_problem(members)


def _rising_problem(members: Sequence[Fit]) -> str:
    sizes = [fit.severity or Decimal(0) for fit in members]
    for before, after, fit in zip(sizes, sizes[1:], members[1:], strict=False):
        if after <= before:
            return _("The severity must rise: %(number)s is no larger than the rung before.") % {
                "number": fit.number
            }
    decided = [fit.decided for fit in members]
    if decided != sorted(decided, key=lambda each: each == REJECT):
        return _("A ladder turns from accept to reject once: look at its decisions again.")
    if len(set(decided)) < 2:
        return _("A ladder needs rungs on both sides of the limit.")
    return ""


def _contrast_problem(members: Sequence[Fit]) -> str:
    if len({fit.family for fit in members}) > 1:
        return _("A contrast is of one family; for two families make look-alikes.")
    if {fit.decided for fit in members} != {ACCEPT, REJECT}:
        return _("Of a contrast one is accepted and one rejected.")
    return ""


def _look_alike_problem(members: Sequence[Fit]) -> str:
    if len({fit.family for fit in members}) < 2:
        return _("Look-alikes are of two families; for one family make a contrast.")
    if any(fit.decided != REJECT for fit in members):
        return _("Both look-alikes must be bad, so that only the name is asked.")
    return ""
