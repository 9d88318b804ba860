"""Changing what is known of people: hiring, badges, secrets, roles, eye checks, devices."""

import datetime as dt
import secrets
from collections.abc import Iterable

from django.contrib.auth.models import Group
from django.core import signing
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from training.people import pins
from training.people.devices import token_hash
from training.people.models import (
    Authorisation,
    Badge,
    Crew,
    Device,
    Employment,
    Person,
    Role,
    VisionCheck,
)
from training.people.record.chain import append, erasable
from training.people.selectors import personal_numbers

INVITATION = "device invitation"
INVITATION_SECONDS = 3600


@transaction.atomic
def create_person(
    *,
    personnel_no: str,
    name: str,
    roles: Iterable[str],
    hired: dt.date,
    today: dt.date,
    crew: Crew | None = None,
    ui_language: str = "en",
    languages: Iterable[str] = (),
    contract: str = "permanent",
    badge: str = "",
    note: str = "",
    given_by: Person | None = None,
) -> Person:
    """Take somebody on: person, first stay, badge and roles. No secret is set yet."""
    if hired > today:
        raise ValidationError({"hired": _("The hire day lies in the future.")})
    person = Person(
        personnel_no=personnel_no,
        name=name,
        crew=crew,
        ui_language=ui_language,
        languages=list(languages) or [ui_language],
        agency=contract == "agency",
        note=note,
    )
    person.set_unusable_password()
    person.full_clean(exclude=["password"])
    person.save()
    Employment.objects.create(person=person, from_day=hired, contract=contract)
    if badge:
        give_badge(person=person, number=badge, from_day=hired)
    set_roles(person=person, roles=roles, given_by=given_by)
    return person


@transaction.atomic
def give_badge(
    *, person: Person, number: str, from_day: dt.date, to_day: dt.date | None = None
) -> Badge:
    """Give a badge number for some days; nobody else may hold it on any of them."""
    if to_day is not None and to_day < from_day:
        raise ValidationError({"badge": _("The badge's last day lies before its first day.")})
    clash = badge_clash(number=number, from_day=from_day, to_day=to_day)
    if clash is not None:
        raise ValidationError(
            {
                "badge": _("Badge %(number)s belongs to %(name)s on some of these days.")
                % {"number": number, "name": clash.person.name}
            }
        )
    badge = Badge(person=person, number=number, from_day=from_day, to_day=to_day)
    badge.full_clean()
    badge.save()
    return badge


def badge_clash(*, number: str, from_day: dt.date, to_day: dt.date | None) -> Badge | None:
    """Return a badge of this number that is held on one of these days, or None."""
    overlapping = Badge.objects.filter(
        Q(to_day=None) | Q(to_day__gte=from_day), number=number
    ).select_related("person")
    if to_day is not None:
        overlapping = overlapping.filter(from_day__lte=to_day)
    return overlapping.first()


# Which roles somebody of a role may give and take; whoever has several roles may do what each may.
GIVES = {
    Role.ADMINISTRATOR: frozenset(Role.values),
    Role.QUALITY: frozenset(Role.values) - {Role.ADMINISTRATOR},
    Role.TRAINER: frozenset({Role.OPERATOR}),
}


def roles_given_by(giver: Person) -> frozenset[str]:
    """Return the roles this person may give to others and take from them."""
    return frozenset().union(*(GIVES.get(Role(role), frozenset()) for role in giver.roles()))


def set_roles(*, person: Person, roles: Iterable[str], given_by: Person | None = None) -> None:
    """Replace the person's roles; an unknown role, or one the giver may not give, is refused."""
    wanted = set(roles)
    if given_by is not None:
        beyond = (wanted ^ person.roles()) - roles_given_by(given_by)
        if beyond:
            raise ValidationError(
                {
                    "roles": _("You cannot give or take: %(roles)s. Ask an administrator.")
                    % {"roles": ", ".join(sorted(beyond))}
                }
            )
    unknown = wanted - set(Role.values)
    if unknown:
        raise ValidationError(
            {
                "roles": _("There is no role %(role)s; roles are %(roles)s.")
                % {"role": ", ".join(sorted(unknown)), "roles": ", ".join(Role.values)}
            }
        )
    person.groups.set(Group.objects.filter(name__in=wanted))


def set_initial_pin(person: Person) -> str:
    """Set a random PIN to be told once and changed at the first sign-in; return it."""
    pin = pins.random_pin(personal_numbers(person))
    person.pin, person.pin_is_initial = pins.hashed(pin), True
    person.save(update_fields=["pin", "pin_is_initial"])
    return pin


