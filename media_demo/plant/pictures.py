"""Draws the plant's pictures in two processes and keeps them as specimens; resumes where it stopped."""

import datetime as dt
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict
from decimal import Decimal
from typing import Any

from certification.staffing.models import ProductionOrder
from media_demo.plant.bank import (
    BAD,
    SWEEP_FRAMES,
    TEACHING,
    VERSION,
    Planned,
    plan_bank,
    seed_of,
    swept_jobs,
)
from media_demo.plant.draw import (
    Drawn,
    DrawnFirstPiece,
    DrawnView,
    Lossless,
    draw_first_piece,
    draw_specimen,
)
from media_demo.plant.workers import drawing_pool, in_order
from training.floor.models import Family, FirstPiece, Job
from training.people.models import Person
from training.specimens.models import Action, Pool, ReferenceDecision, Specimen, View
from training.specimens.services.bulk import (
    Decided,
    NewFrame,
    NewRegion,
    NewSpecimen,
    NewView,
    add_first_piece_views,
    add_specimens,
)

BATCH = 6

Progress = Callable[[int, int], None]


def wanted(*, first_hour: bool) -> list[Planned]:
    """Return what is planned and is not kept yet."""
    kept = set(Specimen.objects.filter(synthetic=True).values_list("number", flat=True))
    return [
        planned
        for planned in plan_bank()
        if planned.number not in kept and (planned.first_hour or not first_hour)
    ]


def draw_bank(
    planned: Sequence[Planned],
    *,
    day: dt.date,
    now: Callable[[], dt.datetime],
    progress: Progress,
    seconds: float | None = None,
) -> int:
    """Draw planned specimens and keep them a few at a time; return how many were kept.

    After so many seconds no further ones are begun: what is left is drawn behind the server.
    """
    until = None if seconds is None else time.monotonic() + seconds
    jobs = {job.number: job for job in Job.objects.all()}
    families = {family.slug: family for family in Family.objects.all()}
    author = Person.objects.filter(personnel_no="1042").first()
    kept, batch = 0, []
    with drawing_pool() as pool:
        given = ((item,) for item in planned if until is None or time.monotonic() < until)
        for drawn in in_order(pool, draw_specimen, given):
            batch.append(_as_specimen(drawn, jobs, families))
            if len(batch) == BATCH:
                kept += len(add_specimens(batch, day=day, moment=now(), by=author))
                batch = []
                progress(kept, len(planned))
        if batch:
            kept += len(add_specimens(batch, day=day, moment=now(), by=author))
    progress(kept, kept if until else len(planned))
    return kept


def draw_first_pieces(moment: dt.datetime, progress: Progress, *, tonight: bool) -> int:
    """Draw the first pieces that have no picture: of the jobs on a press now, or of all."""
    pieces = FirstPiece.objects.filter(views=None).select_related("job__product")
    if tonight:
        running = ProductionOrder.objects.filter(starts_at__lte=moment, ends_at__gt=moment)
        pieces = pieces.filter(job__in=running.values("job"))
    todo = list(pieces)
    requests = [_first_piece_request(piece) for piece in todo]
    with drawing_pool() as pool:
        drawn = in_order(pool, draw_first_piece, requests)
        for done, (piece, one) in enumerate(zip(todo, drawn, strict=True), start=1):
            add_first_piece_views(piece, [_first_piece_view(one)])
            # The files give the inspector's marks on the part; pages draw them on the picture.
            piece.marks = [{**mark, **_on_picture(one, mark)} for mark in piece.marks]
            piece.save(update_fields=["marks"])
            progress(done, len(todo))
    return len(todo)


def _first_piece_view(one: DrawnFirstPiece) -> NewView:
    frames = [NewFrame(*frame) for frame in zip(one.frames, one.angles_deg, strict=True)]
    return NewView(frames=frames, change=_change(len(frames)), px_per_mm=one.px_per_mm)


def _change(frames: int) -> str:
    return View.Change.LIGHT if frames > 1 else View.Change.NONE


