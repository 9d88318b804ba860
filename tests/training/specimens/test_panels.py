"""Panel rounds as services and selectors: opened, looked at, closed into decisions."""

import datetime as dt
import uuid
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from hypothesis import given as for_all
from hypothesis import strategies as st

from tests.conftest import NOON, TODAY
from tests.training.specimens.panel import look, look_through
from training.floor.models import LimitLine, WorkInstruction
from training.people.models import Person
from training.people.record.verify import verify
from training.quizzes.selectors.bank import bank_for
from training.specimens.models import PanelLook, PanelRound, Pool, ReferenceDecision, Specimen
from training.specimens.panel_outcomes import Outcome, agreement_of, outcomes_of
from training.specimens.panel_turns import due_rounds, member_rows, order_of, turn_of
from training.specimens.services.panels import (
    RefusedLookError,
    close_round,
    leave_exams,
    open_round,
)

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
LATER = NOON + 9 * DAY
Bank = Callable[..., list[Specimen]]
Open = Callable[..., PanelRound]


@pytest.fixture
def members(make_person: Callable[..., Person], trainer: Person) -> list[Person]:
    return [trainer, *(make_person(f"Member {letter}", "quality") for letter in "ABC")]


@pytest.fixture
def open_it(members: list[Person], quality: Person) -> Open:
    def make(specimens: list[Specimen], **fields: object) -> PanelRound:
        given: dict[str, object] = {
            "specimens": specimens,
            "members": members,
            "by": quality,
            "moment": NOON,
            "day": TODAY,
            "seed": "witness",
        }
        return open_round(**{**given, **fields})  # type: ignore[arg-type]

    return make


def by_severity(_member: Person, specimen: Specimen, _number: int) -> str:
    return "reject" if specimen.severity and specimen.severity > Decimal("0.3") else "accept"


class TestOrder:
    @for_all(st.sets(st.uuids(), min_size=2, max_size=30), st.integers(1, 4), st.text(max_size=12))
    def test_every_specimen_once_in_each_look_whatever_order_they_come_in(
        self, items: set[uuid.UUID], looks: int, seed: str
    ) -> None:
        who = uuid.UUID(int=7)
        one = order_of(seed=seed, member=who, looks=looks, items=list(items))
        other = order_of(seed=seed, member=who, looks=looks, items=sorted(items, reverse=True))
        assert one == other
        assert [place.ordinal for place in one] == list(range(1, looks * len(items) + 1))
        for number in range(1, looks + 1):
            assert {place.item for place in one if place.number == number} == items

    def test_members_and_looks_have_orders_of_their_own(self) -> None:
        items = [uuid.UUID(int=n) for n in range(40)]
        one, other = (
            order_of(seed="s", member=uuid.UUID(int=n), looks=2, items=items) for n in (1, 2)
        )
        first, second = one[:40], one[40:]
        assert [place.item for place in first] != [place.item for place in second]
        assert [place.item for place in one] != [place.item for place in other]


class TestOpen:
    def test_it_is_judged_by_the_limits_of_the_day(
        self, open_it: Open, make_bank: Bank, plant: SimpleNamespace
    ) -> None:
        round_ = open_it(make_bank(3))
        assert round_.number == "PR-001"
        assert {item.work_instruction_id for item in round_.items.all()} == {plant.sheet.pk}
        assert open_it(make_bank(1)).number == "PR-002"

    @pytest.mark.parametrize(
        ("fields", "field", "words"),
        [
            ({"specimens": []}, "specimens", "at least one"),
            ({"looks": 0}, "looks", "Between 1 and 4"),
            ({"gap_days": 0}, "gap_days", "memory, not judgement"),
            ({"looks": 1}, "members", "five who look once"),
        ],
    )
    def test_what_settles_nothing_is_refused(
        self, open_it: Open, make_bank: Bank, fields: dict[str, object], field: str, words: str
    ) -> None:
        with pytest.raises(ValidationError) as error:
            open_it(**{"specimens": make_bank(2), **fields})
        assert words in str(error.value.message_dict[field])
        assert not PanelRound.objects.exists()

    def test_a_specimen_is_in_one_open_round_only(self, open_it: Open, make_bank: Bank) -> None:
        specimens = make_bank(2)
        open_it(specimens)
        with pytest.raises(ValidationError, match=f"{specimens[1].number} .PR-001."):
            open_it([specimens[1]])

    def test_retired_ones_are_refused(self, open_it: Open, make_bank: Bank) -> None:
        specimens = make_bank(1)
        specimens[0].retired_day = TODAY
        with pytest.raises(ValidationError, match="Retired"):
            open_it(specimens)


