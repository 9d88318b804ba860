"""When the verdicts of a reference panel settle what the right decision on a specimen is."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from training.statistics.checks import one_of, real_number
from training.statistics.sampling_plan import Decision
from training.statistics.wording import gettext_noop

# Share of wrong keys among settled specimens with independent experts, each with a bias
# of 8 %, in the project's simulation (tests/simulations/panel_rules.py); a bias all
# experts share is found by no vote, only by the physical limit sample or a measurement.
WRONG_KEY = {"three twice": 0.0021, "four twice": 0.0029, "five once": 0.0020}
# Nearer to the limit than this, as |log(severity / limit)|, a specimen examines nobody.
LEAST_DISTANCE = 0.05


class PanelReason(StrEnum):
    """Which rule settled a specimen, or why none did."""

    THREE_TWICE = gettext_noop("three experts agree, each of them twice")
    FOUR_TWICE = gettext_noop("four experts judged twice, at most one verdict dissents")
    FIVE_ONCE = gettext_noop("five experts agree")
    NO_VERDICT = gettext_noop("no verdict yet")
    MORE_WANTED = gettext_noop("all agree so far; more verdicts are wanted")
    FOURTH_WANTED = gettext_noop("one verdict dissents; four experts must judge twice")
    DISAGREE = gettext_noop("the experts disagree; for discussion in training only")


@dataclass(frozen=True)
class Verdict:
    """One expert's decision on one day, made without knowing the others'."""

    expert: str
    decision: str
    on: date | None = None


@dataclass(frozen=True)
class Settlement:
    """Outcome of a panel.

    Attributes
    ----------
    settled : bool
        Whether the decision may serve as the key.
    decision : Decision or None
        What most verdicts say; None while undecided or without any.
    dissent : int
        Verdicts that say otherwise.
    verdicts, experts : int
        Verdicts counted, and experts they come from.
    still_open : bool
        Whether more verdicts could still settle it.
    wrong_key_risk : float or None
        Share of wrong keys among specimens settled by this rule, in simulation.
    reason : PanelReason
        The rule, or what is missing.
    """

    settled: bool
    decision: Decision | None
    dissent: int
    verdicts: int
    experts: int
    still_open: bool
    wrong_key_risk: float | None
    reason: PanelReason


def settle(verdicts: Sequence[Verdict] | Mapping[str, Sequence[str]]) -> Settlement:
    """Return whether independent repeated verdicts settle a specimen, and on what.

    Parameters
    ----------
    verdicts : sequence of Verdict, or mapping of str to sequence of str
        Every verdict in any order, or each expert's decisions, "accept" or "reject".
        A repeat on the day of an earlier verdict of that expert is not counted: it
        is memory, not judgement.

    Returns
    -------
    Settlement
        Settled when three experts agree, each twice; when four judged twice and at
        most one verdict dissents; or when five agree. Unsettled otherwise.

    Raises
    ------
    ValueError
        For a decision other than accept or reject, or an expert without a name.

    Notes
    -----
    The project's simulation of panels chose the rules; models that weigh experts
    (Dawid and Skene 1979) proved overconfident there, as they know no specimen that
    is hard for all.

    Examples
    --------
    >>> settle({"Ito": ["reject", "reject"], "Okafor": ["reject", "reject"],
    ...         "Silva": ["reject", "reject"]}).decision
    <Decision.REJECT: 'reject'>
    """
    counted = _counted(verdicts)
    by_expert: dict[str, int] = {}
    for verdict in counted:
        by_expert[verdict.expert] = by_expert.get(verdict.expert, 0) + 1
    rejects = sum(verdict.decision == Decision.REJECT for verdict in counted)
    dissent = min(rejects, len(counted) - rejects)
    twice = sum(number >= 2 for number in by_expert.values())
    reason, risk = _rule(dissent, len(by_expert), twice)
    undecided = 2 * dissent == len(counted)
    majority = Decision.REJECT if 2 * rejects > len(counted) else Decision.ACCEPT
    return Settlement(
        settled=risk is not None,
        decision=None if undecided else majority,
        dissent=dissent,
        verdicts=len(counted),
        experts=len(by_expert),
        still_open=risk is None and dissent <= 1,
        wrong_key_risk=risk,
        reason=reason,
    )


def may_examine(settlement: Settlement, severity_ratio: float | None = None) -> bool:
    """Return whether a specimen may stand in an examination.

    Parameters
    ----------
    settlement : Settlement
        From `settle`.
    severity_ratio : float, optional
        Severity divided by the limit, above 0; None where severity is not rated.

    Returns
    -------
    bool
        Settled, and at least 5 % away from the limit where that is known.

    Raises
    ------
    ValueError
        When severity_ratio is not a positive number.

    Examples
    --------
    >>> settled = settle({f"expert {i}": ["accept"] for i in range(5)})
    >>> may_examine(settled, 0.7), may_examine(settled, 0.98)
    (True, False)
    """
    if severity_ratio is None:
        return settlement.settled
    ratio = real_number("severity_ratio", severity_ratio, 0.0, open_ends=True)
    return settlement.settled and abs(math.log(ratio)) >= LEAST_DISTANCE


def _rule(dissent: int, experts: int, twice: int) -> tuple[PanelReason, float | None]:
    if dissent == 0 and twice >= 3:
        return PanelReason.THREE_TWICE, WRONG_KEY["three twice"]
    if dissent <= 1 and twice >= 4:
        return PanelReason.FOUR_TWICE, WRONG_KEY["four twice"]
    if dissent == 0 and experts >= 5:
        return PanelReason.FIVE_ONCE, WRONG_KEY["five once"]
    if experts == 0:
        return PanelReason.NO_VERDICT, None
    if dissent == 0:
        return PanelReason.MORE_WANTED, None
    return (PanelReason.FOURTH_WANTED if dissent == 1 else PanelReason.DISAGREE), None


def _counted(verdicts: Sequence[Verdict] | Mapping[str, Sequence[str]]) -> list[Verdict]:
    if isinstance(verdicts, Mapping):
        listed = [Verdict(expert, said) for expert, each in verdicts.items() for said in each]
    elif all(isinstance(verdict, Verdict) for verdict in verdicts):
        listed = list(verdicts)
    else:
        raise ValueError("verdicts must hold Verdict objects, or map each expert to decisions.")
    days: set[tuple[str, date]] = set()
    counted = []
    for verdict in sorted(listed, key=lambda v: v.on or date.min):
        if not verdict.expert:
            raise ValueError("A verdict has no expert; give the name with each.")
        one_of("decision", verdict.decision, [Decision.ACCEPT.value, Decision.REJECT.value])
        if verdict.on is not None:
            if (verdict.expert, verdict.on) in days:
                continue
            days.add((verdict.expert, verdict.on))
        counted.append(verdict)
    return counted