def _on_picture(drawn: DrawnFirstPiece, mark: dict[str, Any]) -> dict[str, float]:
    x, y = drawn.place(mark["x"], mark["y"])
    return {"x": round(x, 4), "y": round(y, 4)}


def _first_piece_request(piece: FirstPiece) -> tuple[Any, ...]:
    job = piece.job
    product = job.product.code if job.product else ""
    colour = (job.colour or {}).get("en", "")
    # Beside specimens under nine angles of light it is shown under the same nine.
    frames = SWEEP_FRAMES if job.number in swept_jobs() else 1
    return product, colour, job.hand or None, seed_of("first piece", job.number), frames


def _as_specimen(drawn: Drawn, jobs: dict[str, Job], families: dict[str, Family]) -> NewSpecimen:
    planned, family = drawn.planned, families[drawn.planned.family]
    pool = Pool.TEACHING if planned.pool == TEACHING else Pool.EXAM
    marked = drawn.truth.family is not None
    # In the limit's unit, where a gauge reads another.
    severity = drawn.truth.severity * planned.per_mm
    unit = planned.unit or drawn.truth.unit
    return NewSpecimen(
        number=planned.number,
        job=jobs[planned.job],
        zone=planned.zone,
        family=family,
        views=[_as_view(view, family, marked=marked) for view in drawn.views],
        severity=round(severity, 4) if marked else None,
        unit=unit if marked else "",
        pool=pool if drawn.examinable else Pool.NEITHER,
        decision=_decision(drawn, family),
        synthetic=True,
        recipe=_recipe(drawn),
    )


def _recipe(drawn: Drawn) -> dict[str, Any]:
    """How it can be drawn again, and what it shows; what cannot be seen is labelled so."""
    shown: dict[str, Any] = dict(drawn.truth.shown)
    return {
        "bank": VERSION,
        "renderer": drawn.truth.renderer,
        **_plain(asdict(drawn.planned)),
        "site": drawn.truth.site or "",
        "visibility": round(drawn.truth.visibility, 2),
        "visible": drawn.visible,
        **({"shown": shown} if shown else {}),
    }


def _as_view(view: DrawnView, family: Family, *, marked: bool) -> NewView:
    frames = [
        NewFrame(frame.data if isinstance(frame, Lossless) else frame, angle)
        for frame, angle in zip(view.frames, view.angles_deg, strict=True)
    ]
    size = (view.frames[0].width, view.frames[0].height)
    polygons = [_inside(polygon, size) for polygon in view.look.regions] if marked else []
    seen = [polygon for polygon in polygons if len({tuple(point) for point in polygon}) > 2]
    return NewView(
        frames=frames,
        kind=View.Kind.CLOSE_UP if view.close_up else View.Kind.WHOLE,
        change=_change(len(frames)),
        px_per_mm=view.look.px_per_mm,
        regions=[NewRegion(family, seen)] if seen else [],
    )


def _inside(polygon: Iterable[Sequence[float]], size: tuple[int, int]) -> list[list[float]]:
    """Cut an outline off at the edges of its picture: a mark may run out of a close-up."""
    return [[min(max(0.0, x), size[0] - 1.0), min(max(0.0, y), size[1] - 1.0)] for x, y in polygon]


def _decision(drawn: Drawn, family: Family) -> Decided | None:
    """Decide by what was measured on the picture, not by what was asked for."""
    if not drawn.examinable:
        return None
    bad, ratio = drawn.planned.kind == BAD, drawn.ratio
    decisions = ReferenceDecision.Decision
    return Decided(
        decision=decisions.REJECT if bad else decisions.ACCEPT,
        action=Action.SEGREGATE if bad else Action.KEEP_RUNNING,
        family=family,
        basis=ReferenceDecision.Basis.MEASURED,
        severity_ratio=None if ratio is None else round(_exact(ratio), 4),
        clear=bad and (ratio is None or ratio >= 1.5),
    )


def _exact(value: float) -> Decimal:
    return Decimal(repr(float(value)))


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}
