"""The pages that carry certificates and observed checks over from paper."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache

from certification.certificates.importing import CERTIFICATES
from certification.certificates.importing_checks import OBSERVED_CHECKS
from training.people.views.importing import import_page
from training.people.views.sign_in import get_or_post


@never_cache
@get_or_post
def import_certificates(request: HttpRequest) -> HttpResponse:
    return import_page(request, CERTIFICATES)


@never_cache
@get_or_post
def import_observed_checks(request: HttpRequest) -> HttpResponse:
    return import_page(request, OBSERVED_CHECKS)
