"""Panel rounds of the invented plant: one that is closed, with a lenient member, and open ones.

Members judge by a model: each draws a line near the limit, with a spread; one draws it far beyond.
"""

import datetime as dt
import math
import random
import uuid
from collections.abc import Iterable, Sequence

from django.utils import timezone

from media_demo.plant.calendar import Calendar
from media_demo.plant.ledger import Ledger
from training.people.models import Person, Signature
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
from training.specimens.panel_outcomes import ItemOutcome, measured_of, outcomes_of
from training.specimens.panel_turns import order_of
from training.specimens.services.panels import chain_of, open_round
from training.specimens.standards import Measured, standards_of, too_near

QUALITY = "1042"
# Who looks, and where they draw the line: log(severity ÷ limit) rejected half the time.
CLOSED = {"1045": 0.00, "1056": -0.02, "1079": 0.02, "1114": 0.01, "1109": 0.16}
LENIENT_SAYS = "Nobody sees that at the press."
OPEN = ("1042", "1045", "1056", "1028", "1030", "1065")
SPREAD, LAPSE = 0.06, 0.01
FAMILIES = ("flash", "scuff", "drag-mark", "gate-vestige", "short-shot")
OPENED, LOOKS, CLOSING = -9, (-8, -6), -5
PICTURED = 12

Ratio = tuple[Specimen, Measured]


def load_panel_rounds(calendar: Calendar, ledger: Ledger, people: dict[str, Person]) -> int:
    """Make the closed round and the open one on numbered parts; return how many looks were given."""
    near = _near_the_limit(calendar.day(OPENED))
    bad = [pair for pair in near if pair[1].decision == "reject"]
    good = [pair for pair in near if pair[1].decision == "accept"]
    first, later = [*bad[:16], *good[:10]], [*bad[16:22], *good[10:14]]
    closed = _open(
        calendar, people, first, day=OPENED, members=CLOSED, note="parts beside their limit"
    )
    given = _look_through(closed, calendar, people, first)
    _close(closed, calendar, ledger, people[QUALITY])
    running = _open(calendar, people, later, day=-2, members=OPEN, note="before the yearly review")
    return given + _begin(running, calendar, people, later)


def open_round_on_pictures(moment: dt.datetime) -> PanelRound | None:
    """Open a round on the first pictured specimens, due for quality and trainers; once only."""
    people = {each.personnel_no: each for each in Person.objects.filter(personnel_no__in=OPEN)}
    pictured = Specimen.objects.kept().with_picture().filter(pool=Pool.EXAM, panel_items=None)
    specimens = list(pictured.select_related("job", "family").order_by("number")[:PICTURED])
    known = PanelItem.objects.filter(specimen__synthetic=True).exists()
    if known or not specimens or len(people) < len(OPEN):
        return None
    return open_round(
        specimens=specimens,
        members=list(people.values()),
        by=people[QUALITY],
        moment=moment,
        day=timezone.localdate(moment),
        note="drawn parts, to see whether people settle what was measured",
        seed="on pictures",
    )


def _near_the_limit(day: dt.date) -> list[Ratio]:
    """Return numbered parts measured on either side of their limit, the nearest first."""
    found = Specimen.objects.filter(family__slug__in=FAMILIES, severity__gt=0, synthetic=False)
    specimens = list(found.select_related("job", "family").order_by("number"))
    standards = standards_of({each.job_id: each.job for each in specimens}.values(), day)
    pairs = []
    for each in specimens:
        said = measured_of(each, standards[each.job_id])
        if said is not None and said.ratio and not too_near(said.ratio):
            pairs.append((each, said))
    return sorted(pairs, key=lambda pair: (abs(_log(pair[1])), pair[0].number))


def _log(said: Measured) -> float:
    return math.log(float(said.ratio or 1))


def _open(
    calendar: Calendar,
    people: dict[str, Person],
    pairs: Sequence[Ratio],
    *,
    day: int,
    members: Iterable[str],
    note: str,
) -> PanelRound:
    return open_round(
        specimens=[specimen for specimen, _said in pairs],
        members=[people[number] for number in members],
        by=people[QUALITY],
        moment=calendar.moment(day, "09:00"),
        day=calendar.day(day),
        note=note,
        seed=note,
    )


