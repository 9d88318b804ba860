"""What every page knows: its rooms, who looks at it, and from what kind of device."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from certification.site.routes import ROOMS, may_open
from training.people.devices import device_of
from training.people.models import Role
from training.people.sessions import is_floor_session
from training.people.texts import in_language

ROOM_NAMES = {
    "site:my_work": _("My work"),
    "lessons:lesson_list": _("Learn"),
    "quizzes:practice_list": _("Practise"),
    "quizzes:open_qualification": _("Open an exam"),
    "quizzes:sitting_list": _("Sittings"),
    "quizzes:plan_list": _("Exam plans"),
    "matrix:matrix": pgettext_lazy("room", "Matrix"),
    "people:person_list": _("People"),
    "people:device_list": _("Devices"),
    "staffing:press_check": _("Press check"),
    "floor:job_list": _("Jobs"),
    "certificates:waiting": _("To decide"),
    "specimens:specimen_list": _("Specimens"),
}

# What may be carried over from sheets, in the order it is done.
IMPORT_NAMES = {
    "people:import_people": _("People"),
    "floor:import_jobs": _("Jobs"),
    "certificates:import_certificates": _("Certificates"),
    "certificates:import_observed_checks": _("Observed checks"),
    "quizzes:study_import": _("Agreement studies"),
}


@dataclass(frozen=True)
class Room:
    label: str
    url: str
    current: bool


def page(request: HttpRequest) -> dict[str, Any]:
    """Return the rooms of the person's roles, most important role first, and the moment shown."""
    user = getattr(request, "user", None)
    roles = user.roles() if user is not None and user.is_authenticated else frozenset()
    on_floor = is_floor_session(request)
    names: list[str] = []
    for role in role_order(roles):
        names.extend(name for name in ROOMS[role] if name not in names)
    rooms = [
        Room(str(ROOM_NAMES[name]), reverse(name), _is_current(request, name))
        for name in names
        if may_open(name, roles, on_floor=on_floor)
    ]
    return {
        "rooms": rooms,
        "imports": _imports(request, roles, on_floor=on_floor),
        "on_floor": on_floor,
        "device": device_of(request),
        "roles": roles,
        "now": timezone.now(),
        "home_url": reverse("site:start"),
        "sign_out_url": reverse("people:sign_out"),
        "who_note": _who_note(user, roles),
    }


def _imports(request: HttpRequest, roles: frozenset[str], *, on_floor: bool) -> list[Room]:
    """Return the imports, side by side, on a page of one of them; elsewhere none."""
    if not any(_is_current(request, name) for name in IMPORT_NAMES):
        return []
    return [
        Room(str(label), reverse(name), _is_current(request, name))
        for name, label in IMPORT_NAMES.items()
        if may_open(name, roles, on_floor=on_floor)
    ]


def _who_note(user: Any, roles: frozenset[str]) -> str:
    crew = getattr(user, "crew", None)
    if crew is not None:
        return in_language(crew.name, get_language() or "en")
    return ", ".join(str(Role(role).label) for role in role_order(roles)[:1])


def role_order(roles: frozenset[str]) -> list[str]:
    order = [
        Role.QUALITY,
        Role.SUPERVISOR,
        Role.TRAINER,
        Role.ADMINISTRATOR,
        Role.AUDITOR,
        Role.OPERATOR,
    ]
    return [role for role in order if role in roles]


def _is_current(request: HttpRequest, name: str) -> bool:
    match = request.resolver_match
    return match is not None and match.view_name == name
