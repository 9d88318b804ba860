"""Signing in at the office: personnel number and password."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import PASSWORD
from training.people.models import Employment, Person

pytestmark = pytest.mark.django_db
URL = "/office/"


def enter(client: Client, number: str, password: str = PASSWORD, **more: str) -> object:
    return client.post(URL, {"username": number, "password": password, **more})


def test_it_works(client: Client, quality: Person) -> None:
    response = enter(client, quality.personnel_no)
    assert response.url == reverse("site:start")
    assert client.session["signed_in_at"] == "office"


def test_wrong_and_unknown_get_the_same_answer(client: Client, quality: Person) -> None:
    wrong = enter(client, quality.personnel_no, "not the password")
    unknown = enter(client, "0000", "not the password")
    assert wrong.status_code == unknown.status_code == 400
    assert wrong.context["form"].errors == unknown.context["form"].errors


def test_somebody_who_has_left_is_refused(client: Client, quality: Person) -> None:
    Employment.objects.update(to_day=dt.date(2021, 1, 1))
    assert enter(client, quality.personnel_no).status_code == 400


def test_it_leads_only_to_addresses_of_this_site(client: Client, quality: Person) -> None:
    response = enter(client, quality.personnel_no, next="https://example.org/")
    assert response.url == reverse("site:start")
    response = enter(client, quality.personnel_no, next="/people/")
    assert response.url == "/people/"


def test_a_number_is_locked_after_too_many_tries(client: Client, quality: Person) -> None:
    for _ in range(10):
        last = enter(client, quality.personnel_no, "not the password")
    assert last.status_code == 403
    assert enter(client, quality.personnel_no).status_code == 403


def test_other_methods_are_refused(client: Client) -> None:
    assert client.delete(URL).status_code == 405


def test_signing_out_needs_a_post(client: Client, quality: Person) -> None:
    enter(client, quality.personnel_no)
    assert client.get(reverse("people:sign_out")).status_code == 405
    assert client.post(reverse("people:sign_out")).url == URL
    assert "_auth_user_id" not in client.session