def _look_through(
    round_: PanelRound, calendar: Calendar, people: dict[str, Person], pairs: Sequence[Ratio]
) -> int:
    """Give every look of the closed round, in each member's own order."""
    given = [
        look
        for number, line in CLOSED.items()
        for pass_, day in enumerate(LOOKS, start=1)
        for look in _looks(
            round_, people[number], pass_, calendar.moment(day, "13:10"), pairs, line=line
        )
    ]
    return _write(round_, given)


def _begin(
    round_: PanelRound, calendar: Calendar, people: dict[str, Person], pairs: Sequence[Ratio]
) -> int:
    """Let two members give their first looks yesterday: their second ones are due today."""
    given = [
        look
        for number in OPEN[1:3]
        for look in _looks(
            round_, people[number], 1, calendar.moment(-1, "10:30"), pairs, line=CLOSED[number]
        )
    ]
    return _write(round_, given)


def _write(round_: PanelRound, looks: list[PanelLook]) -> int:
    looks.sort(key=lambda look: look.looked_at)
    for look in looks:
        look.recorded_at = look.looked_at
    append(*looks, chain=chain_of(round_))
    return len(looks)


def _looks(
    round_: PanelRound,
    member: Person,
    number: int,
    moment: dt.datetime,
    pairs: Sequence[Ratio],
    *,
    line: float,
) -> list[PanelLook]:
    items = {item.specimen_id: item.pk for item in round_.items.all()}
    said_of = {items[specimen.pk]: (specimen, said) for specimen, said in pairs}
    places = order_of(
        seed=round_.seed, member=member.pk, looks=round_.looks, items=list(items.values())
    )
    looks, clock = [], moment
    for place in (each for each in places if each.number == number):
        specimen, said = said_of[place.item]
        # By the part's number: the order of the looks rests on identifiers, which are new every time.
        luck = f"{round_.seed}:{member.personnel_no}:{number}:{specimen.number}"
        chance = random.Random(luck)  # noqa: S311
        seconds = max(2.5, 9 * math.exp(chance.gauss(0, 0.4)))
        clock += dt.timedelta(seconds=seconds + 3)
        rejects = _log(said) + chance.gauss(0, SPREAD) > line
        if chance.random() < LAPSE:
            rejects = not rejects
        looks.append(
            PanelLook(
                pk=uuid.UUID(int=chance.getrandbits(128), version=4),
                item_id=place.item,
                member=member,
                number=number,
                answer="reject" if rejects else "accept",
                family=specimen.family if rejects else None,
                action=Action.SEGREGATE if rejects else "",
                looked_at=clock,
                judging_ms=int(seconds * 1000),
                recorded_by=member,
            )
        )
    lenient = [look for look in looks if look.answer == "accept"] if line > 2 * SPREAD else []
    if lenient and number == 1:
        lenient[0].words = erasable(LENIENT_SAYS)
    return looks


def _close(round_: PanelRound, calendar: Calendar, ledger: Ledger, by: Person) -> None:
    """Close the round; what it settles is decided in the order of the plant's record."""
    moment = calendar.moment(CLOSING, "15:20")
    for outcome in outcomes_of(round_, calendar.day(CLOSING)):
        if outcome.decides:
            ledger.add(moment, _decision(outcome, by, round_))
    round_.closed_at, round_.closed_by = moment, by
    round_.save(update_fields=["closed_at", "closed_by"])
    ledger.add(
        moment,
        Signature(
            person=by,
            meaning="closed a panel round",
            subject_kind=round_._meta.label_lower,
            subject_id=round_.pk,
            method=Signature.Method.PASSWORD,
            recorded_by=by,
        ),
    )


def _decision(outcome: ItemOutcome, by: Person, round_: PanelRound) -> ReferenceDecision:
    rejected, said = outcome.decision == "reject", outcome.said
    return ReferenceDecision(
        specimen=outcome.specimen,
        work_instruction=outcome.item.work_instruction,
        general=outcome.item.general,
        decision=outcome.decision,
        family=outcome.family if rejected else outcome.specimen.family,
        action=outcome.action if rejected else Action.KEEP_RUNNING,
        basis=ReferenceDecision.Basis.PANEL,
        severity_ratio=said.ratio if said else None,
        clear=rejected and said is not None and said.clear,
        reason=erasable(f"Panel round {round_.number}"),
        recorded_by=by,
    )
