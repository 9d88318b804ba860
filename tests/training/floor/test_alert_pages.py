"""Alerts with tightened limits, the list and page of alerts, and ending one early."""

import datetime as dt
import uuid
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from certification.certificates.facts import job_facts
from tests.conftest import PASSWORD, SPECKS_LIMIT, TODAY
from tests.training.floor.test_alert_add import URL, fields
from training.floor.alerts import raise_alert, withdraw_alert
from training.floor.limits import parse_line
from training.floor.models import Alert, Job
from training.floor.paper_selectors import PaperState, state_of_alert
from training.floor.selectors import alerts_in_force, rulings_on
from training.floor.services import publish_work_instruction
from training.people.models import Person
from training.people.signing import signatures_of

SignIn = Callable[[Person], Client]
DAY = dt.timedelta(days=1)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def line(**changed: Any) -> dict[str, Any]:
    """Return the first line of an alert on specks: none of 0.1 mm or more."""
    sent = {
        "lines-TOTAL_FORMS": "4",
        "lines-0-zone": "",
        "lines-0-measure": "count_at_most",
        "lines-0-judged_by": "eye",
        "lines-0-count": "1",
        "lines-0-value": "0.2",
        "lines-0-unit": "mm",
        "lines-0-per_area_cm2": "100",
        "lines-0-feature_en": "mean size",
        "lines-0-feature_es": "tamaño medio",
        **{f"lines-{number}-judged_by": "eye" for number in (1, 2, 3)},
        "family": "black-specks",
    }
    return fields(**sent) | {f"lines-0-{name}": value for name, value in changed.items()}


@pytest.fixture
def alert(plant: SimpleNamespace, quality: Person) -> Alert:
    return raise_alert(
        number="A-01",
        jobs=[plant.job],
        family=plant.burn,
        zone="A",
        text={"en": "Brown edge.", "es": "Borde pardo."},
        from_day=TODAY,
        to_day=TODAY + 10 * DAY,
        written_day=TODAY,
        written_by=quality,
        reason="Complaint 88",
    )


def url(alert: Alert, step: str = "") -> str:
    return f"/alerts/{alert.pk}/{step}"


# ---------------------------------------------------------------- tightened limits


def test_an_alert_carries_a_tighter_limit(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    assert client.post(URL, line()).status_code == 302
    made = Alert.objects.get()
    row = made.lines.get()
    assert (row.family, row.zone, row.measure["level"]) == (plant.specks, "A", "ordinary")
    (ruling,) = rulings_on(plant.job, TODAY, "black-specks", "A")
    assert (ruling.source.reference, ruling.line.value) == ("A-31", 0.2)
    sheet = client.get("/jobs/901/").content.decode()
    assert "at most 1 of up to 0.2 mm, in any 100 cm²: mean size" in sheet
    assert "instead of: at most 1 of up to 0.3 mm" in sheet
    page = client.get(url(made)).content.decode()
    assert "at most 1 of up to 0.2 mm, in any 100 cm²: mean size" in page
    assert "at most 1 of up to 0.2 mm" in client.get("/alerts/").content.decode()


def test_a_line_has_a_zone_of_its_own(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    client.post(URL, line(zone="B"))
    client.post(URL, line() | {"number": "A-32", "zone": ""})
    zones = [made.lines.get().zone for made in Alert.objects.order_by("number")]
    assert zones == ["B", "*"]


def test_the_level_is_that_of_the_job(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    plant.sheet.needs = {**plant.sheet.needs, "black-specks": "critical"}
    plant.sheet.save()
    office(quality).post(URL, line())
    assert Alert.objects.get().lines.get().measure["level"] == "critical"


def test_a_family_and_zone_that_the_sheet_is_silent_about_are_shown(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    plant.sheet.needs = {"burn": "ordinary"}
    plant.sheet.save()
    client = office(quality)
    client.post(URL, line(zone="C", value="0.1"))
    page = client.get("/jobs/901/").content.decode()
    assert "Zone C, hidden" in page
    assert "Black specks" in page
    assert "at most 1 of up to 0.1 mm" in page


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"value": "0.4"}, "Job 901: the alert would allow more than “at most 1 of up to 0.3 mm"),
        ({"count": "2"}, "(work instruction rev A)"),
        ({"per_area_cm2": "50"}, "may only tighten; to loosen, write a concession"),
        ({"value": ""}, "lacks a value"),
        ({"unit": ""}, "lacks a unit"),
        ({"measure": ""}, "required"),
        ({"measure": "any"}, "Select a valid choice"),
        ({"zone": "Q"}, "Select a valid choice"),
    ],
)
def test_a_line_that_loosens_or_is_none_is_refused(
    office: SignIn, quality: Person, plant: SimpleNamespace, changed: dict[str, Any], words: str
) -> None:
    answer = office(quality).post(URL, line(**changed))
    assert answer.status_code == 400
    assert words in str(answer.context["formset"].errors[0])
    assert words.split("“", maxsplit=1)[0] in answer.content.decode()
    assert not Alert.objects.exists()