class TestLook:
    def test_it_is_a_link_of_the_rounds_own_chain(
        self, open_it: Open, make_bank: Bank, members: list[Person]
    ) -> None:
        round_ = open_it(make_bank(2))
        kept = look(round_, members[0], NOON, "reject", words="A cluster, not one speck.")
        assert kept.chain == f"panel:{round_.pk}"
        assert kept.words is not None
        assert kept.words.text == "A cluster, not one speck."
        assert not verify().breaks

    def test_sent_twice_it_is_kept_once(
        self, open_it: Open, make_bank: Bank, members: list[Person]
    ) -> None:
        round_, key = open_it(make_bank(2)), uuid.uuid4()
        first = look(round_, members[0], NOON, ordinal=1, look_id=key)
        assert look(round_, members[0], NOON, ordinal=1, look_id=key) == first
        with pytest.raises(RefusedLookError, match="another answer"):
            look(round_, members[1], NOON, ordinal=1, look_id=key)
        assert PanelLook.objects.count() == 1

    def test_the_second_look_waits_for_its_day(
        self, open_it: Open, make_bank: Bank, members: list[Person]
    ) -> None:
        round_, member = open_it(make_bank(2), gap_days=3), members[0]
        look(round_, member, NOON)
        look(round_, member, NOON)
        turn = turn_of(round_, member)
        assert turn.due(TODAY) == ()
        assert turn.next_day(TODAY) == TODAY + 3 * DAY
        with pytest.raises(RefusedLookError, match="not due"):
            look(round_, member, NOON + 2 * DAY, ordinal=3)
        assert look(round_, member, NOON + 3 * DAY).number == 2

    @pytest.mark.parametrize(
        ("fields", "code"),
        [
            ({"judging_ms": 1500}, "look"),
            ({"answer": "perhaps"}, "answer"),
            ({"answer": "accept", "family": "burn"}, "answer"),
            ({"answer": "reject", "family": "no-such"}, "answer"),
            ({"answer": "reject", "action": "run away"}, "answer"),
            ({"ordinal": 99}, "ordinal"),
        ],
    )
    def test_what_is_not_whole_is_refused(
        self,
        open_it: Open,
        make_bank: Bank,
        members: list[Person],
        fields: dict[str, object],
        code: str,
    ) -> None:
        round_ = open_it(make_bank(2))
        with pytest.raises(RefusedLookError) as error:
            look(round_, members[0], NOON, **{"answer": "accept", **fields})  # type: ignore[arg-type]
        assert error.value.code == code
        assert not PanelLook.objects.exists()

    def test_nothing_is_added_to_a_closed_round(
        self, open_it: Open, make_bank: Bank, members: list[Person], quality: Person
    ) -> None:
        round_ = open_it(make_bank(2))
        look(round_, members[0], NOON)
        close_round(round_=round_, by=quality, moment=NOON, day=TODAY)
        with pytest.raises(RefusedLookError, match="closed"):
            look(round_, members[1], NOON, ordinal=1)

    def test_whoever_looked_is_never_examined_with_it(
        self, open_it: Open, make_bank: Bank, members: list[Person], operator: Person
    ) -> None:
        specimens = make_bank(4)
        round_ = open_it(specimens[:2])
        for _ in range(2):
            look(round_, members[0], NOON)
        keys = {str(each.pk) for each in specimens}
        judged = {str(each.pk) for each in specimens[:2]}
        assert set(bank_for(members[0], pool=Pool.EXAM, day=TODAY).rows) == keys - judged
        assert set(bank_for(members[0], pool=Pool.EXAM, day=TODAY - DAY).rows) == keys
        assert set(bank_for(operator, pool=Pool.EXAM, day=TODAY).rows) == keys


