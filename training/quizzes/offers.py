"""What the bank can carry for one person: the best sitting for each family, never a silent refusal."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from training.quizzes.drawing import Candidate
from training.quizzes.plan_rules import Rules
from training.quizzes.scoring import Part
from training.quizzes.worked_plan import WorkedPlan
from training.quizzes.working_out import Holding, NotExaminableError, Wanted, holdings, work_out
from training.statistics.bank_ladder import BankStep


@dataclass(frozen=True)
class Offer:
    """A sitting that could be opened now: its rule for these families, and the draw's figures.

    `critical` holds the families examined at critical level: all that were asked for, or none where
    the bank cannot fill the critical block.
    """

    families: tuple[str, ...]
    critical: tuple[str, ...]
    plan: WorkedPlan


@dataclass(frozen=True)
class Offers:
    """The sittings that can be opened, what each family holds, and what is missing.

    `wanted` keeps families from being examined, or from being examined at critical level;
    `wanted_for_group` keeps families on the short-bank plan.
    """

    offers: tuple[Offer, ...]
    holdings: dict[str, Holding]
    wanted: tuple[Wanted, ...]
    wanted_for_group: tuple[Wanted, ...]


def best_offers(
    candidates: Sequence[Candidate],
    families: Sequence[str],
    critical: Iterable[str] = (),
    *,
    group: Rules | None,
    short: Rules | None,
    seed: str = "offer",
) -> Offers:
    """Return the best sitting that the bank carries for each family.

    Families that the group plan can carry sit together; those it cannot carry sit the short-bank
    plan; the rest are not examinable yet. What is missing is named in each case. A plan that is not
    in force (None) is passed over, and nothing is wanted for it.
    """
    held = holdings(candidates, families)
    marked = set(critical)
    none = [name for name, each in held.items() if each.step is BankStep.NONE]
    singly = [name for name in families if name not in none]
    together: list[str] = []
    if group is not None:
        singly = [name for name in singly if held[name].step is BankStep.SHORT]
        together = [name for name in families if name not in none and name not in singly]
    wanted = [Wanted(name, Part.BAD, held[name].plan.wanted) for name in none]
    for_group: list[Wanted] = []
    if group is not None:
        for_group = [Wanted(name, Part.BAD, held[name].plan.wanted_for_next) for name in singly]
    offers: list[Offer] = []
    while together and group is not None:
        offer, missing = _offer(group, candidates, together, marked, seed)
        if offer is not None:
            offers.append(offer)
            wanted.extend(missing)
            break
        for_group.extend(missing)
        lacking = {each.family for each in missing if each.family} or set(together)
        singly.extend(name for name in together if name in lacking)
        together = [name for name in together if name not in lacking]
    if singly and short is not None:
        offer, missing = _offer(short, candidates, singly, marked, seed)
        wanted.extend(missing)
        if offer is not None:
            offers.append(offer)
    return Offers(tuple(offers), held, tuple(wanted), tuple(for_group))


def offer_under(
    rules: Rules,
    candidates: Sequence[Candidate],
    families: Sequence[str],
    critical: Iterable[str] = (),
    *,
    seed: str = "offer",
) -> Offer | None:
    """Return the sitting of a chosen plan, or None where the bank cannot carry it."""
    return _offer(rules, candidates, families, set(critical), seed)[0]


def _offer(
    rules: Rules,
    candidates: Sequence[Candidate],
    families: Sequence[str],
    critical: set[str],
    seed: str,
) -> tuple[Offer | None, list[Wanted]]:
    """Work the plan out; where only the critical block cannot be filled, without it."""
    marked = tuple(name for name in families if name in critical)
    try:
        plan, _ = work_out(rules, candidates, families, marked, seed=seed)
    except NotExaminableError as lack:
        missing = list(lack.wanted)
        if marked and all(each.part is Part.CRITICAL for each in missing):
            offer, more = _offer(rules, candidates, families, set(), seed)
            return offer, missing + more
        return None, missing
    return Offer(tuple(families), marked, plan), []
