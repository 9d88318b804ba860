"""Panel rounds: opened for specimens and members, looked at, and closed into decisions."""

import datetime as dt
import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NoReturn
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.people.models import Person
from training.people.record.chain import append, erasable
from training.specimens.models import (
    Action,
    PanelItem,
    PanelLook,
    PanelRound,
    Pool,
    ReferenceDecision,
    Specimen,
)
from training.specimens.panel_outcomes import ItemOutcome, outcomes_of
from training.specimens.panel_turns import turn_of
from training.specimens.services.deciding import decide_reference
from training.specimens.standards import standards_of

ACCEPT, REJECT = ReferenceDecision.Decision.ACCEPT, ReferenceDecision.Decision.REJECT
NUMBER = re.compile(r"PR-(\d+)")
# The rules of `statistics.panel`: three twice, four twice, or five once.
LEAST_TWICE, LEAST_ONCE = 3, 5
MOST_LOOKS, MOST_GAP = 4, 60
LEAST_LOOK_MS: Final = 2000
LONGEST_MS: Final = 24 * 3600 * 1000


def chain_of(round_: PanelRound) -> str:
    """Return the name of the chain that holds the looks of a round."""
    return f"panel:{round_.pk}"


@transaction.atomic
def open_round(
    *,
    specimens: Sequence[Specimen],
    members: Sequence[Person],
    by: Person,
    moment: dt.datetime,
    day: dt.date,
    looks: int = 2,
    gap_days: int = 1,
    note: str = "",
    seed: str = "",
) -> PanelRound:
    """Open a round under the limits of the day; each member judges each specimen so many times.

    Raises
    ------
    ValidationError
        By field: too few members for any rule to settle by, looks on one day, nothing to judge, or
        a specimen that another open round has.
    """
    _check_size(members, looks, gap_days)
    _check_specimens(specimens)
    round_ = PanelRound(
        number=_next_number(),
        looks=looks,
        gap_days=gap_days,
        note=note.strip(),
        seed=seed or secrets.token_hex(8),
        opened_at=moment,
        opened_by=by,
    )
    round_.full_clean(exclude=["opened_by"])
    round_.save(force_insert=True)
    round_.members.set(members)
    standards = standards_of({each.job_id: each.job for each in specimens}.values(), day)
    PanelItem.objects.bulk_create(
        PanelItem(
            round=round_,
            specimen=each,
            work_instruction=standards[each.job_id].sheet,
            general=standards[each.job_id].general_for(each.family.slug, each.zone),
        )
        for each in specimens
    )
    return round_


def _check_size(members: Sequence[Person], looks: int, gap_days: int) -> None:
    if not 1 <= looks <= MOST_LOOKS:
        raise ValidationError({"looks": _("Between 1 and %(most)s looks.") % {"most": MOST_LOOKS}})
    if not 1 <= gap_days <= MOST_GAP:
        raise ValidationError(
            {
                "gap_days": _(
                    "Between 1 and %(most)s days: a second look on the same day is memory, not"
                    " judgement."
                )
                % {"most": MOST_GAP}
            }
        )
    if len(members) < (LEAST_TWICE if looks >= 2 else LEAST_ONCE):
        raise ValidationError(
            {
                "members": _(
                    "Nothing would be settled: it takes three members who look twice, or five who"
                    " look once."
                )
            }
        )


def _check_specimens(specimens: Sequence[Specimen]) -> None:
    if not specimens:
        raise ValidationError({"specimens": _("Choose at least one specimen.")})
    retired = [each.number for each in specimens if each.retired_day is not None]
    if retired:
        raise ValidationError(
            {"specimens": _("Retired: %(numbers)s.") % {"numbers": ", ".join(retired)}}
        )
    taken = list(
        PanelItem.objects.filter(specimen__in=specimens, round__closed_at=None).values_list(
            "specimen__number", "round__number"
        )
    )
    if taken:
        listed = ", ".join(f"{number} ({round_})" for number, round_ in sorted(taken))
        raise ValidationError(
            {"specimens": _("In an open round already: %(listed)s.") % {"listed": listed}}
        )


def _next_number() -> str:
    last = PanelRound.objects.order_by("-opened_at").values_list("number", flat=True)
    used = [int(match[1]) for number in last if (match := NUMBER.fullmatch(number))]
    return f"PR-{max(used, default=0) + 1:03d}"


class RefusedLookError(ValidationError):
    """A look that cannot be kept; `code` is closed, ordinal, conflict, look or answer."""


@dataclass(frozen=True, slots=True)
class GivenLook:
    """One look as the device sends it, by its place in the member's own order."""

    look_id: UUID
    ordinal: int
    answer: str
    judging_ms: int
    looked_at: dt.datetime
    family: str = ""
    action: str = ""
    words: str = ""


