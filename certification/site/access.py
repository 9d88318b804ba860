"""The middleware that asks the route table before any view runs."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from certification.site.routes import ROUTES, may_open
from training.people.devices import device_of
from training.people.sessions import is_floor_session

# Where somebody who must first change an initial secret may still go.
BEFORE_CHANGE = ("people:change_pin", "people:change_password", "people:sign_out", "set_language")


class RouteAccessMiddleware:
    """Refuse what the table does not allow; send the unsigned to the right sign-in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, kwargs: Any
    ) -> HttpResponse | None:
        match = request.resolver_match
        name = match.view_name if match else ""
        route = ROUTES.get(name)
        if route is not None and route.public:
            return None
        if not request.user.is_authenticated:
            return _to_sign_in(request)
        on_floor = is_floor_session(request)
        if on_floor and device_of(request) is None:
            logout(request)
            messages.error(request, _("This device is no longer enrolled for the floor."))
            return redirect("people:floor_sign_in")
        if not may_open(name, request.user.roles(), on_floor=on_floor):
            raise PermissionDenied(
                _("From a floor device this page is closed. Sign in at the office.")
                if on_floor and route is not None
                else _("Your role does not open this page.")
            )
        if name not in BEFORE_CHANGE:
            if on_floor and request.user.pin_is_initial:
                return redirect("people:change_pin")
            if not on_floor and request.user.password_is_initial:
                return redirect("people:change_password")
        return None


def _to_sign_in(request: HttpRequest) -> HttpResponse:
    page = "floor" if device_of(request) is not None else "office"
    return redirect_to_login(request.get_full_path(), reverse(f"people:{page}_sign_in"))
