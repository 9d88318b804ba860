"""Moving a running exam to the tablet that asks for it."""

import uuid

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from training.people.devices import device_of
from training.people.forms import SignatureFields
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret
from training.quizzes.models import Sitting
from training.quizzes.services.moving import move_exam


@sensitive_post_parameters("secret")
@require_POST
def move(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Let an exam go on on this tablet; say what is wrong, or that it is done."""
    sitting = get_object_or_404(Sitting.objects.select_related("person"), pk=pk)
    device, moment = device_of(request), timezone.now()
    if device is None:
        raise PermissionDenied(_("An exam is moved from the tablet it is to go on on."))
    form = SignatureFields(request.POST)
    try:
        if not form.is_valid():
            raise ValidationError(_("Sign with your password or PIN."))
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
        move_exam(
            sitting=sitting,
            device=device,
            invigilator=signed_in_person(request),
            signature_method=method,
            moment=moment,
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, _("The exam goes on on %(device)s.") % {"device": device.name})
    return redirect("quizzes:opened", pk=sitting.pk)