@transaction.atomic
def record_look(
    *, round_: PanelRound, member: Person, given: GivenLook, moment: dt.datetime
) -> PanelLook:
    """Keep one look for good; the same look may come twice and is kept once.

    Raises
    ------
    RefusedLookError
        When the round is closed, the look is not due, was given already, or is not whole.
    """
    # One look after the other: closing the round takes the same lock.
    PanelRound.objects.select_for_update().get(pk=round_.pk)
    known = PanelLook.objects.filter(pk=given.look_id).select_related("item").first()
    if known is not None:
        if known.member_id != member.pk or known.item.round_id != round_.pk:
            _refuse(_("This identifier already belongs to another answer."), "conflict")
        return known
    round_.refresh_from_db(fields=["closed_at"])
    if round_.closed_at is not None:
        _refuse(_("This round is closed; nothing more is counted in it."), "closed")
    looked_at = min(max(given.looked_at, round_.opened_at), moment)
    turn = turn_of(round_, member)
    place = turn.place(given.ordinal)
    if place is None or place not in turn.due(timezone.localdate(looked_at)):
        _refuse(_("This look is not due: given already, or too soon after the last."), "ordinal")
    look = PanelLook(
        pk=given.look_id,
        item_id=place.item,
        member=member,
        number=place.number,
        answer=given.answer,
        family=_checked_answer(given),
        action=given.action,
        looked_at=looked_at,
        judging_ms=given.judging_ms,
        recorded_by=member,
    )
    if given.words.strip():
        look.words = erasable(given.words.strip()[:500])
    append(look, chain=chain_of(round_), moment=moment)
    return look


def _checked_answer(given: GivenLook) -> Family | None:
    if not LEAST_LOOK_MS <= given.judging_ms <= LONGEST_MS:
        _refuse(
            _("A part must be looked at for at least %(s)s seconds.")
            % {"s": LEAST_LOOK_MS // 1000},
            "look",
        )
    if given.answer == ACCEPT and not (given.family or given.action):
        return None
    if given.answer != REJECT:
        _refuse(_("A look is accept alone, or reject with family and action."), "answer")
    family = Family.objects.filter(slug=given.family).first()
    if family is None or given.action not in Action.values:
        _refuse(_("A rejected part needs a family and one of the four actions."), "answer")
    return family


def _refuse(words: str, code: str) -> NoReturn:
    raise RefusedLookError(words, code=code)


@dataclass(frozen=True)
class ClosedRound:
    """What closing a round came to."""

    decisions: tuple[ReferenceDecision, ...]
    unsettled: tuple[Specimen, ...]


@transaction.atomic
def close_round(
    *,
    round_: PanelRound,
    by: Person,
    moment: dt.datetime,
    day: dt.date,
    unsettled_to: str = Pool.NEITHER,
    note: str = "",
) -> ClosedRound:
    """Close a round: what is settled becomes a decision, what is not leaves the exams.

    `unsettled_to` is the pool that unsettled exam specimens go to; empty leaves them where they are.
    A verdict that the measurement contradicts decides nothing, nor one under limits moved since.

    Raises
    ------
    ValidationError
        When the round is closed already, or nobody has looked.
    """
    row = PanelRound.objects.select_for_update().get(pk=round_.pk)
    if row.closed_at is not None:
        raise ValidationError(_("This round is closed already."), code="closed")
    if not PanelLook.objects.filter(item__round=row).exists():
        raise ValidationError(_("Nobody has looked yet: there is nothing to close."), code="empty")
    if unsettled_to not in ("", *Pool.values) or unsettled_to == Pool.EXAM:
        raise ValidationError({"unsettled_to": _("What is not settled examines nobody.")})
    outcomes = outcomes_of(row, day)
    reason = note.strip() or _("Panel round %(number)s") % {"number": row.number}
    decisions = [
        _write(each, by=by, moment=moment, reason=reason) for each in outcomes if each.decides
    ]
    unsettled = [each.specimen for each in outcomes if not each.decides]
    if unsettled_to:
        leave_exams(specimens=unsettled, pool=unsettled_to)
    row.closed_at, row.closed_by = moment, by
    row.save(update_fields=["closed_at", "closed_by"])
    round_.closed_at, round_.closed_by = moment, by
    return ClosedRound(tuple(decisions), tuple(unsettled))


def _write(
    outcome: ItemOutcome, *, by: Person, moment: dt.datetime, reason: str
) -> ReferenceDecision:
    rejected = outcome.decision == REJECT
    said = outcome.said
    return decide_reference(
        specimen=outcome.specimen,
        work_instruction=outcome.item.work_instruction,
        general=outcome.item.general,
        decision=outcome.decision,
        family=outcome.family if rejected else outcome.specimen.family,
        action=outcome.action if rejected else Action.KEEP_RUNNING,
        basis=ReferenceDecision.Basis.PANEL,
        severity_ratio=said.ratio if said else None,
        clear=rejected and said is not None and said.clear,
        by=by,
        moment=moment,
        reason=reason,
    )


def leave_exams(*, specimens: Sequence[Specimen], pool: str) -> int:
    """Move those of the specimens that are in the exam pool to another; return how many."""
    if pool not in (Pool.TEACHING, Pool.NEITHER):
        raise ValidationError({"pool": _("What is not settled examines nobody.")})
    keys = [each.pk for each in specimens]
    return Specimen.objects.filter(pk__in=keys, pool=Pool.EXAM).update(pool=pool)
