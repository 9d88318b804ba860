"""The pages of panel rounds: the list, opening, the booth, the result, closing."""

import datetime as dt
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, PASSWORD, TODAY
from tests.training.specimens.panel import look, look_through
from training.people.models import Person, Signature
from training.specimens.models import PanelLook, PanelRound, ReferenceDecision, Specimen
from training.specimens.panel_turns import turn_of
from training.specimens.services.panels import close_round, open_round

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
Bank = Callable[..., list[Specimen]]
LIST, OPEN = reverse("specimens:panel_list"), reverse("specimens:panel_open")


def at(name: str, round_: PanelRound, *more: object) -> str:
    return reverse(f"specimens:{name}", args=[round_.pk, *more])


@pytest.fixture
def members(make_person: Callable[..., Person], trainer: Person, quality: Person) -> list[Person]:
    return [trainer, quality, make_person("Ida Inspector", "operator")]


@pytest.fixture
def round_(make_bank: Bank, members: list[Person], quality: Person) -> PanelRound:
    return open_round(
        specimens=make_bank(4),
        members=members,
        by=quality,
        moment=NOON - dt.timedelta(days=2),
        day=TODAY,
        seed="witness",
    )


def by_severity(_member: Person, specimen: Specimen, _number: int) -> str:
    return "reject" if specimen.severity and specimen.severity > 0.3 else "accept"


@pytest.fixture
def closed(round_: PanelRound, members: list[Person], quality: Person) -> PanelRound:
    """A closed round in which the trainer accepted one bad part twice."""
    bad = Specimen.objects.filter(severity__gt=0.3).order_by("number")[0]

    def answer(member: Person, specimen: Specimen, number: int) -> str:
        odd = member == members[0] and specimen == bad
        return "accept" if odd else by_severity(member, specimen, number)

    look_through(round_, members, NOON - dt.timedelta(days=2), answer)
    close_round(round_=round_, by=quality, moment=NOON, day=TODAY, unsettled_to="")
    return round_


class TestList:
    def test_quality_sees_every_round_members_their_own_looks(
        self, round_: PanelRound, quality: Person, trainer: Person, office: Sign, floor: Sign
    ) -> None:
        page = office(quality).get(LIST)
        assert page.status_code == 200
        assert "Your looks" in page.text
        assert "All rounds" in page.text
        page = floor(trainer).get(LIST)
        assert "4 looks are due" in page.text
        assert "All rounds" not in page.text

    def test_others_are_told_that_nothing_is_due(
        self, round_: PanelRound, operator: Person, floor: Sign, quality: Person, office: Sign
    ) -> None:
        assert "No looks of yours are due" in floor(operator).get(LIST).text
        assert office(quality).post(LIST).status_code == 405

    def test_it_costs_the_same_whatever_stands_there(
        self,
        round_: PanelRound,
        make_bank: Bank,
        members: list[Person],
        quality: Person,
        office: Sign,
        django_assert_max_num_queries: Any,
    ) -> None:
        client = office(quality)
        client.get(LIST)
        open_round(specimens=make_bank(3), members=members, by=quality, moment=NOON, day=TODAY)
        with django_assert_max_num_queries(12):
            client.get(LIST)


class TestOpen:
    def post(self, client: Client, specimens: list[Specimen], **fields: Any) -> Any:
        given = {"specimens": [each.pk for each in specimens], "looks": 2, "gap_days": 1}
        return client.post(OPEN, {**given, **fields})

    def test_a_round_for_chosen_specimens_and_members(
        self, make_bank: Bank, members: list[Person], quality: Person, office: Sign
    ) -> None:
        specimens = make_bank(3)
        client = office(quality)
        page = client.get(OPEN, {"specimen": [specimens[0].pk, specimens[2].pk]})
        assert specimens[0].number in page.text
        assert specimens[1].number not in page.text
        trainer, other, inspector = members
        response = self.post(
            client,
            specimens[:2],
            members=[trainer.pk, other.pk],
            others=f" {inspector.personnel_no} ",
        )
        made = PanelRound.objects.get()
        assert response.url == at("panel_round", made)
        assert set(made.members.all()) == set(members)
        assert {item.specimen_id for item in made.items.all()} == {s.pk for s in specimens[:2]}

    def test_without_a_choice_it_offers_what_only_a_panel_settles(
        self, make_bank: Bank, quality: Person, office: Sign
    ) -> None:
        (near,) = make_bank(1, severity=0.306, decision=None)
        (clear,) = make_bank(1, severity=0.9, decision=None)
        (unmeasured,) = make_bank(1, severity=None, unit="", decision=None)
        page = office(quality).get(OPEN).text
        assert near.number in page
        assert unmeasured.number in page
        assert clear.number not in page

    def test_nothing_to_judge(self, make_bank: Bank, quality: Person, office: Sign) -> None:
        make_bank(2)
        assert "Nothing waits for a panel" in office(quality).get(OPEN).text

    @pytest.mark.parametrize(
        ("fields", "words"),
        [
            ({}, "three members who look twice"),
            ({"others": "12345"}, "Nobody has the number 12345"),
            ({"gap_days": 0}, "greater than or equal to 1"),
            ({"specimens": []}, "Choose at least one specimen"),
        ],
    )
    def test_bad_input(
        self,
        make_bank: Bank,
        quality: Person,
        office: Sign,
        fields: dict[str, Any],
        words: str,
    ) -> None:
        (undecided,) = make_bank(1, decision=None, severity=None, unit="")
        response = self.post(office(quality), fields.pop("specimens", [undecided]), **fields)
        assert response.status_code == 400
        assert words in response.text
        assert not PanelRound.objects.exists()

    def test_a_specimen_that_is_none(self, quality: Person, office: Sign) -> None:
        assert office(quality).get(OPEN, {"specimen": "x"}).status_code == 404

    def test_only_quality(self, trainer: Person, office: Sign) -> None:
        assert office(trainer).get(OPEN).status_code == 403


