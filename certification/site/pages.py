"""Addresses of the pages that belong to no single app."""

from django.urls import path

from certification.site.views import start

app_name = "site"
urlpatterns = [
    path("", start.start, name="start"),
    path("health/", start.health, name="health"),
]
