"""The demo's panel rounds: one closed with a lenient member, one open with looks that are due."""

import datetime as dt

import pytest

from media_demo.plant.build import build_plant
from media_demo.plant.panel_rounds import open_round_on_pictures
from tests.conftest import NOON
from training.people.models import Person, Signature
from training.people.record.verify import verify
from training.specimens.models import PanelLook, PanelRound, ReferenceDecision
from training.specimens.panel_outcomes import agreement_of, outcomes_of
from training.specimens.panel_turns import due_rounds

pytestmark = pytest.mark.django_db


def test_one_is_closed_and_one_is_open() -> None:
    plant = build_plant(NOON, lambda _line: None)
    plant.ledger.write_all()
    closed, running = PanelRound.objects.order_by("number")
    assert closed.closed_at is not None
    assert running.closed_at is None
    outcomes = outcomes_of(closed, plant.calendar.day(-5))
    settled = [each for each in outcomes if each.decides]
    decided = ReferenceDecision.objects.filter(basis=ReferenceDecision.Basis.PANEL)
    assert decided.count() == len(settled) > len(outcomes) // 2
    assert Signature.objects.filter(subject_id=closed.pk).count() == 1
    leaning = {name: each.leaning.value for name, each in agreement_of(closed, outcomes).members}
    assert [name for name, said in leaning.items() if said != "alike"] == ["Hamish Torrance"]
    assert PanelLook.objects.filter(item__round=closed).count() == 5 * 2 * len(outcomes)
    for number in ("1042", "1045", "1028"):
        (row,) = due_rounds(Person.objects.get(personnel_no=number), plant.calendar.today)
        assert row.due == 10
    assert verify().breaks == ()
    assert open_round_on_pictures(NOON + dt.timedelta(minutes=1)) is None
