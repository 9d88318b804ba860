"""The addresses of the site: each app's own, under words of the trade."""

from django.urls import include, path
from django.views.i18n import set_language

urlpatterns = [
    path("", include("certification.site.pages")),
    path("", include("training.people.urls")),
    path("language/", set_language, name="set_language"),
]
