"""How long the pictures of the demo's first hour take on two cores, in calibration loops.

Run it on an otherwise idle machine: `python -m tests.benchmarks.bench_first_hour`. It draws what the demo
draws first, in the demo's worker processes but without a database: the first pieces of the jobs on
the night plan and the specimens of the first hour (sixty of black specks, four of every other family, each
with its clean twin and its close-up). Wall time, divided by a loop of ten million additions timed before
and after, stands against 45 s on the machine of the first experiment.
"""

import resource
from collections.abc import Callable, Iterable
from dataclasses import replace
from statistics import median
from time import perf_counter
from typing import Any

from media_demo.pictures import benches
from media_demo.pictures.made_to_measure import make_mark
from media_demo.pictures.plans import good_part, key_lamps, make_plan, whole_view
from media_demo.pictures.renderer import photograph
from media_demo.pictures.scenes.registry import scene_of
from media_demo.pictures.specimens import lit, render_specimen
from media_demo.plant.bank import SWEEP_FRAMES, Planned, plan_bank, seed_of, swept_jobs
from media_demo.plant.draw import draw_first_piece, draw_specimen, request_for
from media_demo.plant.read import documents, rows
from media_demo.plant.workers import WORKERS, drawing_pool, in_order
from tests.benchmarks.bench_pictures import EXPERIMENT_SWEEP, EXPERIMENT_VIEW
from tests.benchmarks.calibration import calibration_loop

# Seconds allowed, by the clock of the experiment: its own loop took 0.195 s there.
ALLOWED_S, EXPERIMENT_LOOP_S = 45, 0.195


def first_piece(job: dict[str, Any]) -> int:
    """Draw the approved first piece of a job; return its frames."""
    frames = SWEEP_FRAMES if job["no"] in swept_jobs() else 1
    seed = seed_of("first piece", job["no"])
    drawn = draw_first_piece(job["product"], job["colour"]["en"], job["hand"], seed, frames)
    return len(drawn.frames)


def specimen(planned: Planned) -> bool:
    """Draw a specimen; return whether it may be judged."""
    return draw_specimen(planned).examinable


def picture_alone(planned: Planned) -> int:
    """Draw the whole picture and nothing else, as the experiment did: no twin, close-up or truth.

    Of a scene it is the good one, for a spoilt one is never drawn without its twin.
    """
    request = replace(request_for(planned), close_up=False)
    if scene_of(request) is not None:
        return len(render_specimen(replace(request, family=None, severity=None)).frames)
    plan = make_plan(request)
    view = whole_view(plan)
    part, _ = good_part(plan, view)
    make_mark(plan, part)
    scene = lit(plan, part, benches.lay(plan.nuisance.bench, view, plan.bench_rng))
    return len(photograph(scene, key_lamps(plan), plan.nuisance.camera))


def drawn(work: Callable[[Any], int], of: Iterable[Any]) -> tuple[float, list[int]]:
    """Seconds and results of drawing in the demo's two worker processes."""
    began = perf_counter()
    with drawing_pool() as pool:
        found = list(in_order(pool, work, ((each,) for each in of)))
    return perf_counter() - began, found


def by_the_experiment(frames: list[int], specimens: int) -> float:
    """Loops the experiment would take for one picture of each, by its own time for a view."""
    swept = sum(each > 1 for each in frames)
    single = len(frames) - swept + specimens
    return (single * EXPERIMENT_VIEW + swept * EXPERIMENT_SWEEP) / WORKERS


def main() -> None:
    loops = [calibration_loop() for _ in range(3)]
    tonight = {row["job"] for row in rows("night_plan_today")}
    pieces_s, frames = drawn(first_piece, [j for j in documents("jobs") if j["no"] in tonight])
    planned = [each for each in plan_bank() if each.first_hour]
    specimens_s, judged = drawn(specimen, planned)
    alone_s, _ = drawn(picture_alone, planned)
    loop = median([*loops, *(calibration_loop() for _ in range(3))])
    allowed = ALLOWED_S / EXPERIMENT_LOOP_S
    spent = (pieces_s + specimens_s) / loop
    print(f"loop of 10 M additions  {loop:.3f} s")
    print(f"{len(frames)} first pieces, {sum(frames)} frames  {pieces_s / loop:.0f} loops")
    print(f"{len(judged)} specimens, {sum(judged)} to be judged  {specimens_s / loop:.0f} loops")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"largest worker {peak:.0f} MB of 600 wanted at most")
    print(f"together {spent:.0f} loops of {allowed:.0f} allowed: {spent / allowed:.2f}")
    alone = (pieces_s + alone_s) / loop
    print(f"one picture of each, no twin or close-up {alone:.0f} loops: {alone / allowed:.2f}")
    before = by_the_experiment(frames, len(planned))
    print(f"the same by the experiment {before:.0f} loops: {before / alone:.1f} times as long")


if __name__ == "__main__":
    main()