class TestDue:
    def test_it_says_what_is_due_and_when(
        self, open_it: Open, make_bank: Bank, members: list[Person], operator: Person
    ) -> None:
        round_ = open_it(make_bank(3))
        (row,) = due_rounds(members[0], TODAY)
        assert (row.due, row.left, row.next_day) == (3, 6, None)
        for _ in range(3):
            look(round_, members[0], NOON)
        (row,) = due_rounds(members[0], TODAY)
        assert (row.due, row.left, row.next_day) == (0, 3, TODAY + DAY)
        assert due_rounds(operator, TODAY) == []
        rows = member_rows(round_, TODAY)
        assert [row.given for row in rows] == [0, 0, 0, 3]
        assert {row.wanted for row in rows} == {6}

    def test_it_costs_the_same_whatever_was_given(
        self,
        open_it: Open,
        make_bank: Bank,
        members: list[Person],
        django_assert_num_queries: Callable[..., object],
    ) -> None:
        for size in (2, 5):
            look(open_it(make_bank(size)), members[0], NOON)
        with django_assert_num_queries(3):
            assert len(due_rounds(members[0], TODAY)) == 2


class TestClose:
    def test_what_the_rule_settles_is_decided_by_the_panel(
        self, open_it: Open, make_bank: Bank, members: list[Person], quality: Person
    ) -> None:
        specimens = make_bank(4)
        round_ = open_it(specimens)
        look_through(round_, members, NOON, by_severity)
        closed = close_round(round_=round_, by=quality, moment=LATER, day=TODAY)
        assert len(closed.decisions) == 4
        assert closed.unsettled == ()
        fact = ReferenceDecision.objects.filter(specimen=specimens[0]).latest("recorded_at")
        assert (fact.basis, fact.decision, fact.action) == ("panel", "reject", "segregate")
        assert (fact.severity_ratio, fact.clear) == (Decimal("1.5"), True)
        assert fact.corrects is not None
        round_.refresh_from_db()
        assert round_.closed_by == quality
        with pytest.raises(ValidationError, match="closed already"):
            close_round(round_=round_, by=quality, moment=LATER, day=TODAY)

    def test_one_dissent_of_eight_still_settles_two_do_not(
        self, open_it: Open, make_bank: Bank, members: list[Person], quality: Person
    ) -> None:
        one, two = make_bank(2, severity=0.15)

        def answer(member: Person, specimen: Specimen, number: int) -> str:
            odd = member == members[0] and (specimen == two or number == 1)
            return "reject" if odd else "accept"

        round_ = open_it([one, two])
        look_through(round_, members, NOON, answer)
        first, second = sorted(outcomes_of(round_, TODAY), key=lambda each: each.specimen == two)
        assert (first.outcome, first.settlement.dissent) == (Outcome.SETTLED, 1)
        assert (second.outcome, second.settlement.dissent) == (Outcome.UNSETTLED, 2)
        place = sorted(members, key=lambda each: each.name).index(members[0])
        assert [cell.dissents for cell in first.cells[place]] == [True, False]
        closed = close_round(round_=round_, by=quality, moment=LATER, day=TODAY)
        assert [each.pk for each in closed.unsettled] == [two.pk]
        two.refresh_from_db()
        assert two.pool == Pool.NEITHER

    def test_a_verdict_the_measurement_contradicts_decides_nothing(
        self, open_it: Open, make_bank: Bank, members: list[Person], quality: Person
    ) -> None:
        """No vote finds a bias that all members share; a measurement does."""
        specimens = make_bank(1, severity=0.45)
        round_ = open_it(specimens)
        look_through(round_, members, NOON, lambda *_: "accept")
        assert [each.outcome for each in outcomes_of(round_, TODAY)] == [Outcome.CONTRADICTED]
        closed = close_round(
            round_=round_, by=quality, moment=LATER, day=TODAY, unsettled_to="teaching"
        )
        assert closed.decisions == ()
        specimens[0].refresh_from_db()
        assert specimens[0].pool == Pool.TEACHING

    def test_near_the_limit_it_is_decided_and_examines_nobody(
        self,
        open_it: Open,
        make_bank: Bank,
        members: list[Person],
        quality: Person,
        operator: Person,
    ) -> None:
        specimens = make_bank(1, severity=0.306, decision=None)
        round_ = open_it(specimens)
        look_through(round_, members, NOON, lambda *_: "reject")
        closed = close_round(round_=round_, by=quality, moment=LATER, day=TODAY)
        assert closed.decisions[0].severity_ratio == Decimal("1.02")
        bank = bank_for(operator, pool=Pool.EXAM, day=TODAY)
        assert (bank.rows, dict(bank.too_near)) == ({}, {"black-specks": 1})

    def test_limits_that_moved_meanwhile_decide_nothing(
        self,
        open_it: Open,
        make_bank: Bank,
        members: list[Person],
        quality: Person,
        plant: SimpleNamespace,
    ) -> None:
        round_ = open_it(make_bank(1))
        look_through(round_, members, NOON, lambda *_: "reject")
        sheet = WorkInstruction.objects.create(
            job=plant.job, revision="B", day=TODAY, steps=plant.sheet.steps, needs=plant.sheet.needs
        )
        for line in LimitLine.objects.filter(work_instruction=plant.sheet):
            line.pk, line.work_instruction = uuid.uuid4(), sheet
            line.save(force_insert=True)
        assert [each.outcome for each in outcomes_of(round_, TODAY)] == [Outcome.MOVED]
        closed = close_round(round_=round_, by=quality, moment=LATER, day=TODAY, unsettled_to="")
        assert closed.decisions == ()

    def test_a_round_nobody_looked_at_is_not_closed(
        self, open_it: Open, make_bank: Bank, quality: Person
    ) -> None:
        round_ = open_it(make_bank(1))
        with pytest.raises(ValidationError, match="Nobody has looked"):
            close_round(round_=round_, by=quality, moment=NOON, day=TODAY)

    def test_unsettled_ones_never_go_to_an_exam(
        self, open_it: Open, make_bank: Bank, members: list[Person], quality: Person
    ) -> None:
        specimens = make_bank(1)
        round_ = open_it(specimens)
        look(round_, members[0], NOON)
        with pytest.raises(ValidationError, match="examines nobody"):
            close_round(round_=round_, by=quality, moment=NOON, day=TODAY, unsettled_to=Pool.EXAM)
        with pytest.raises(ValidationError, match="examines nobody"):
            leave_exams(specimens=specimens, pool=Pool.EXAM)


