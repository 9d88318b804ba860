"""Addresses of practice, exams, the booth, results and plans."""

from django.urls import path

from training.quizzes.views import booth, exams, plans, practice, results

app_name = "quizzes"
urlpatterns = [
    path("practice/", practice.practice_list, name="practice_list"),
    path("practice/start/", practice.practice_start, name="practice_start"),
    path("families/<slug:slug>/picture", practice.family_picture, name="family_picture"),
    path("sittings/", results.sitting_list, name="sitting_list"),
    path("sittings/open/", exams.open_exam, name="open_qualification"),
    path("sittings/<uuid:pk>/", booth.booth, name="booth"),
    path("sittings/<uuid:pk>/opened/", exams.opened, name="opened"),
    path("sittings/<uuid:pk>/judgements/", booth.judge, name="judge"),
    path("sittings/<uuid:pk>/result/", results.result, name="result"),
    path("sittings/<uuid:pk>/end/", exams.abandon, name="abandon"),
    path("sittings/<uuid:pk>/<int:ordinal>/", booth.part, name="part"),
    path("sittings/<uuid:pk>/<int:ordinal>/feedback/", practice.feedback, name="feedback"),
    path("sittings/<uuid:pk>/<int:ordinal>/<int:number>", booth.frame, name="frame"),
    path(
        "sittings/<uuid:pk>/<int:ordinal>/first/<int:number>",
        booth.first_piece_frame,
        name="first_piece_frame",
    ),
    path("plans/", plans.plan_list, name="plan_list"),
    path("plans/defaults/", plans.publish_defaults, name="publish_defaults"),
    path("plans/<slug:code>/", plans.plan_detail, name="plan_detail"),
]
