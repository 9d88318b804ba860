"""Addresses of lessons."""

from django.urls import path

from training.lessons import views

app_name = "lessons"
urlpatterns = [
    path("lessons/", views.lesson_list, name="lesson_list"),
    path("lessons/pictures/<uuid:specimen>/<int:number>", views.frame, name="frame"),
    path("lessons/<slug:slug>/", views.lesson, name="lesson"),
    path("lessons/<slug:slug>/read/", views.read, name="read"),
    path("lessons/<slug:slug>/hints/", views.hints, name="hints"),
    path("lessons/<slug:slug>/apart/<slug:other>/", views.tell_apart, name="tell_apart"),
]
