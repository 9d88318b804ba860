"""The route table decides: every route is asked for by every role, at the office and on the floor."""

import re
import uuid
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import NoReverseMatch, get_resolver, reverse

from certification.site.routes import ROUTES, may_open
from training.people.models import Person, Role

pytestmark = pytest.mark.django_db
CLOSED = "Your role does not open this page."
CLOSED_HERE = "From a floor device this page is closed."
# One value for each kind of part that an address may have.
PARTS = {"uuid": uuid.UUID(int=7), "int": 1, "slug": "none", "str": "none"}


def address(name: str) -> str:
    """Return an address of the route, with parts that name nothing."""
    resolver = get_resolver()
    namespace, _, local = name.rpartition(":")
    if namespace:
        resolver = resolver.namespace_dict[namespace][1]
    kinds = resolver.reverse_dict.getlist(local)[0][3]
    values = {part: PARTS[_kind(converter)] for part, converter in kinds.items()}
    try:
        return reverse(name, kwargs=values)
    except NoReverseMatch:
        return reverse(name, args=list(values.values()))


def _kind(converter: object) -> str:
    return re.sub("Converter$", "", type(converter).__name__).lower().replace("string", "str")


GUARDED = sorted(name for name, route in ROUTES.items() if not route.public)


@pytest.fixture
def people(make_person: Callable[..., Person]) -> dict[str, Person]:
    return {role: make_person(f"Some {role}", role) for role in Role.values}


def answer(client: Client, name: str) -> str:
    client.raise_request_exception = False
    response = client.get(address(name))
    return response.content.decode(errors="replace")


@pytest.mark.parametrize("name", GUARDED)
def test_at_the_office_the_table_is_kept(
    name: str, people: dict[str, Person], office: Callable[[Person], Client]
) -> None:
    for role, person in people.items():
        refused = CLOSED in answer(office(person), name)
        allowed = may_open(name, frozenset({role}), on_floor=False)
        assert refused != allowed, f"{role} at {name}"


@pytest.mark.parametrize("name", [name for name in GUARDED if not ROUTES[name].floor])
def test_on_the_floor_only_floor_routes_are_open(
    name: str, people: dict[str, Person], floor: Callable[[Person], Client]
) -> None:
    for role in ROUTES[name].roles:
        assert CLOSED_HERE in answer(floor(people[role]), name)


@pytest.mark.parametrize("name", GUARDED)
def test_the_unsigned_are_sent_to_sign_in(name: str, client: Client) -> None:
    response = client.get(address(name))
    assert response.status_code == 302
    assert response.url.startswith("/office/?next=")


def test_a_route_that_is_not_listed_is_closed_to_all() -> None:
    for role in Role.values:
        assert not may_open("made:up", frozenset({role}), on_floor=False)


def test_whoever_has_several_roles_may_open_what_each_opens() -> None:
    both = frozenset({Role.OPERATOR, Role.AUDITOR})
    assert may_open("site:my_work", both, on_floor=True)
    assert may_open("quizzes:sitting_list", both, on_floor=False)
    assert not may_open("quizzes:sitting_list", both, on_floor=True)
