"""Addresses of the skills matrix."""

from django.urls import path

from certification.matrix import views

app_name = "matrix"
urlpatterns = [
    path("matrix/", views.matrix, name="matrix"),
    path("matrix/export/", views.export, name="export"),
]
