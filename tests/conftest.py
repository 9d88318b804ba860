"""The cast and the small plant that the tests share."""

import datetime as dt
import os
import random
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import hypothesis
import pytest
from django.contrib.auth.models import Group
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.signals import connection_created
from django.test import Client
from django.utils.translation import override

from tests.chromium import chromium
from training.floor.models import (
    Family,
    FamilyGroup,
    Job,
    JobGroup,
    LimitLine,
    Press,
    WorkInstruction,
)
from training.people import pins
from training.people.devices import COOKIE, token_hash
from training.people.models import Badge, Crew, Device, Employment, Person, Role

__all__ = ["chromium"]

# Where a change is decided about, the same examples are tried every time; at a desk new ones are.
# A busy machine is no fault of the code, so no example has a deadline.
hypothesis.settings.register_profile("site", deadline=None, derandomize=bool(os.environ.get("CI")))
hypothesis.settings.load_profile("site")

TODAY = dt.date(2026, 11, 25)
NOON = dt.datetime(2026, 11, 25, 12, 0, tzinfo=dt.UTC)
PIN = "480263"
PASSWORD = "a quiet grey bench"
DEVICE_TOKEN = "token-of-the-bench-tablet"


@pytest.fixture(autouse=True)
def _own_folders(settings: SimpleNamespace, tmp_path: Path) -> None:
    """Pictures, sheets being imported and the record's key never touch those of a real site."""
    settings.DATA_DIR = tmp_path
    settings.PICTURE_DIR = tmp_path / "pictures"
    settings.RECORD_KEY_FILE = str(tmp_path / "record-key.pem")


def _draw_from(name: str, patch: pytest.MonkeyPatch) -> None:
    source = random.Random(f"{name} {os.environ.get('CHANCE', '')}")
    patch.setattr(os, "urandom", source.randbytes)
    # SystemRandom, and with it secrets, took the function by name.
    patch.setattr(random, "_urandom", source.randbytes)


@pytest.fixture(autouse=True, scope="module")
def _chance_of_the_module(request: pytest.FixtureRequest) -> Iterator[None]:
    """Draw what a fixture makes for a whole module from the module's name; see `_chance`."""
    with pytest.MonkeyPatch.context() as patch:
        _draw_from(request.node.nodeid, patch)
        yield


