"""Looks of a panel for the tests: given one after the other, on the days they are due."""

import datetime as dt
import uuid
from collections.abc import Callable, Sequence

from training.people.models import Person
from training.specimens.models import PanelLook, PanelRound, Specimen
from training.specimens.panel_turns import turn_of
from training.specimens.services.panels import GivenLook, record_look

Answer = Callable[[Person, Specimen, int], str]


def look(
    round_: PanelRound,
    member: Person,
    moment: dt.datetime,
    answer: str = "accept",
    ordinal: int | None = None,
    **changes: object,
) -> PanelLook:
    """Give one look: the next that is due, or the one asked for."""
    if ordinal is None:
        ordinal = turn_of(round_, member).due(moment.date())[0].ordinal
    fields: dict[str, object] = {
        "look_id": uuid.uuid4(),
        "ordinal": ordinal,
        "answer": answer,
        "judging_ms": 5000,
        "looked_at": moment,
    }
    if answer == "reject":
        fields |= {"family": "black-specks", "action": "segregate"}
    given = GivenLook(**{**fields, **changes})  # type: ignore[arg-type]
    return record_look(round_=round_, member=member, given=given, moment=moment)


def look_through(
    round_: PanelRound, members: Sequence[Person], moment: dt.datetime, answer: Answer
) -> None:
    """Let every member give every look, each pass on its own day; `answer` says what they say."""
    specimens = {item.pk: item.specimen for item in round_.items.select_related("specimen")}
    for number in range(1, round_.looks + 1):
        at = moment + dt.timedelta(days=round_.gap_days * (number - 1))
        for member in members:
            for place in turn_of(round_, member).places:
                if place.number == number:
                    said = answer(member, specimens[place.item], number)
                    look(round_, member, at, said, place.ordinal)