class TestLook:
    def send(self, client: Client, round_: PanelRound, ordinal: int, **fields: Any) -> Any:
        given = {
            "answer_id": uuid.uuid4(),
            "ordinal": ordinal,
            "verdict": "accept",
            "seconds": "4.2",
            "made": NOON.strftime("%Y-%m-%dT%H:%M:%S.%fZ").replace("Z", "+0000"),
        }
        return client.post(at("panel_answer", round_), {**given, **fields})

    def test_the_booth_shows_nothing_of_what_the_part_is(
        self, round_: PanelRound, trainer: Person, members: list[Person], floor: Sign
    ) -> None:
        look(round_, members[1], NOON, "reject", words="clearly two")
        page = floor(trainer).get(at("panel_look", round_))
        assert page.status_code == 200
        text = page.text
        assert 'data-place="no"' in text
        assert "0 of 4 judged" in text
        for secret in ("0.45", "times the limit", "clearly two", "data-region", "rendered"):
            assert secret not in text

    def test_a_part_and_its_pictures_for_a_member_whose_look_is_due(
        self, round_: PanelRound, trainer: Person, operator: Person, floor: Sign
    ) -> None:
        client = floor(trainer)
        assert client.get(at("panel_part", round_, 1)).status_code == 200
        picture = client.get(at("panel_frame", round_, 1, 0, 0))
        assert picture["Content-Type"].startswith("image/")
        assert client.get(at("panel_frame", round_, 1, 0, 9)).status_code == 404
        # The second looks are not due on the day of the first.
        assert client.get(at("panel_part", round_, 5)).status_code == 404
        other = floor(operator)
        for name in ("panel_look", "panel_round"):
            assert other.get(at(name, round_)).status_code == 404
        assert other.get(at("panel_frame", round_, 1, 0, 0)).status_code == 404
        assert self.send(other, round_, 1).status_code == 404

    def test_an_answer_is_kept_at_once_and_once(
        self, round_: PanelRound, trainer: Person, floor: Sign
    ) -> None:
        client, key = floor(trainer), uuid.uuid4()
        fields = {
            "verdict": "reject",
            "family": "black-specks",
            "action": "tag",
            "words": "Two specks, close.",
            "answer_id": key,
        }
        for _ in range(2):
            reply = self.send(client, round_, 1, **fields)
            assert reply.status_code == 200
            assert (reply.json()["ended"], reply.json()["handed_out"]) == (False, 4)
        kept = PanelLook.objects.get()
        assert (kept.pk, kept.action, kept.judging_ms) == (key, "segregate", 4200)
        assert "1 of 4 judged" in client.get(at("panel_look", round_)).text

    def test_after_the_last_look_of_the_day_the_round_says_when_to_come_back(
        self, round_: PanelRound, trainer: Person, floor: Sign
    ) -> None:
        client = floor(trainer)
        for ordinal in range(1, 5):
            reply = self.send(client, round_, ordinal)
        assert reply.json()["ended"] is True
        response = client.get(at("panel_look", round_), follow=True)
        assert "The next are due from 26 Nov" in response.text

    @pytest.mark.parametrize(
        ("fields", "status", "words"),
        [
            ({"seconds": "0.5"}, 400, "at least 2 seconds"),
            ({"verdict": "maybe"}, 400, "verdict"),
            ({"verdict": "reject"}, 400, "needs a family"),
            ({"ordinal": 5}, 400, "not due"),
            ({"answer_id": "x"}, 400, "answer_id"),
        ],
    )
    def test_what_is_not_whole(
        self,
        round_: PanelRound,
        trainer: Person,
        floor: Sign,
        fields: dict[str, Any],
        status: int,
        words: str,
    ) -> None:
        reply = self.send(floor(trainer), round_, fields.pop("ordinal", 1), **fields)
        assert reply.status_code == status
        assert words in reply.json()["error"]
        assert not PanelLook.objects.exists()

    def test_a_closed_round_takes_nothing(self, closed: PanelRound, floor: Sign) -> None:
        member = closed.members.first()
        assert member is not None
        client = floor(member)
        assert self.send(client, closed, 1).status_code == 410
        assert client.get(at("panel_look", closed)).status_code == 302
        assert client.get(at("panel_part", closed, 1)).status_code == 404
        assert client.get(at("panel_answer", closed)).status_code == 405


