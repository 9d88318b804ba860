"""Addresses of the ways to practise beside a plain round."""

from django.urls import path

from training.quizzes.views import exercises, low_rate, refresher

practice_patterns = [
    path("practice/contrasts/", exercises.contrast, name="contrast"),
    path("practice/look-alikes/", exercises.look_alikes, name="look_alikes"),
    path("practice/find-the-limit/", exercises.find_limit, name="find_limit"),
    path("practice/refresher/", refresher.refresher_start, name="refresher_start"),
    path("practice/low-rate/", low_rate.low_rate_start, name="low_rate_start"),
    path("sittings/<uuid:pk>/low-rate/", low_rate.low_rate_result, name="low_rate_result"),
    path("sittings/<uuid:pk>/together/", exercises.exercise, name="exercise"),
    path("sittings/<uuid:pk>/together/<int:number>/", exercises.step, name="exercise_step"),
    path(
        "sittings/<uuid:pk>/together/<int:number>/answer/",
        exercises.answer,
        name="exercise_answer",
    ),
]
