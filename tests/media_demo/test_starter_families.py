"""The command that gives a new plant its families, lessons and cautions."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from training.floor.models import Caution, Family, LimitLine
from training.lessons.models import LessonRevision

pytestmark = pytest.mark.django_db


def test_it_brings_families_lessons_and_cautions_without_limits() -> None:
    out = StringIO()
    call_command("starter_families", stdout=out)
    assert "26 families and 26 lessons" in out.getvalue()
    assert Family.objects.count() == LessonRevision.objects.count() == 26
    assert Caution.objects.count() == 11
    assert not LimitLine.objects.exists()


def test_limits_come_only_when_asked_for() -> None:
    call_command("starter_families", "--limits", stdout=StringIO())
    assert LimitLine.objects.count() == 114


def test_it_never_runs_twice() -> None:
    call_command("starter_families", stdout=StringIO())
    with pytest.raises(CommandError, match="already"):
        call_command("starter_families", stdout=StringIO())
