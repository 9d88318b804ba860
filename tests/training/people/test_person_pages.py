"""The pages about people: the list, one person, taking somebody on, changing, a new PIN."""

import datetime as dt
from collections.abc import Callable

import pytest
from django.test import Client

from tests.conftest import NOON, TODAY
from training.people import pins
from training.people.models import Badge, Employment, Person, Role
from training.people.services import record_vision_check

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Office = Callable[[Person], Client]


@pytest.fixture
def gone(make_person: Callable[..., Person]) -> Person:
    person = make_person("Greta Gone", Role.OPERATOR)
    person.employments.update(to_day=dt.date(2026, 10, 31))
    return person


@pytest.fixture
def coming(make_person: Callable[..., Person]) -> Person:
    return make_person("Carl Coming", Role.OPERATOR, hired=dt.date(2026, 12, 1))


def taking_on(**changes: object) -> dict[str, object]:
    return {
        "personnel_no": "5001",
        "name": "Inés Añorve",
        "crew": "",
        "ui_language": "es",
        "contract": "agency",
        "hired": TODAY.isoformat(),
        "badge": "44001",
        "roles": [Role.OPERATOR],
        "note": "",
        **changes,
    }


class TestList:
    def test_it_shows_what_is_overdue_first(
        self, office: Office, quality: Person, operator: Person, trainer: Person
    ) -> None:
        record_vision_check(
            person=trainer,
            kind="near",
            day=TODAY - dt.timedelta(days=400),
            due_day=TODAY - dt.timedelta(days=35),
            result="meets",
            recorded_by=quality,
            moment=NOON,
        )
        page = office(quality).get("/people/").context["page"]
        assert page.object_list[0].person == trainer
        assert page.object_list[0].vision_overdue

    def test_it_searches_name_and_number(
        self, office: Office, quality: Person, operator: Person
    ) -> None:
        rows = office(quality).get("/people/", {"q": "otto"}).context["page"].object_list
        assert [row.person for row in rows] == [operator]

    def test_an_empty_search_says_what_to_do(self, office: Office, quality: Person) -> None:
        assert "Nobody found." in office(quality).get("/people/", {"q": "zzz"}).content.decode()

    def test_those_who_left_are_shown_when_asked_for(
        self, office: Office, quality: Person, gone: Person, coming: Person
    ) -> None:
        client = office(quality)

        def names(**asked: str) -> set[str]:
            return {row.person.name for row in client.get("/people/", asked).context["page"]}

        assert names() == {quality.name, coming.name}
        assert names(show="here") == names(show="nonsense") == names()
        assert names(show="left") == {gone.name}
        assert names(show="all") == {quality.name, coming.name, gone.name}
        choices = client.get("/people/").context["choices"]
        assert [(whom.value, count, now) for whom, _word, count, now in choices] == [
            ("here", 2, True),
            ("left", 1, False),
            ("all", 3, False),
        ]

    def test_a_search_finds_whoever_left_and_says_when(
        self, office: Office, quality: Person, gone: Person, coming: Person
    ) -> None:
        page = office(quality).get("/people/", {"q": "gone"}).content.decode()
        assert "Greta Gone" in page
        assert "left on 31 Oct 2026" in page
        page = office(quality).get("/people/", {"q": "coming"}).content.decode()
        assert "begins on 1 Dec 2026" in page
        page = office(quality).get("/people/", {"q": "gone", "show": "here"}).content.decode()
        assert "Greta Gone" not in page
        assert "Nobody is like that." in page

    def test_who_came_back_has_not_left(
        self, office: Office, quality: Person, gone: Person
    ) -> None:
        Employment.objects.create(person=gone, from_day=TODAY)
        page = office(quality).get("/people/").content.decode()
        assert "Greta Gone" in page
        assert "left on" not in page

    def test_the_last_day_still_counts(self, office: Office, quality: Person, gone: Person) -> None:
        gone.employments.update(to_day=TODAY)
        assert "Greta Gone" in office(quality).get("/people/").content.decode()

    def test_operators_may_not(self, office: Office, operator: Person) -> None:
        assert office(operator).get("/people/").status_code == 403

    def test_other_methods_are_refused(self, office: Office, quality: Person) -> None:
        assert office(quality).post("/people/").status_code == 405

    def test_queries_do_not_grow_with_people(
        self,
        office: Office,
        quality: Person,
        make_person: Callable[..., Person],
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        client = office(quality)
        for number in range(3):
            make_person(f"Person {number}", Role.OPERATOR)
        with django_assert_max_num_queries(12) as few:
            client.get("/people/")
        for number in range(30):
            make_person(f"Person {number} more", Role.OPERATOR)
        with django_assert_max_num_queries(12) as many:
            client.get("/people/")
        assert len(few) == len(many)


class TestAdd:
    def test_it_takes_somebody_on_and_shows_the_pin_once(
        self, office: Office, quality: Person
    ) -> None:
        response = office(quality).post("/people/add/", taking_on())
        person = Person.objects.get(personnel_no="5001")
        assert response.status_code == 200
        assert pins.matches(response.context["pin"], person.pin)
        assert person.pin_is_initial
        assert person.agency
        assert person.roles() == {"operator"}
        assert person.badges.get().number == "44001"
        assert "no-store" in response.headers["Cache-Control"]

    def test_a_badge_that_is_held_is_refused_and_nothing_is_left(
        self, office: Office, quality: Person, operator: Person
    ) -> None:
        held = operator.badges.get().number
        response = office(quality).post("/people/add/", taking_on(badge=held))
        assert response.status_code == 400
        assert f"Badge {held} belongs to Otto Operator" in str(response.context["form"].errors)
        assert not Person.objects.filter(personnel_no="5001").exists()

    def test_a_badge_that_was_handed_back_may_be_given_again(
        self, office: Office, quality: Person, operator: Person
    ) -> None:
        Badge.objects.filter(person=operator).update(to_day=TODAY - dt.timedelta(days=1))
        held = operator.badges.get().number
        assert office(quality).post("/people/add/", taking_on(badge=held)).status_code == 200

    @pytest.mark.parametrize(
        ("change", "message"),
        [
            ({"hired": (TODAY + dt.timedelta(days=1)).isoformat()}, "lies in the future"),
            ({"name": ""}, "required"),
            ({"roles": ["king"]}, "king"),
        ],
    )
    def test_bad_input_is_told(
        self, office: Office, quality: Person, change: dict[str, object], message: str
    ) -> None:
        response = office(quality).post("/people/add/", taking_on(**change))
        assert response.status_code == 400
        assert message in str(response.context["form"].errors)
        assert not Person.objects.filter(personnel_no="5001").exists()

    def test_a_number_is_never_used_again(
        self, office: Office, quality: Person, operator: Person
    ) -> None:
        response = office(quality).post(
            "/people/add/", taking_on(personnel_no=operator.personnel_no)
        )
        assert response.status_code == 400

    def test_supervisors_may_not(self, office: Office, supervisor: Person) -> None:
        assert office(supervisor).get("/people/add/").status_code == 403


class TestEdit:
    def test_it_changes_all_but_the_number(
        self, office: Office, quality: Person, operator: Person
    ) -> None:
        url = f"/people/{operator.personnel_no}/edit/"
        response = office(quality).post(
            url, taking_on(personnel_no="1", name="Otto Renamed", roles=["trainer"])
        )
        assert response.status_code == 302
        number = operator.personnel_no
        operator.refresh_from_db()
        assert (operator.personnel_no, operator.name) == (number, "Otto Renamed")
        assert operator.roles() == {"trainer"}

    def test_unknown_people_are_not_found(self, office: Office, quality: Person) -> None:
        assert office(quality).get("/people/0/edit/").status_code == 404


class TestRoles:
    def test_trainers_take_on_operators_and_nobody_else(
        self, office: Office, trainer: Person
    ) -> None:
        response = office(trainer).post("/people/add/", taking_on(roles=["administrator"]))
        assert response.status_code == 400
        assert "cannot give or take: administrator" in str(response.context["form"].errors)
        assert not Person.objects.filter(personnel_no="5001").exists()
        assert office(trainer).post("/people/add/", taking_on()).status_code == 200

    def test_only_an_administrator_makes_administrators(
        self, office: Office, quality: Person, administrator: Person, operator: Person
    ) -> None:
        url = f"/people/{operator.personnel_no}/edit/"
        wanted = taking_on(roles=["operator", "administrator"])
        assert office(quality).post(url, wanted).status_code == 400
        assert operator.roles() == {"operator"}
        assert office(administrator).post(url, wanted).status_code == 302
        operator = Person.objects.get(pk=operator.pk)
        assert operator.roles() == {"operator", "administrator"}

    def test_only_an_administrator_gives_an_administrator_a_password(
        self, office: Office, quality: Person, administrator: Person
    ) -> None:
        url = f"/people/{administrator.personnel_no}/password/"
        assert office(quality).post(url).status_code == 403
        assert office(administrator).post(url).status_code == 200


class TestPinReset:
    def test_it_gives_a_new_initial_pin(
        self, office: Office, supervisor: Person, operator: Person
    ) -> None:
        old = operator.pin
        response = office(supervisor).post(f"/people/{operator.personnel_no}/pin/")
        operator.refresh_from_db()
        assert operator.pin != old
        assert pins.matches(response.context["pin"], operator.pin)

    def test_it_needs_a_post(self, office: Office, supervisor: Person, operator: Person) -> None:
        response = office(supervisor).get(f"/people/{operator.personnel_no}/pin/")
        assert response.status_code == 405

    def test_auditors_may_not(self, office: Office, auditor: Person, operator: Person) -> None:
        response = office(auditor).post(f"/people/{operator.personnel_no}/pin/")
        assert response.status_code == 403


class TestPasswordReset:
    def test_it_gives_a_new_initial_password_that_must_be_changed(
        self, office: Office, administrator: Person, supervisor: Person
    ) -> None:
        url = f"/people/{supervisor.personnel_no}/password/"
        password = office(administrator).post(url).context["password"]
        client = Client()
        client.post("/office/", {"username": supervisor.personnel_no, "password": password})
        assert client.get("/people/").url == "/my-password/"
        given = {"old": password, "new": "another quiet bench", "again": "another quiet bench"}
        assert client.post("/my-password/", given).status_code == 302
        assert client.get("/people/").status_code == 200

    def test_it_needs_a_post(self, office: Office, administrator: Person, operator: Person) -> None:
        url = f"/people/{operator.personnel_no}/password/"
        assert office(administrator).get(url).status_code == 405

    def test_supervisors_may_not(
        self, office: Office, supervisor: Person, operator: Person
    ) -> None:
        url = f"/people/{operator.personnel_no}/password/"
        assert office(supervisor).post(url).status_code == 403


class TestDetail:
    def test_it_shows_badges_stays_and_checks(
        self, office: Office, auditor: Person, operator: Person
    ) -> None:
        text = office(auditor).get(f"/people/{operator.personnel_no}/").content.decode()
        assert operator.badges.get().number in text
        assert "1 Jan 2020" in text

    def test_query_count(
        self,
        office: Office,
        auditor: Person,
        operator: Person,
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        client = office(auditor)
        with django_assert_max_num_queries(12):
            client.get(f"/people/{operator.personnel_no}/")
