"""One step with a paper of the floor, signed: the secret first, then step and signature together."""

import datetime as dt
from collections.abc import Callable
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.http import HttpRequest

from training.people.forms import SignatureFields
from training.people.signing import confirm_secret, sign_request

M = TypeVar("M", bound=models.Model)


def signed_step(
    request: HttpRequest,
    form: SignatureFields,
    step: Callable[[], M],
    *,
    meaning: str,
    moment: dt.datetime,
) -> M | None:
    """Take the step and write its signature, both or neither; None with the problems in the form."""
    try:
        # Outside the transaction: a wrong secret is counted even though nothing is written.
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            paper = step()
            sign_request(request, meaning=meaning, subject=paper, method=method, moment=moment)
    except ValidationError as error:
        spread(form, error)
        return None
    return paper


def spread(form: SignatureFields, error: ValidationError) -> None:
    """Put each problem beside its field, those of no field of the form above it."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for name, problems in error.error_dict.items():
        form.add_error(name if name in form.fields else None, problems)
