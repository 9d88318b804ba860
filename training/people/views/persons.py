"""The pages about people: the list, one person, taking somebody on, a new PIN."""

from collections import Counter

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from training.people.forms import PersonForm
from training.people.models import Person, Role
from training.people.selectors import Whom, badges_of, list_people, person_facts, whom_of
from training.people.services import (
    create_person,
    set_initial_password,
    set_initial_pin,
    set_roles,
)
from training.people.sessions import signed_in_person
from training.people.views.sign_in import get_or_post

PAGE = 50


@require_safe
def person_list(request: HttpRequest) -> HttpResponse:
    """The people of today, with what is overdue first; those who left, or all; a search finds all."""
    today = timezone.localdate()
    query, crew = request.GET.get("q", "").strip(), request.GET.get("crew", "")
    found = list_people(today=today, query=query, crew=crew)
    asked = request.GET.get("show", "")
    # Whoever looks for a name may not know that the person has left.
    shown = Whom(asked) if asked in set(Whom) else Whom.ALL if query else Whom.HERE
    counts = Counter(whom_of(row) for row in found) + Counter({Whom.ALL: len(found)})
    rows = [row for row in found if shown in (Whom.ALL, whom_of(row))]
    context = {
        "page": Paginator(rows, PAGE).get_page(request.GET.get("page")),
        "query": query,
        "crew": crew,
        "today": today,
        "total": len(rows),
        "found": len(found),
        "choices": [
            (whom, word, counts[whom], whom is shown) for whom, word in _whom_words().items()
        ],
    }
    return render(request, "people/person_list.html", context)


def _whom_words() -> dict[Whom, str]:
    return {Whom.HERE: _("employed"), Whom.LEFT: _("left the plant"), Whom.ALL: _("everybody")}


@require_safe
def person_detail(request: HttpRequest, personnel_no: str) -> HttpResponse:
    person = get_object_or_404(Person.objects.select_related("crew"), personnel_no=personnel_no)
    context = {
        "person": person,
        "facts": person_facts(person, today=timezone.localdate()),
        "badges": badges_of(person),
    }
    return render(request, "people/person_detail.html", context)


@never_cache
@get_or_post
def person_add(request: HttpRequest) -> HttpResponse:
    """Take somebody on and show the initial PIN once."""
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            with transaction.atomic():
                person = create_person(
                    personnel_no=given["personnel_no"],
                    name=given["name"],
                    roles=given["roles"],
                    hired=given["hired"],
                    today=timezone.localdate(),
                    crew=given["crew"],
                    ui_language=given["ui_language"],
                    contract=given["contract"],
                    badge=given["badge"],
                    note=given["note"],
                    given_by=signed_in_person(request),
                )
                pin = set_initial_pin(person)
        except ValidationError as error:
            form.add_error(None, error) if not hasattr(error, "error_dict") else _spread(
                form, error
            )
        else:
            return render(request, "people/pin_once.html", {"person": person, "pin": pin})
    status = 400 if request.method == "POST" else 200
    return render(request, "people/person_form.html", {"form": form}, status=status)


@get_or_post
def person_edit(request: HttpRequest, personnel_no: str) -> HttpResponse:
    person = get_object_or_404(Person, personnel_no=personnel_no)
    initial = {
        "roles": sorted(person.roles()),
        "contract": "agency" if person.agency else "permanent",
    }
    form = PersonForm(request.POST or None, instance=person, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                set_roles(
                    person=person,
                    roles=form.cleaned_data["roles"],
                    given_by=signed_in_person(request),
                )
                changed = form.save(commit=False)
                changed.agency = form.cleaned_data["contract"] == "agency"
                changed.save()
        except ValidationError as error:
            _spread(form, error)
        else:
            messages.success(request, _("Saved."))
            return redirect("people:person_detail", personnel_no)
    status = 400 if request.method == "POST" else 200
    context = {"form": form, "person": person}
    return render(request, "people/person_form.html", context, status=status)


@never_cache
@require_POST
def pin_reset(request: HttpRequest, personnel_no: str) -> HttpResponse:
    """Give a new initial PIN and show it once; the old one stops at once."""
    person = get_object_or_404(Person, personnel_no=personnel_no)
    return render(
        request, "people/pin_once.html", {"person": person, "pin": set_initial_pin(person)}
    )


@never_cache
@require_POST
def password_reset(request: HttpRequest, personnel_no: str) -> HttpResponse:
    """Give a new initial password for the office and show it once."""
    person = get_object_or_404(Person, personnel_no=personnel_no)
    if Role.ADMINISTRATOR in person.roles() - signed_in_person(request).roles():
        raise PermissionDenied(_("Only an administrator gives an administrator a password."))
    context = {"person": person, "password": set_initial_password(person)}
    return render(request, "people/pin_once.html", context)


def _spread(form: PersonForm, error: ValidationError) -> None:
    """Put what a service refused beside the fields it names."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for field, problems in error.error_dict.items():
        form.add_error(field if field in form.fields else None, problems)
