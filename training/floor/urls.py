"""Addresses of the floor: families, jobs and their sheets."""

from django.urls import path

from training.floor import alert_views, check_views, pace_views, views

app_name = "floor"
urlpatterns = [
    path("families/", views.family_list, name="family_list"),
    path("jobs/", views.job_list, name="job_list"),
    path("jobs/import/", views.import_jobs, name="import_jobs"),
    path("alerts/add/", alert_views.alert_add, name="alert_add"),
    path("jobs/<str:number>/", views.job_sheet, name="job_sheet"),
    path("jobs/<str:number>/check/", check_views.reading_check, name="reading_check"),
    path("jobs/<str:number>/pace/", pace_views.pace_set, name="pace_set"),
    path("jobs/<str:number>/limits/", views.limit_add, name="limit_add"),
    path("jobs/<str:number>/read/<str:kind>/<uuid:pk>/", views.acknowledge, name="acknowledge"),
]