class TestAgreement:
    def test_a_lenient_member_is_named(
        self, open_it: Open, make_bank: Bank, make_person: Callable[..., Person], plant: object
    ) -> None:
        members = [make_person(f"Judge {letter}", "quality") for letter in "ABCD"]
        specimens = make_bank(16)
        bad = [each for each in specimens if by_severity(members[0], each, 1) == "reject"]

        def answer(member: Person, specimen: Specimen, number: int) -> str:
            lenient = member == members[3] and specimen in bad[:6]
            return "accept" if lenient else by_severity(member, specimen, number)

        round_ = open_it(specimens, members=members)
        look_through(round_, members, NOON, answer)
        found = agreement_of(round_, outcomes_of(round_, TODAY))
        assert (found.items, found.raters) == (16, 4)
        leaning = {name: member.leaning.value for name, member in found.members}
        assert leaning == {
            "Judge A": "alike",
            "Judge B": "alike",
            "Judge C": "alike",
            "Judge D": "lenient",
        }

    def test_outcomes_cost_the_same_queries_whatever_was_looked_at(
        self, open_it: Open, make_bank: Bank, members: list[Person]
    ) -> None:
        from django.test.utils import CaptureQueriesContext

        costs = set()
        for size in (2, 6):
            round_ = open_it(make_bank(size))
            look_through(round_, members, NOON, by_severity)
            with CaptureQueriesContext(connection) as queries:
                outcomes_of(round_, TODAY)
            costs.add(len(queries))
        assert costs == {7}
