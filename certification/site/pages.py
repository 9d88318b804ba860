"""Addresses of the pages that belong to no single app."""

from django.urls import path

from certification.site.views import look, start

app_name = "site"
urlpatterns = [
    path("", start.start, name="start"),
    path("look/", look.look, name="look"),
    path("health/", start.health, name="health"),
]