def set_initial_password(person: Person) -> str:
    """Set a random password to be told once and changed at the first sign-in; return it."""
    letters = "abcdefghjkmnpqrstuvwxyz23456789"
    groups = ["".join(secrets.choice(letters) for _ in range(4)) for _ in range(4)]
    password = "-".join(groups)
    person.set_password(password)
    person.password_is_initial = True
    person.save(update_fields=["password", "password_is_initial"])
    return password


def change_pin(*, person: Person, old: str, new: str) -> None:
    """Replace the PIN by one of the person's own choice that is not obvious."""
    if not pins.matches(old, person.pin):
        raise ValidationError({"old_pin": _("The present PIN is not right.")})
    if len(new) != pins.DIGITS or not (new.isascii() and new.isdigit()):
        raise ValidationError({"new_pin": _("A PIN has six digits.")})
    if new == old:
        raise ValidationError({"new_pin": _("Choose a PIN that differs from the present one.")})
    if pins.is_obvious(new, personal_numbers(person)):
        raise ValidationError(
            {
                "new_pin": _(
                    "This PIN is easy to guess. Avoid rows, repeats, years and your numbers."
                )
            }
        )
    person.pin, person.pin_is_initial = pins.hashed(new), False
    person.save(update_fields=["pin", "pin_is_initial"])


def record_vision_check(
    *,
    person: Person,
    kind: str,
    day: dt.date,
    result: str,
    due_day: dt.date | None,
    recorded_by: Person | None,
    moment: dt.datetime,
) -> VisionCheck:
    """Write an eye check; only its days are hashed in clear, the result can be erased."""
    if result not in VisionCheck.Result.values:
        raise ValidationError({"result": _("This is not a result of an eye check.")})
    if due_day is not None and due_day < day:
        raise ValidationError({"due_day": _("The next check cannot be due before this one.")})
    with transaction.atomic():
        check = VisionCheck(
            person=person,
            kind=kind,
            day=day,
            due_day=due_day,
            result=erasable(result),
            recorded_by=recorded_by,
        )
        append(check, moment=moment)
    return check


def record_authorisation(
    *,
    person: Person,
    kind: str,
    day: dt.date,
    given_by: Person | None,
    moment: dt.datetime,
    paper_ref: str = "",
) -> Authorisation:
    """Write that the site's authorised people have allowed this person to do something."""
    if kind not in Authorisation.Kind.values:
        raise ValidationError({"kind": _("There is no authorisation %(kind)s.") % {"kind": kind}})
    authorisation = Authorisation(
        person=person,
        kind=kind,
        day=day,
        given_by=given_by,
        paper_ref=paper_ref,
        recorded_by=given_by,
    )
    append(authorisation, moment=moment)
    return authorisation


def enrol_device(
    *, name: str, place: str, enrolled_by: Person, moment: dt.datetime
) -> tuple[Device, str]:
    """Enrol a device for the floor; return it and the token that its cookie will hold."""
    token = secrets.token_urlsafe(32)
    device = Device(
        name=name,
        place=place,
        token_hash=token_hash(token),
        enrolled_at=moment,
        enrolled_by=enrolled_by,
    )
    device.full_clean()
    device.save()
    return device, token


def invite_device(
    *, name: str, place: str, enrolled_by: Person, moment: dt.datetime
) -> tuple[Device, str]:
    """Enrol a device that is elsewhere; return it and the invitation to open on it.

    The invitation is good once and for an hour: joining replaces the token it was signed with.
    """
    device, _token = enrol_device(name=name, place=place, enrolled_by=enrolled_by, moment=moment)
    return device, invitation_for(device)


def invitation_for(device: Device) -> str:
    """Return an invitation to open on the device; until it is used, its present token stands."""
    return signing.dumps([str(device.pk), device.token_hash], salt=INVITATION)


def invited_device(invitation: str) -> Device:
    """Return the device an invitation is for; raise ValidationError if it is used up or too old."""
    try:
        pk, invited_hash = signing.loads(invitation, salt=INVITATION, max_age=INVITATION_SECONDS)
    except signing.BadSignature as error:
        raise ValidationError(_("This invitation is not valid, or older than an hour.")) from error
    device = Device.objects.filter(pk=pk, token_hash=invited_hash, withdrawn_at=None).first()
    if device is None:
        raise ValidationError(_("This invitation has been used. Ask for a new one."))
    return device


def join_device(device: Device) -> str:
    """Let the invited device in: give it a token of its own, which uses up the invitation."""
    token = secrets.token_urlsafe(32)
    device.token_hash = token_hash(token)
    device.save(update_fields=["token_hash"])
    return token


def withdraw_device(device: Device, *, moment: dt.datetime) -> None:
    """Take a device off the floor: whoever is signed in on it is out at the next page."""
    device.withdrawn_at = moment
    device.save(update_fields=["withdrawn_at"])
