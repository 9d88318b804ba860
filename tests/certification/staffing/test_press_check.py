"""The press check, as a page and as JSON: yes, only with a buddy, or no with every reason."""

import datetime as dt
import json
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client

from certification.certificates.models import CertificateEvent
from certification.staffing.models import PressCheck, ProductionOrder
from tests.conftest import DEVICE_TOKEN, NOON, TODAY
from training.people.models import Device, Person
from training.people.record.chain import append, erasable

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
PAGE, API = "/press-check/", "/api/press-check"


def badge(person: Person) -> str:
    return person.badges.get().number


def ask(token: str = DEVICE_TOKEN, **question: str) -> object:
    return Client().post(
        API,
        json.dumps(question),
        content_type="application/json",
        headers={"authorization": f"Bearer {token}"},
    )


class TestMachine:
    def test_yes(
        self, device: Device, operator: Person, qualify: Callable[..., None], plant: SimpleNamespace
    ) -> None:
        qualify(operator)
        answer = ask(badge=badge(operator), job="901").json()
        assert answer["verdict"] == "alone"
        assert answer["reasons"] == []
        assert answer["person"] == "Otto Operator"

    def test_no_with_every_reason(
        self, device: Device, new_hire: Person, plant: SimpleNamespace
    ) -> None:
        answer = ask(badge=badge(new_hire), job="901").json()
        assert answer["verdict"] == "no"
        codes = [reason["code"] for reason in answer["reasons"]]
        assert codes.count("not_certified") == 3
        assert {"no_observed_check", "near_vision_overdue", "wi_unread"} <= set(codes)
        assert all(reason["text"] and reason["remedy"] for reason in answer["reasons"])

    def test_the_job_that_runs_on_the_press_is_meant(
        self,
        device: Device,
        operator: Person,
        qualify: Callable[..., None],
        order: ProductionOrder,
    ) -> None:
        qualify(operator)
        answer = ask(badge=badge(operator), press="P01").json()
        assert (answer["job"], answer["press"], answer["verdict"]) == ("901", "P01", "alone")

    def test_what_ends_during_the_shift_is_told(
        self, device: Device, operator: Person, qualify: Callable[..., None]
    ) -> None:
        operator.crew.starts, operator.crew.ends = dt.time(6), dt.time(5, 59)
        operator.crew.save()
        qualify(operator, expires=TODAY)
        answer = ask(badge=badge(operator), job="901").json()
        assert answer["verdict"] == "alone"
        assert len(answer["ends_during_shift"]) == 3

    def test_a_suspended_certificate_says_no(
        self, device: Device, operator: Person, quality: Person, qualify: Callable[..., None]
    ) -> None:
        qualify(operator)
        event = CertificateEvent(
            certificate=operator.certificates.first(),
            kind="suspended",
            day=TODAY,
            reason=erasable("two escapes in a month"),
            recorded_by=quality,
        )
        append(event, moment=NOON - dt.timedelta(hours=1))
        answer = ask(badge=badge(operator), job="901").json()
        assert [reason["code"] for reason in answer["reasons"]] == ["suspended"]

    def test_an_unknown_badge(self, device: Device, plant: SimpleNamespace) -> None:
        answer = ask(badge="0", job="901").json()
        assert answer["verdict"] == "no"
        assert answer["reasons"][0]["code"] == "unknown_badge"

    @pytest.mark.parametrize("token", ["wrong", "", "é"])
    def test_a_wrong_device_token_is_refused(
        self, device: Device, plant: SimpleNamespace, token: str
    ) -> None:
        assert (
            ask(token.encode("ascii", "ignore").decode(), badge="1", job="901").status_code == 401
        )
        assert not PressCheck.objects.exists()

    def test_a_withdrawn_device_is_refused(self, device: Device, plant: SimpleNamespace) -> None:
        Device.objects.update(withdrawn_at=NOON)
        assert ask(badge="1", job="901").status_code == 401

    @pytest.mark.parametrize(
        ("question", "message"),
        [
            ({"badge": "1", "job": "999"}, "There is no job 999."),
            ({"badge": "1", "press": "P99"}, "There is no press P99."),
            ({"badge": "1", "press": "P01"}, "name a job, or a press that runs one"),
            ({"badge": "1" * 21, "job": "901"}, "at most 20 characters"),
            ({"job": "901"}, "badge"),
        ],
    )
    def test_bad_input_is_told(
        self, device: Device, plant: SimpleNamespace, question: dict[str, str], message: str
    ) -> None:
        response = ask(**question)
        assert response.status_code == 422
        assert message in response.content.decode()

    def test_other_methods_are_refused(self, device: Device) -> None:
        assert Client().get(API).status_code == 405

    def test_every_question_is_logged(
        self, device: Device, operator: Person, plant: SimpleNamespace
    ) -> None:
        ask(badge=badge(operator), job="901")
        ask(badge="0", job="901")
        assert [(c.verdict, c.device, c.person) for c in PressCheck.objects.order_by("badge")] == [
            ("unknown_badge", device, None),
            ("no", device, operator),
        ]


class TestPage:
    def test_yes(
        self,
        floor: Callable[[Person], Client],
        trainer: Person,
        operator: Person,
        qualify: Callable[..., None],
    ) -> None:
        qualify(operator)
        response = floor(trainer).post(PAGE, {"badge": badge(operator), "job": "901"})
        assert response.status_code == 200
        assert "All families in date" in response.content.decode()

    def test_no_gives_the_first_reason_large_and_the_rest_below(
        self,
        office: Callable[[Person], Client],
        supervisor: Person,
        new_hire: Person,
        plant: object,
    ) -> None:
        response = office(supervisor).post(PAGE, {"badge": badge(new_hire), "job": "901"})
        assert response.context["reason"]
        assert len(response.context["lines"]) > 4

    def test_without_press_and_job_it_asks(
        self, office: Callable[[Person], Client], supervisor: Person
    ) -> None:
        response = office(supervisor).post(PAGE, {"badge": "1"})
        assert response.status_code == 400
        assert "Name the press or the job." in response.content.decode()

    def test_a_press_without_an_order_asks_for_the_job(
        self, office: Callable[[Person], Client], supervisor: Person, plant: SimpleNamespace
    ) -> None:
        response = office(supervisor).post(PAGE, {"badge": "1", "press": "P01"})
        assert response.status_code == 400
        assert "P01 runs no job now" in response.content.decode()

    def test_the_unsigned_are_sent_to_sign_in(self, client: Client) -> None:
        assert client.get(PAGE).status_code == 302

    def test_other_methods_are_refused(
        self, office: Callable[[Person], Client], supervisor: Person
    ) -> None:
        assert office(supervisor).put(PAGE).status_code == 405

    def test_query_count(
        self,
        office: Callable[[Person], Client],
        supervisor: Person,
        operator: Person,
        qualify: Callable[..., None],
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        qualify(operator)
        client = office(supervisor)
        with django_assert_max_num_queries(40):
            client.post(PAGE, {"badge": badge(operator), "job": "901"})