def test_of_several_jobs_the_one_it_would_loosen_is_named(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    other = Job.objects.create(number="902", part={"en": "Cap"}, group=plant.job.group)
    given = {**SPECKS_LIMIT, "family": "black-specks", "zone": "A", "value": 0.1}
    publish_work_instruction(
        job=other, revision="A", day=TODAY, needs=plant.sheet.needs, lines=[parse_line(given)]
    )
    answer = office(quality).post(URL, line() | {"jobs": ["901", "902"]})
    assert "Job 902" in str(answer.context["formset"].errors[0])
    assert "up to 0.1 mm" in str(answer.context["formset"].errors[0])
    assert office(quality).post(URL, line()).status_code == 302


# ---------------------------------------------------------------- the list and the page


def test_the_list_and_the_page(
    office: SignIn, auditor: Person, alert: Alert, plant: SimpleNamespace
) -> None:
    client = office(auditor)
    assert url(alert) in client.get("/alerts/").content.decode()
    page = client.get(url(alert)).content.decode()
    for words in ("Brown edge.", "Complaint 88", "In force", "the limits stay", "/jobs/901/"):
        assert words in page
    assert url(alert, "withdraw/") not in page
    assert url(alert) in client.get("/jobs/901/").content.decode()


def test_a_list_without_any(office: SignIn, quality: Person, plant: SimpleNamespace) -> None:
    assert "No alert was raised yet" in office(quality).get("/alerts/").content.decode()


# ---------------------------------------------------------------- ending one early


def end(client: Client, alert: Alert, **changed: str) -> Any:
    given = {"last_day": "2026-11-26", "reason": "Tool repaired", "secret": PASSWORD}
    return client.post(url(alert, "withdraw/"), given | changed)


def test_it_ends_early_with_reason_and_signature(
    office: SignIn, quality: Person, alert: Alert, plant: SimpleNamespace
) -> None:
    client = office(quality)
    assert "goes into the sheet first" in client.get(url(alert, "withdraw/")).content.decode()
    assert end(client, alert)["Location"] == url(alert)
    alert.refresh_from_db()
    assert (alert.last_day, alert.to_day) == (TODAY + DAY, TODAY + 10 * DAY)
    assert signatures_of(alert).get().meaning == "withdrew an alert"
    assert list(alerts_in_force(TODAY + DAY)) == [plant.job.pk]
    assert alerts_in_force(TODAY + 2 * DAY) == {}
    facts = job_facts([plant.job])[plant.job.pk]
    assert [(each.span.first, each.span.last) for each in facts.alerts] == [(TODAY, TODAY + DAY)]
    page = client.get(url(alert)).content.decode()
    assert "Tool repaired" in page
    assert "26 Nov 2026" in page
    assert url(alert, "withdraw/") not in page
    assert state_of_alert(alert, TODAY + DAY) is PaperState.IN_FORCE
    assert state_of_alert(alert, TODAY + 2 * DAY) is PaperState.WITHDRAWN


def test_one_that_never_began_is_no_paper_to_read(
    quality: Person, alert: Alert, plant: SimpleNamespace
) -> None:
    alert.from_day = TODAY + 3 * DAY
    alert.save()
    ended = withdraw_alert(alert=alert, last_day=TODAY, reason="lot sent back", by=quality,
                           today=TODAY)  # fmt: skip
    assert state_of_alert(ended, TODAY) is PaperState.WITHDRAWN
    assert job_facts([plant.job])[plant.job.pk].alerts == ()
    assert alerts_in_force(TODAY + 3 * DAY) == {}


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"last_day": "2026-11-24"}, "last_day", "Give today or a later day"),
        ({"last_day": "2026-12-05"}, "last_day", "Give an earlier day"),
        ({"last_day": ""}, "last_day", "required"),
        ({"last_day": "soon"}, "last_day", "valid date"),
        ({"reason": ""}, "reason", "required"),
        ({"secret": "wrong"}, "secret", "Nothing was signed"),
    ],
)
def test_bad_input_ends_nothing(
    office: SignIn, quality: Person, alert: Alert, changed: dict[str, str], field: str, words: str
) -> None:
    answer = end(office(quality), alert, **changed)
    assert answer.status_code == 400
    assert words in str(answer.context["form"].errors[field])
    alert.refresh_from_db()
    assert alert.withdrawn_day is None


def test_it_ends_once(office: SignIn, quality: Person, alert: Alert) -> None:
    client = office(quality)
    end(client, alert)
    assert "has ended or was withdrawn already" in end(client, alert).content.decode()
    with pytest.raises(ValidationError, match="withdrawn already"):
        withdraw_alert(alert=alert, last_day=TODAY, reason="again", by=quality, today=TODAY)
    Alert.objects.update(withdrawn_day=None)
    with pytest.raises(ValidationError, match="has ended already"):
        withdraw_alert(
            alert=alert, last_day=TODAY, reason="late", by=quality, today=TODAY + 11 * DAY
        )


# ---------------------------------------------------------------- who may, and the rest


def test_who_may(
    office: SignIn, floor: SignIn, supervisor: Person, trainer: Person, quality: Person,
    alert: Alert,
) -> None:  # fmt: skip
    for person in (supervisor, trainer):
        assert office(person).get("/alerts/").status_code == 200
        assert office(person).get(url(alert)).status_code == 200
        assert end(office(person), alert).status_code == 403
    assert floor(quality).get(url(alert)).status_code == 403
    alert.refresh_from_db()
    assert alert.withdrawn_day is None


@pytest.mark.parametrize("step", ["", "withdraw/"])
def test_wrong_method_and_unknown(office: SignIn, quality: Person, alert: Alert, step: str) -> None:
    assert office(quality).delete(url(alert, step)).status_code == 405
    assert office(quality).get(f"/alerts/{uuid.UUID(int=9)}/{step}").status_code == 404
    assert office(quality).put("/alerts/").status_code == 405


def test_a_long_list_asks_no_more_questions(
    office: SignIn,
    quality: Person,
    alert: Alert,
    django_assert_max_num_queries: Callable[..., Any],
) -> None:
    jobs = list(alert.jobs.all())
    for number in range(2, 9):
        alert.pk, alert.number = uuid.uuid4(), f"A-{number:02d}"
        alert.save(force_insert=True)
        alert.jobs.set(jobs)
    client = office(quality)
    for address in ("/alerts/", url(alert)):
        with django_assert_max_num_queries(11):
            assert client.get(address).status_code == 200
