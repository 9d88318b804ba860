"""Answers as the tablet sends them, and the pictures that stand behind a sitting."""

import uuid
from typing import Any

from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from PIL import Image

from tests.training.quizzes.bank import IN_PLACE
from training.quizzes.models import Presented, Sitting
from training.quizzes.plan_rules import AHEAD
from training.specimens.models import Frame
from training.specimens.pictures.storage import path_of


def right_fields(presented: Presented, **other: object) -> dict[str, Any]:
    """Return the fields of the right answer to a part, changed as asked; None leaves one out."""
    fields: dict[str, object] = {
        "answer_id": str(uuid.uuid4()),
        "ordinal": presented.ordinal,
        "verdict": presented.decision.decision,
        "seconds": 6.25,
        "made": "2026-11-25T12:00:00.000+00:00",
    }
    if presented.decision.decision == "reject":
        fields |= {
            "view": 0,
            "x": IN_PLACE[0],
            "y": IN_PLACE[1],
            "family": presented.specimen.family.slug,
            "action": "tag",
        }
    return {name: value for name, value in (fields | other).items() if value is not None}


def nth(sitting: Sitting, ordinal: int) -> Presented:
    rows = sitting.presented.select_related("decision", "specimen__family")
    return rows.get(ordinal=ordinal)


def nth_of(sitting: Sitting, part: str) -> Presented:
    """Return the first bad, or the first good, of the parts handed out at the start."""
    rows = sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    found = rows.filter(part=part, ordinal__lte=1 + AHEAD).first()
    assert found is not None
    return found


def send(client: Client, sitting: Sitting, fields: dict[str, Any]) -> HttpResponse:
    """Send an answer as JSON."""
    address = reverse("quizzes:judge", args=[sitting.pk])
    return client.post(address, fields, content_type="application/json")  # type: ignore[return-value]


def judge_up_to(client: Client, sitting: Sitting, last: int) -> None:
    """Judge the parts up to a number, rightly."""
    for ordinal in range(1, last + 1):
        assert send(client, sitting, right_fields(nth(sitting, ordinal))).status_code == 200


def save_pictures(frames: Any = None) -> None:
    """Put a picture file behind each frame of the bank."""
    for frame in Frame.objects.all() if frames is None else frames:
        path = path_of(frame.file)
        path.parent.mkdir(parents=True, exist_ok=True)
        Image.new("RGB", (frame.width, frame.height), "grey").save(path, "WEBP")
