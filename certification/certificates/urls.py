"""Addresses of certificates: what waits for a decision, and each certificate's own page."""

from django.urls import path

from certification.certificates import importing_views, stopping_views, views

app_name = "certificates"
urlpatterns = [
    path("certificates/import/", importing_views.import_certificates, name="import_certificates"),
    path(
        "observed-checks/import/",
        importing_views.import_observed_checks,
        name="import_observed_checks",
    ),
    path("certificates/waiting/", views.waiting, name="waiting"),
    path("certificates/waiting/by-rule/", views.grant_what_the_rule_grants, name="grant_by_rule"),
    path("certificates/waiting/<uuid:pk>/", views.decide, name="decide"),
    path(
        "people/<str:personnel_no>/certificates/",
        views.person_certificates,
        name="person_certificates",
    ),
    path("certificates/corrected/", stopping_views.corrected, name="corrected"),
    path("certificates/<uuid:pk>/suspend/", stopping_views.suspend, name="suspend"),
    path("certificates/<uuid:pk>/lift/", stopping_views.lift, name="lift"),
    path("certificates/<uuid:pk>/", views.certificate, name="certificate"),
]
