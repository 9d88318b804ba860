"""How the pace of a job was changed: by whom, when and why."""

from training.floor.models import Job, PaceChange


def pace_changes(job: Job) -> list[PaceChange]:
    """Return how a job's pace was changed, newest first. Costs one query."""
    return list(
        PaceChange.objects.filter(job=job)
        .select_related("recorded_by", "reason")
        .order_by("-recorded_at", "-position")
    )


def newest_pace_change(job: Job) -> PaceChange | None:
    """Return the last change of a job's pace, or None since it was entered. Costs one query."""
    return (
        PaceChange.objects.filter(job=job)
        .select_related("recorded_by", "reason")
        .order_by("-recorded_at", "-position")
        .first()
    )
