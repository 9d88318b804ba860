"""Addresses of the floor: families, jobs and their sheets."""

from django.urls import path

from training.floor import alert_views, check_views, concession_views, pace_views, views

app_name = "floor"
urlpatterns = [
    path("families/", views.family_list, name="family_list"),
    path("jobs/", views.job_list, name="job_list"),
    path("jobs/import/", views.import_jobs, name="import_jobs"),
    path("alerts/", alert_views.alert_list, name="alert_list"),
    path("alerts/add/", alert_views.alert_add, name="alert_add"),
    path("alerts/<uuid:pk>/", alert_views.alert_detail, name="alert_detail"),
    path("alerts/<uuid:pk>/withdraw/", alert_views.alert_withdraw, name="alert_withdraw"),
    path("concessions/", concession_views.concession_list, name="concession_list"),
    path("concessions/add/", concession_views.concession_add, name="concession_add"),
    path("concessions/<uuid:pk>/", concession_views.concession_detail, name="concession_detail"),
    path("concessions/<uuid:pk>/sign/", concession_views.concession_sign, name="concession_sign"),
    path(
        "concessions/<uuid:pk>/parts/", concession_views.concession_count, name="concession_count"
    ),
    path(
        "concessions/<uuid:pk>/withdraw/",
        concession_views.concession_withdraw,
        name="concession_withdraw",
    ),
    path("jobs/<str:number>/", views.job_sheet, name="job_sheet"),
    path("jobs/<str:number>/check/", check_views.reading_check, name="reading_check"),
    path("jobs/<str:number>/pace/", pace_views.pace_set, name="pace_set"),
    path("jobs/<str:number>/limits/", views.limit_add, name="limit_add"),
    path("jobs/<str:number>/read/<str:kind>/<uuid:pk>/", views.acknowledge, name="acknowledge"),
]
