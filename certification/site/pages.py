"""Addresses of the pages that belong to no single app."""

from django.urls import path

from certification.site.views import look, my_work, start

app_name = "site"
urlpatterns = [
    path("", start.start, name="start"),
    path("look/", look.look, name="look"),
    path("my-work/", my_work.my_work, name="my_work"),
    path("health/", start.health, name="health"),
]
