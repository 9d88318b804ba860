"""Small close-ups, so that many marks can be rendered in a test run."""

from dataclasses import replace

from media_demo.pictures.plans import Plan, close_view, key_lamps, make_plan
from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.specimens import Shot, shoot
from media_demo.pictures.view import View


def near_view(plan: Plan, width: int = 400, height: int = 300) -> View:
    """The plan's close-up, small and with the mark in the middle."""
    view = close_view(plan)
    if plan.site is None:
        return replace(view, width=width, height=height)
    X, Y = view.world(plan.site.u, plan.site.v)
    return replace(view, width=width, height=height, look_at=(X, Y, plan.site.height))


def near_shot(request: SpecimenRequest) -> Shot:
    plan = make_plan(request)
    return shoot(plan, near_view(plan), key_lamps(plan))
