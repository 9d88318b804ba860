"""Devices of the floor: enrolling the one in hand, and withdrawing any."""

import segno
from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from training.people.devices import COOKIE, COOKIE_AGE, device_of
from training.people.forms import DeviceForm
from training.people.models import Device
from training.people.services import (
    enrol_device,
    invite_device,
    invited_device,
    join_device,
    withdraw_device,
)
from training.people.sessions import signed_in_person
from training.people.views.sign_in import get_or_post


@require_safe
def device_list(request: HttpRequest) -> HttpResponse:
    devices = Device.objects.select_related("enrolled_by").order_by("withdrawn_at", "name")
    return render(
        request, "people/device_list.html", {"devices": devices, "this_device": device_of(request)}
    )


@get_or_post
def device_enrol(request: HttpRequest) -> HttpResponse:
    """Enrol the very device this page is opened on: its cookie will hold the token."""
    form = DeviceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        device, token = enrol_device(
            name=form.cleaned_data["name"],
            place=form.cleaned_data["place"],
            enrolled_by=signed_in_person(request),
            moment=timezone.now(),
        )
        messages.success(
            request,
            _("%(device)s is enrolled. Sign out, then sign in with badge and PIN.")
            % {"device": device},
        )
        return _with_token(redirect("people:device_list"), token)
    status = 400 if request.method == "POST" else 200
    return render(request, "people/device_form.html", {"form": form}, status=status)


@require_POST
def device_invite(request: HttpRequest) -> HttpResponse:
    """Make an invitation to open on a device that is elsewhere, shown as a code to scan."""
    form = DeviceForm(request.POST)
    if not form.is_valid():
        return render(request, "people/device_form.html", {"form": form}, status=400)
    device, invitation = invite_device(
        name=form.cleaned_data["name"],
        place=form.cleaned_data["place"],
        enrolled_by=signed_in_person(request),
        moment=timezone.now(),
    )
    address = request.build_absolute_uri(reverse("people:device_join", args=[invitation]))
    context = {"device": device, "address": address, "code": _scan_code(address)}
    return render(request, "people/device_invitation.html", context)


@never_cache
@get_or_post
def device_join(request: HttpRequest, invitation: str) -> HttpResponse:
    """Opened on the invited device: one press of a button and it belongs to the floor."""
    try:
        device = invited_device(invitation)
    except ValidationError as error:
        return render(request, "people/device_join.html", {"error": error.messages[0]}, status=410)
    if request.method == "POST":
        return _with_token(redirect("people:floor_sign_in"), join_device(device))
    return render(request, "people/device_join.html", {"joining": device})


def _with_token(response: HttpResponse, token: str) -> HttpResponse:
    response.set_cookie(
        COOKIE,
        token,
        max_age=COOKIE_AGE,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )
    return response


def _scan_code(address: str) -> str:
    code: str = segno.make(address, error="m").svg_inline(scale=4, dark="#000", light="#fff")
    return code


@require_POST
def device_withdraw(request: HttpRequest, pk: str) -> HttpResponse:
    device = get_object_or_404(Device, pk=pk, withdrawn_at=None)
    withdraw_device(device, moment=timezone.now())
    messages.success(request, _("%(device)s is off the floor.") % {"device": device})
    return redirect("people:device_list")
