"""The demo command: it builds once, tells who can sign in, starts over only when told."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from media_demo.plant.bank import plan_bank
from media_demo.plant.build import calendar_of
from media_demo.plant.pictures import draw_bank, draw_first_pieces
from tests.conftest import NOON
from training.floor.models import FirstPiece
from training.people.models import Device, Person
from training.specimens.models import Frame, ReferenceDecision, Region, Specimen, View
from training.specimens.pictures.storage import path_of

pytestmark = pytest.mark.django_db


def demo(*arguments: str) -> str:
    out = StringIO()
    call_command("demo", "--no-serve", "--pictures", "none", *arguments, stdout=out)
    return out.getvalue()


def test_it_builds_once_and_tells_who_can_sign_in() -> None:
    said = demo()
    assert "52 of 53 sittings passed, 199 certificates" in said
    people = Person.objects.count()
    again = demo()
    assert "Loading" not in again
    assert Person.objects.count() == people
    assert Device.objects.count() == 1
    line = next(line for line in again.splitlines() if "Marta Oyelaran-Voss" in line)
    _office, _number, number, secret = line.split()[:4]
    signed_in = Client().post("/office/", {"username": number, "password": secret})
    assert signed_in.status_code == 302
    invitation = again.strip().rsplit("8000", 1)[1]
    assert Client().post(invitation).status_code == 302
    _check_starting_over()
    _check_pictures()


def _check_starting_over() -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("builtins.input", lambda _question: "no")
        with pytest.raises(CommandError, match="Nothing was deleted"):
            demo("--fresh")
    assert Person.objects.filter(personnel_no="1042").exists()


def _check_pictures() -> None:
    """Two specimens and no more, drawn for real: measured, outlined, decided, kept once."""
    planned = list(plan_bank())[:2]
    day = calendar_of(NOON).today
    kept = draw_bank(planned, day=day, now=lambda: NOON, progress=lambda _done, _all: None)
    assert kept == 2
    for specimen in Specimen.objects.filter(synthetic=True):
        views = View.objects.filter(specimen=specimen)
        assert views.filter(px_per_mm__gt=0).count() == 2
        assert Region.objects.filter(view__in=views).exists()
        decision = ReferenceDecision.objects.filter(specimen=specimen).first()
        assert decision is None or decision.basis == "measured"
    assert all(path_of(frame.file).stat().st_size > 10_000 for frame in Frame.objects.all())
    assert Frame.objects.filter(view__specimen__synthetic=True).count() == 4
    FirstPiece.objects.exclude(job__number="115").delete()
    assert draw_first_pieces(NOON, lambda _done, _all: None, tonight=False) == 1
    assert draw_first_pieces(NOON, lambda _done, _all: None, tonight=False) == 0


def test_another_plant_is_never_touched(operator: Person) -> None:
    with pytest.raises(CommandError, match="holds people already"):
        demo()
    with pytest.raises(CommandError, match="not the demo's"):
        demo("--fresh", "--yes")
    assert Person.objects.filter(pk=operator.pk).exists()


def test_there_is_nothing_to_draw_without_the_plant() -> None:
    with pytest.raises(CommandError, match="demo plant here"):
        call_command("draw_bank")