class TestRound:
    def test_before_it_is_closed_nobody_sees_what_was_said(
        self, round_: PanelRound, members: list[Person], quality: Person, office: Sign
    ) -> None:
        look(round_, members[0], NOON, "reject")
        text = office(quality).get(at("panel_round", round_)).text
        assert "1 of 8" in text
        assert "Specimen by specimen" not in text
        assert "dissent" not in text

    def test_a_member_sees_only_how_far_they_have_come(
        self, round_: PanelRound, trainer: Person, office: Sign
    ) -> None:
        text = office(trainer).get(at("panel_round", round_)).text
        assert "4 looks of yours are due today" in text
        assert "Quentin Quality" not in text

    def test_closed_it_shows_every_look_and_marks_dissent(
        self, closed: PanelRound, quality: Person, trainer: Person, office: Sign, floor: Sign
    ) -> None:
        text = office(quality).get(at("panel_round", closed)).text
        assert text.count("pl-cell dissents") == 2
        for words in ("not settled", "Gwet&#x27;s AC1", "Fleiss", "Move to teaching"):
            assert words.replace("&#x27;", "'") in text.replace("&#x27;", "'")
        own = floor(trainer).get(at("panel_round", closed)).text
        assert "Specimen by specimen" in own
        assert f'href="{reverse("specimens:specimen_list")}' not in own

    def test_what_is_not_settled_leaves_the_exams(
        self, closed: PanelRound, quality: Person, office: Sign
    ) -> None:
        client, address = office(quality), at("panel_unsettled", closed)
        assert client.post(address, {"pool": "exam"}, follow=True).status_code == 200
        assert Specimen.objects.filter(pool="exam").count() == 4
        assert (
            "1 specimen was moved" in client.post(address, {"pool": "teaching"}, follow=True).text
        )
        assert Specimen.objects.filter(pool="teaching").count() == 1
        assert client.get(address).status_code == 405

    def test_it_costs_the_same_whatever_was_looked_at(
        self, closed: PanelRound, quality: Person, office: Sign, django_assert_max_num_queries: Any
    ) -> None:
        client = office(quality)
        client.get(at("panel_round", closed))
        with django_assert_max_num_queries(26):
            client.get(at("panel_round", closed))


class TestClose:
    def test_signed_it_decides(
        self, round_: PanelRound, members: list[Person], quality: Person, office: Sign
    ) -> None:
        look_through(round_, members, NOON - dt.timedelta(days=2), by_severity)
        client = office(quality)
        assert "Sign and close" in client.get(at("panel_close", round_)).text
        before = ReferenceDecision.objects.count()
        response = client.post(
            at("panel_close", round_),
            {"unsettled_to": "neither", "note": "", "secret": PASSWORD},
            follow=True,
        )
        assert "Signed: 4 specimens are decided, 0 are not settled." in response.text
        assert ReferenceDecision.objects.count() == before + 4
        assert Signature.objects.get(meaning="closed a panel round").subject_id == round_.pk
        again = client.get(at("panel_close", round_), follow=True)
        assert "closed already" in again.text

    def test_a_wrong_password_and_an_empty_round_write_nothing(
        self, round_: PanelRound, members: list[Person], quality: Person, office: Sign
    ) -> None:
        client, address = office(quality), at("panel_close", round_)
        response = client.post(address, {"unsettled_to": "neither", "secret": PASSWORD})
        assert response.status_code == 400
        assert "Nobody has looked yet" in response.text
        look(round_, members[0], NOON)
        assert "looks have not been given" in client.get(address).text
        response = client.post(address, {"unsettled_to": "neither", "secret": "wrong"})
        assert response.status_code == 400
        round_.refresh_from_db()
        assert round_.closed_at is None

    def test_only_quality(self, round_: PanelRound, trainer: Person, office: Sign) -> None:
        assert office(trainer).get(at("panel_close", round_)).status_code == 403


def test_every_member_has_an_order_of_their_own(round_: PanelRound, members: list[Person]) -> None:
    orders = {tuple(place.item for place in turn_of(round_, each).places) for each in members}
    assert len(orders) == len(members)
