"""How somebody proves who they are: password at the office, badge and PIN on the floor."""

from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.http import HttpRequest
from django.utils import timezone

from training.people import pins
from training.people.models import Badge, Person
from training.people.selectors import is_employed


class OfficeBackend(ModelBackend):
    """Personnel number and password; the person must be employed today."""

    def user_can_authenticate(self, user: Any) -> bool:
        return super().user_can_authenticate(user) and is_employed(user, timezone.localdate())


class FloorBackend(ModelBackend):
    """Badge and PIN; an unknown badge gets the same answer after the same time."""

    def authenticate(  # type: ignore[override]
        self,
        request: HttpRequest | None,
        badge: str | None = None,
        pin: str | None = None,
        **kwargs: Any,
    ) -> Person | None:
        if not badge or not pin:
            return None
        today = timezone.localdate()
        held = Badge.objects.on(today).filter(number=badge).select_related("person").first()
        person = held.person if held else None
        if person is None or not person.pin:
            pins.spend_the_same_time(pin)
            return None
        known = pins.matches(pin, person.pin)
        allowed = person.is_active and is_employed(person, today)
        return person if known and allowed else None
