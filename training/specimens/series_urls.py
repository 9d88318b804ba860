"""Addresses of sets of specimens."""

from django.urls import path

from training.specimens.views import bringing_back, series

series_patterns = [
    path("specimens/sets/", series.series_list, name="series_list"),
    path("specimens/sets/add/", series.series_add, name="series_add"),
    path(
        "specimens/sets/<uuid:pk>/bring-back/",
        bringing_back.series_bring_back,
        name="series_bring_back",
    ),
    path("specimens/sets/<uuid:pk>/retire/", series.series_retire, name="series_retire"),
]
