"""Addresses of practice, exams, the booth, results and plans."""

from django.urls import path

from training.quizzes import plan_urls, study_urls
from training.quizzes.practice_urls import practice_patterns
from training.quizzes.views import (
    booth,
    coaching,
    conditions,
    draw,
    exams,
    moving,
    practice,
    printed_order,
    report,
    results,
    specimen_statistics,
    turned,
)

app_name = "quizzes"
urlpatterns = [
    *practice_patterns,
    path("practice/", practice.practice_list, name="practice_list"),
    path("practice/start/", practice.practice_start, name="practice_start"),
    path("families/<slug:slug>/picture", practice.family_picture, name="family_picture"),
    path("sittings/", results.sitting_list, name="sitting_list"),
    path("sittings/open/", exams.open_exam, name="open_qualification"),
    path("sittings/<uuid:pk>/", booth.booth, name="booth"),
    path("sittings/<uuid:pk>/opened/", exams.opened, name="opened"),
    path("sittings/<uuid:pk>/order/", printed_order.printed_order, name="printed_order"),
    path("sittings/<uuid:pk>/judgements/", booth.judge, name="judge"),
    path("sittings/<uuid:pk>/result/", results.result, name="result"),
    path("sittings/<uuid:pk>/screen/", conditions.screen_check, name="screen_check"),
    path("sittings/<uuid:pk>/draw/", draw.draw, name="draw"),
    path("sittings/<uuid:pk>/move/", moving.move, name="move"),
    path("sittings/<uuid:pk>/coaching/", coaching.coaching_add, name="coaching_add"),
    path("sittings/<uuid:pk>/end/", exams.abandon, name="abandon"),
    path("sittings/<uuid:pk>/<int:ordinal>/", booth.part, name="part"),
    path("sittings/<uuid:pk>/<int:ordinal>/feedback/", practice.feedback, name="feedback"),
    path("sittings/<uuid:pk>/<int:ordinal>/<int:number>", booth.frame, name="frame"),
    path(
        "sittings/<uuid:pk>/<int:ordinal>/first/<int:number>",
        booth.first_piece_frame,
        name="first_piece_frame",
    ),
    path("sittings/<uuid:pk>/score-again/", turned.rescore_exam, name="rescore"),
    path("specimens/<uuid:pk>/resting/", turned.what_rests_on, name="resting_on"),
    path("eyes/<uuid:pk>/", report.report, name="report"),
    path("eyes/<uuid:pk>/export/", report.report_export, name="report_export"),
    path("specimens/statistics/", specimen_statistics.statistics, name="specimen_statistics"),
    path(
        "specimens/statistics/sheet/",
        specimen_statistics.export,
        name="specimen_statistics_export",
    ),
    path("specimens/difficulty/", specimen_statistics.difficulty_map, name="difficulty_map"),
    path("specimens/missed-when/", specimen_statistics.missed_when, name="missed_when"),
    path("specimens/panel-members/", specimen_statistics.panel_members, name="panel_members"),
    path(
        "specimens/<uuid:pk>/answers/",
        specimen_statistics.specimen_answers,
        name="specimen_answers",
    ),
    *plan_urls.urlpatterns,
    *study_urls.urlpatterns,
]
