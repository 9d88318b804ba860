"""What the page of a closed round shows: outcomes, dissent and how members lean, in words."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.floor.limit_words import number_text
from training.specimens.limit_rows import measured_text, ratio_text
from training.specimens.models import Pool
from training.specimens.panel_outcomes import Agreement, Cell, ItemOutcome, Outcome
from training.statistics.panel_members import Leaning, Member, Side

WORDS: Final[dict[Outcome, Promise]] = {
    Outcome.SETTLED: gettext_lazy("settled"),
    Outcome.NEAR: gettext_lazy("settled, too near for exams"),
    Outcome.CONTRADICTED: gettext_lazy("measurement says otherwise"),
    Outcome.MOVED: gettext_lazy("limits have moved"),
    Outcome.UNSETTLED: gettext_lazy("not settled"),
}
# What is still to be done stands first.
ORDER: Final = (
    Outcome.CONTRADICTED,
    Outcome.UNSETTLED,
    Outcome.MOVED,
    Outcome.NEAR,
    Outcome.SETTLED,
)
SIGNS: Final = {Outcome.SETTLED: "done", Outcome.NEAR: "short_bank"}


@dataclass(frozen=True)
class OutcomeRow:
    """One specimen as a line: the looks by member, the rule's word, and what to do about it."""

    outcome: ItemOutcome
    cells: tuple[tuple[Cell | None, ...], ...]
    status: str
    word: str
    why: str
    measured: str
    share: str
    pool: str


def outcome_rows(outcomes: Sequence[ItemOutcome], looks: int) -> list[OutcomeRow]:
    """Return the lines of the table, what was not settled first."""
    rows = [_row(each, looks) for each in outcomes]
    return sorted(
        rows, key=lambda row: (ORDER.index(row.outcome.outcome), row.outcome.specimen.number)
    )


def _row(each: ItemOutcome, looks: int) -> OutcomeRow:
    return OutcomeRow(
        outcome=each,
        cells=tuple(
            tuple(
                next((cell for cell in cells if cell.number == number), None)
                for number in range(1, looks + 1)
            )
            for cells in each.cells
        ),
        status=SIGNS.get(each.outcome, "differs"),
        word=str(WORDS[each.outcome]),
        why=_why(each),
        measured=measured_text(each.specimen.severity, each.specimen.unit),
        share=ratio_text(each.said.ratio if each.said else None),
        pool=str(Pool(each.specimen.pool).label),
    )


def _why(each: ItemOutcome) -> str:
    if each.outcome is Outcome.CONTRADICTED:
        return _("Measure again, or let quality decide: no vote finds a bias that all share.")
    if each.outcome is Outcome.MOVED:
        return _("Judged by limits that are no longer in force: open a round under the new ones.")
    said = _(each.settlement.reason)
    return f"{said[:1].upper()}{said[1:]}."


def summary_of(outcomes: Sequence[ItemOutcome]) -> list[tuple[str, int]]:
    """Return how many specimens came to what, what is still to be done first."""
    counts = Counter(each.outcome for each in outcomes)
    return [(str(WORDS[key]), counts[key]) for key in ORDER if counts[key]]


@dataclass(frozen=True, slots=True)
class Rate:
    """Looks against what the others settled, of how many, and the interval where one is given."""

    against: int
    looks: int
    low: float | None
    high: float | None


def _rate(side: Side) -> Rate:
    interval = side.interval
    return Rate(
        side.against,
        side.looks,
        interval.low if interval else None,
        interval.high if interval else None,
    )


@dataclass(frozen=True, slots=True)
class MemberLine:
    """How one member judged beside the others, each side as counts with their interval."""

    name: str
    accepted: Rate
    rejected: Rate
    same: int
    pairs: int
    own_limit: str
    leaning: str
    stands_out: bool


def member_lines(agreement: Agreement) -> list[MemberLine]:
    """Return the members, those who lean first."""
    lines = [_line(name, member) for name, member in agreement.members]
    return sorted(lines, key=lambda line: (not line.stands_out, line.name))


def _line(name: str, member: Member) -> MemberLine:
    words = {
        Leaning.LENIENT: _("lenient: accepts what the others reject"),
        Leaning.STRICT: _("strict: rejects what the others accept"),
        Leaning.ALIKE: _("as the others"),
    }
    enough = member.accepted_bad.looks or member.rejected_good.looks
    return MemberLine(
        name=name,
        accepted=_rate(member.accepted_bad),
        rejected=_rate(member.rejected_good),
        same=member.same,
        pairs=member.pairs,
        own_limit=own_limit_words(member),
        leaning=words[member.leaning] if enough else _("too few settled by the others"),
        stands_out=member.leaning is not Leaning.ALIKE,
    )


def own_limit_words(member: Member) -> str:
    """Say at which severity a member rejects half the time, with its interval, where that is known."""
    limit = member.limit
    if limit is None or limit.ratio is None or limit.low is None or limit.high is None:
        return ""
    return _("%(ratio)s times the limit, %(low)s to %(high)s") % {
        "ratio": number_text(round(limit.ratio, 2)),
        "low": number_text(round(limit.low, 2)),
        "high": number_text(round(limit.high, 2)),
    }
