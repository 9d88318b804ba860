"""Signing in and out, on the floor and at the office, and changing one's own secret."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from training.people.devices import device_of
from training.people.forms import (
    ChangePasswordForm,
    ChangePinForm,
    FloorSignInForm,
    OfficeSignInForm,
)
from training.people.models import Person
from training.people.services import change_pin as change_pin_service
from training.people.sessions import FLOOR, OFFICE, ROOM_KEY, is_floor_session, signed_in_person
from training.people.slowdown import seconds_to_wait

get_or_post = require_http_methods(["GET", "POST"])


@never_cache
@sensitive_post_parameters("pin")
@get_or_post
def floor_sign_in(request: HttpRequest) -> HttpResponse:
    """Badge and PIN, on an enrolled device only."""
    form = FloorSignInForm(request.POST or None)
    device = device_of(request)
    if device is None:
        return _floor_page(request, form, status=403 if request.method == "POST" else 200)
    if request.method == "POST" and form.is_valid():
        wait = seconds_to_wait(request, moment=timezone.now())
        if wait:
            form.add_error(None, _("Too many tries on this device. Wait %(s)d s.") % {"s": wait})
            return _floor_page(request, form, status=429)
        person = authenticate(
            request, badge=form.cleaned_data["badge"].strip(), pin=form.cleaned_data["pin"]
        )
        if isinstance(person, Person):
            return _enter(request, person, FLOOR, "training.people.backends.FloorBackend")
        form.add_error(None, _("Badge and PIN do not belong together."))
        return _floor_page(request, form, status=400)
    return _floor_page(request, form, status=400 if request.method == "POST" else 200)


@never_cache
@sensitive_post_parameters("password")
@get_or_post
def office_sign_in(request: HttpRequest) -> HttpResponse:
    """Personnel number and password."""
    form = OfficeSignInForm(request.POST or None)
    status = 200
    if request.method == "POST":
        status = 400
        if form.is_valid():
            person = authenticate(request, **form.cleaned_data)
            if isinstance(person, Person):
                return _enter(request, person, OFFICE, "training.people.backends.OfficeBackend")
            form.add_error(None, _("Personnel number and password do not belong together."))
    return render(request, "people/office_sign_in.html", {"form": form}, status=status)


def locked_out(
    request: HttpRequest, response: HttpResponseBase | None = None, credentials: object = None
) -> HttpResponse:
    """The page that somebody gets whose badge or number is locked on this device."""
    minutes = int(settings.AXES_COOLOFF_TIME.total_seconds() // 60)
    context = {"minutes": minutes, "floor": device_of(request) is not None}
    return render(request, "people/locked_out.html", context, status=403)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    page = "floor" if is_floor_session(request) else "office"
    logout(request)
    return redirect(f"people:{page}_sign_in")


@never_cache
@sensitive_post_parameters()
@get_or_post
def change_pin(request: HttpRequest) -> HttpResponse:
    """Replace the PIN; whoever has an initial one gets here first."""
    person = signed_in_person(request)
    form = ChangePinForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            change_pin_service(
                person=person, old=form.cleaned_data["old_pin"], new=form.cleaned_data["new_pin"]
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, _("Your PIN is changed."))
            return redirect(settings.LOGIN_REDIRECT_URL)
    status = 400 if request.method == "POST" else 200
    return render(request, "people/change_pin.html", {"form": form}, status=status)


@never_cache
@sensitive_post_parameters()
@get_or_post
def change_password(request: HttpRequest) -> HttpResponse:
    person = signed_in_person(request)
    form = ChangePasswordForm(person, request.POST or None)
    if request.method == "POST" and form.is_valid():
        person.set_password(form.cleaned_data["new"])
        person.password_is_initial = False
        person.save(update_fields=["password", "password_is_initial"])
        update_session_auth_hash(request, person)
        messages.success(request, _("Your password is changed."))
        return redirect(settings.LOGIN_REDIRECT_URL)
    status = 400 if request.method == "POST" else 200
    return render(request, "people/change_password.html", {"form": form}, status=status)


def _floor_page(request: HttpRequest, form: FloorSignInForm, *, status: int) -> HttpResponse:
    context = {"form": form, "device": device_of(request), "next": request.GET.get("next", "")}
    return render(request, "floor/sign_in.html", context, status=status)


def _enter(request: HttpRequest, person: Person, room: str, backend: str) -> HttpResponse:
    login(request, person, backend=backend)
    request.session[ROOM_KEY] = room
    if room == FLOOR:
        request.session.set_expiry(settings.FLOOR_SESSION_MINUTES * 60)
    wanted = request.POST.get("next") or request.GET.get("next", "")
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
    response = redirect(wanted if safe else reverse(settings.LOGIN_REDIRECT_URL))
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME, person.ui_language, samesite="Lax", max_age=400 * 86400
    )
    return response
