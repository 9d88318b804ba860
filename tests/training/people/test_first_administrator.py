"""The command that makes the first person who can sign in."""

import io
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from training.people.models import Person

pytestmark = pytest.mark.django_db


def make(monkeypatch: pytest.MonkeyPatch, password: str) -> str:
    monkeypatch.setattr("sys.stdin", io.StringIO(password + "\n"))
    out = StringIO()
    call_command("first_administrator", "1", "Ana Uno", "--password-from-stdin", stdout=out)
    return out.getvalue()


def test_it_can_sign_in(monkeypatch: pytest.MonkeyPatch, client: Client) -> None:
    assert "signs in at /office/ with 1" in make(monkeypatch, "a quiet grey bench")
    response = client.post("/office/", {"username": "1", "password": "a quiet grey bench"})
    assert response.status_code == 302
    assert Person.objects.get().roles() == {"administrator", "quality"}


def test_a_weak_password_leaves_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CommandError, match="too short"):
        make(monkeypatch, "short")
    assert not Person.objects.exists()


def test_there_is_only_one_first(monkeypatch: pytest.MonkeyPatch) -> None:
    make(monkeypatch, "a quiet grey bench")
    with pytest.raises(CommandError, match="already"):
        make(monkeypatch, "a quiet grey bench")
