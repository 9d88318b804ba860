"""Addresses of agreement studies."""

from django.urls import path

from training.quizzes.views import studies, study_closing, study_files

urlpatterns = [
    path("studies/", studies.study_list, name="study_list"),
    path("studies/add/", studies.study_add, name="study_add"),
    path("studies/import/", study_files.study_import, name="study_import"),
    path("studies/<uuid:pk>/", studies.study, name="study"),
    path("studies/<uuid:pk>/round/", studies.study_round, name="study_round"),
    path("studies/<uuid:pk>/answers/", study_files.study_export, name="study_export"),
    path("studies/<uuid:pk>/sheet.pdf", study_files.study_pdf, name="study_pdf"),
    path("studies/<uuid:pk>/close/", study_closing.study_close, name="study_close"),
]