@pytest.fixture(autouse=True)
def _chance(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Draw identifiers, seeds and salts from the test's own name, so that a failure comes again.

    The order of an exam rests on them. CHANCE=2 gives every test others, and has SQLite answer in
    reverse whatever was not asked for in an order: what holds by luck is found by running with it.
    """
    _draw_from(request.node.nodeid, monkeypatch)


def _reverse_unordered(connection: BaseDatabaseWrapper, **_: object) -> None:
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA reverse_unordered_selects = 1")


if os.environ.get("CHANCE"):
    connection_created.connect(_reverse_unordered)


@pytest.fixture(autouse=True)
def _english() -> Iterator[None]:
    """Start in English, whatever language the last request of another test asked for."""
    with override("en"):
        yield


@pytest.fixture
def clock() -> Iterator[None]:
    """Stop the clock at noon of the tests' day."""
    import time_machine

    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def crew(db: None) -> Crew:
    return Crew.objects.create(
        code="D", name={"en": "Days", "es": "Mañana"}, starts=dt.time(6), ends=dt.time(14)
    )


@pytest.fixture
def make_person(crew: Crew) -> Callable[..., Person]:
    """Make a person with a role, a badge, a PIN and a password, employed since 2020."""
    made = 0

    def make(
        name: str, *roles: str, hired: dt.date = dt.date(2020, 1, 1), **fields: object
    ) -> Person:
        nonlocal made
        made += 1
        person = Person(personnel_no=f"{9000 + made}", name=name, crew=crew, **fields)
        person.set_password(PASSWORD)
        person.pin, person.pin_is_initial = pins.hashed(PIN), False
        person.save()
        Employment.objects.create(person=person, from_day=hired)
        Badge.objects.create(number=f"{70000 + made}", person=person, from_day=hired)
        for role in roles:
            person.groups.add(Group.objects.get(name=role))
        return person

    return make


@pytest.fixture
def new_hire(make_person: Callable[..., Person]) -> Person:
    return make_person("Nadia Newhire", Role.OPERATOR, hired=TODAY - dt.timedelta(days=3))


@pytest.fixture
def operator(make_person: Callable[..., Person]) -> Person:
    return make_person("Otto Operator", Role.OPERATOR)


@pytest.fixture
def trainer(make_person: Callable[..., Person]) -> Person:
    return make_person("Tessa Trainer", Role.OPERATOR, Role.TRAINER)


@pytest.fixture
def supervisor(make_person: Callable[..., Person]) -> Person:
    return make_person("Sven Supervisor", Role.SUPERVISOR)


@pytest.fixture
def quality(make_person: Callable[..., Person]) -> Person:
    return make_person("Quentin Quality", Role.QUALITY)


@pytest.fixture
def auditor(make_person: Callable[..., Person]) -> Person:
    return make_person("Audrey Auditor", Role.AUDITOR)


@pytest.fixture
def administrator(make_person: Callable[..., Person]) -> Person:
    return make_person("Ada Administrator", Role.ADMINISTRATOR)


@pytest.fixture
def device(administrator: Person) -> Device:
    return Device.objects.create(
        name="Tablet 1",
        place="Training room",
        token_hash=token_hash(DEVICE_TOKEN),
        enrolled_at=NOON - dt.timedelta(days=30),
        enrolled_by=administrator,
    )


@pytest.fixture
def office() -> Callable[[Person], Client]:
    """Sign a person in at the office and return the client."""

    def sign_in(person: Person) -> Client:
        client = Client()
        client.force_login(person, backend="training.people.backends.OfficeBackend")
        return client

    return sign_in


@pytest.fixture
def floor(device: Device) -> Callable[[Person], Client]:
    """Sign a person in on the enrolled tablet and return the client."""

    def sign_in(person: Person) -> Client:
        client = Client()
        client.cookies[COOKIE] = DEVICE_TOKEN
        client.force_login(person, backend="training.people.backends.FloorBackend")
        session = client.session
        session["signed_in_at"] = "floor"
        session.save()
        return client

    return sign_in


@pytest.fixture
def plant(db: None) -> SimpleNamespace:
    """A press, a job with one sheet, and three families of the group of spots."""
    spots = FamilyGroup.objects.create(code="spots", name={"en": "Spots", "es": "Puntos"})
    specks, burn, grease = (
        Family.objects.create(
            slug=slug,
            name={"en": en, "es": es},
            group=spots,
            position=position,
            judged_by={"default": "eye", "by_zone": {}},
            tested_with=["pictures"],
            place={"kind": "localised", "tolerance_mm": 6, "tolerance_px_min": 40},
        )
        for position, (slug, en, es) in enumerate(
            [
                ("black-specks", "Black specks", "Puntos negros"),
                ("burn", "Burn mark", "Quemadura"),
                ("grease-oil", "Grease or oil stain", "Mancha de grasa"),
            ]
        )
    )
    press = Press.objects.create(code="P01", clamp_tonnes=90, cell="A")
    job = Job.objects.create(
        number="901",
        part={"en": "Bench cover", "es": "Cubierta de banco"},
        group=JobGroup.objects.create(code="G90"),
        press=press,
        zones={"A": {"en": "front", "es": "frente"}},
    )
    sheet = WorkInstruction.objects.create(
        job=job,
        revision="A",
        day=dt.date(2026, 1, 5),
        steps={"en": ["Look at the front."], "es": ["Mire el frente."]},
        needs={"black-specks": "ordinary", "burn": "ordinary", "grease-oil": "ordinary"},
    )
    _limit(sheet, specks, SPECKS_LIMIT)
    for position, family in enumerate((burn, grease), start=1):
        measure = {"measure": "none", "judged_by": "eye", "level": "ordinary"}
        _limit(sheet, family, measure, position)
    return SimpleNamespace(
        spots=spots, specks=specks, burn=burn, grease=grease, press=press, job=job, sheet=sheet
    )


SPECKS_LIMIT = {
    "measure": "count_at_most",
    "feature": {"en": "mean size", "es": "tamaño medio"},
    "value": 0.3,
    "unit": "mm",
    "count": 1,
    "per_area_cm2": 100,
    "judged_by": "eye",
    "level": "ordinary",
}


def _limit(
    sheet: WorkInstruction, family: Family, measure: dict[str, object], position: int = 0
) -> None:
    LimitLine.objects.create(
        work_instruction=sheet, family=family, zone="A", measure=measure, position=position
    )
