"""Addresses of exam plans, their yearly reviews, and the specimens they want."""

from django.urls import path

from training.quizzes.views import plan_edit, plan_review, plans, wanted

urlpatterns = [
    path("plans/", plans.plan_list, name="plan_list"),
    path("plans/defaults/", plans.publish_defaults, name="publish_defaults"),
    path("plans/new/", plan_edit.plan_add, name="plan_add"),
    path("plans/wanted/", wanted.specimens_wanted, name="specimens_wanted"),
    path("plans/<slug:code>/", plans.plan_detail, name="plan_detail"),
    path("plans/<slug:code>/revise/", plan_edit.plan_revise, name="plan_revise"),
    path("plans/<slug:code>/approve/", plan_edit.plan_approve, name="plan_approve"),
    path("plans/<slug:code>/discard/", plan_edit.plan_discard, name="plan_discard"),
    path("plans/<slug:code>/review/", plan_review.plan_review, name="plan_review"),
]
