"""Enrolled devices: how a tablet is known again, and what its locks are counted by."""

import hashlib
import hmac
import ipaddress
from typing import Any

from django.http import HttpRequest

from training.people.models import Device

COOKIE = "device"
COOKIE_AGE = 400 * 24 * 3600


def token_hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def device_by_token(token: str) -> Device | None:
    """Return the enrolled device with this token, or None. Costs one query."""
    if not token:
        return None
    wanted = token_hash(token)
    device = Device.objects.filter(token_hash=wanted, withdrawn_at=None).first()
    return device if device and hmac.compare_digest(device.token_hash, wanted) else None


def device_of(request: HttpRequest) -> Device | None:
    """Return the device this request comes from, looked up once a request."""
    if not hasattr(request, "enrolled_device"):
        request.enrolled_device = device_by_token(  # type: ignore[attr-defined]
            request.COOKIES.get(COOKIE, "")
        )
    device: Device | None = request.enrolled_device  # type: ignore[attr-defined]
    return device


def lock_address(request: HttpRequest) -> str:
    """Return the address that sign-in failures are counted by: a device's own, not the network's.

    Tablets of a plant often share one address, so a lock by network address would lock the whole
    floor. An enrolled device is given a private address (RFC 4193) made from its identifier.
    """
    device = device_of(request)
    if device is not None:
        return str(ipaddress.IPv6Address(b"\xfd" + device.id.bytes[:15]))
    return str(request.META.get("REMOTE_ADDR") or "0.0.0.0")  # noqa: S104 - no socket is opened


def lock_name(request: HttpRequest | None, credentials: dict[str, Any] | None) -> str | None:
    """Return the name that failures are counted by: the badge, or the personnel number."""
    given = credentials or {}
    name = given.get("badge") or given.get("username") or given.get("personnel_no")
    if name is None and request is not None:
        name = request.POST.get("badge") or request.POST.get("username")
    return str(name) if name else None
