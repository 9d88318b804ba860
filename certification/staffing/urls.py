"""Addresses at the press."""

from django.urls import path

from certification.staffing import views

app_name = "staffing"
urlpatterns = [
    path("press-check/", views.press_check, name="press_check"),
    path("presses/leave/", views.leave, name="leave_press"),
    path("presses/<str:code>/turn/", views.take_press_over, name="take_press"),
]
