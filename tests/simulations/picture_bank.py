"""Does everything the demo's bank can ask for come out as planned?

Run: nice python -m tests.simulations.picture_bank > tests/simulations/output/picture_bank.txt
(with a number behind it: so many specimens of every combination, instead of the whole bank).
Memory is the demo's only with its workers' surroundings (media_demo.plant.workers.SURROUNDINGS).
The first of every combination come first; stopped (SIGTERM) it reports on what it has drawn.
Draws the planned bank in one process: every part, family and zone, bad, near its limit and clean,
single pictures and sweeps, gauges and scenes. For each family: how many may be judged, how many are
labelled not visible or lie too near the limit (they examine nobody), and what was refused. Checked of
each: the truth agrees with the plan, outlines lie where something shows, a clean part has none.
"""

import resource
import signal
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from time import process_time

from media_demo.plant.bank import BAD, CLEAN, NEAR, Planned, plan_bank
from media_demo.plant.draw import Drawn, draw_specimen
from tests.simulations.picture_truth import faults_of


@dataclass
class Tally:
    """What came of the specimens of one family."""

    planned: Counter[str] = field(default_factory=Counter)
    judged: Counter[str] = field(default_factory=Counter)
    hidden: int = 0
    unsure: int = 0
    seen_good: int = 0
    seconds: float = 0.0
    faults: list[str] = field(default_factory=list)

    def add(self, drawn: Drawn) -> None:
        kind = drawn.planned.kind
        self.judged[kind] += drawn.examinable
        self.hidden += kind == BAD and drawn.on_its_side and not drawn.visible
        self.unsure += not drawn.on_its_side
        self.seen_good += kind == NEAR and drawn.visible
        self.faults += faults_of(drawn)


def combination(planned: Planned) -> tuple[object, ...]:
    return planned.family, planned.part, planned.zone, planned.kind, planned.gauge, planned.frames


def sampled(each: int | None) -> list[Planned]:
    """The whole bank, or the first few of every combination; one of each first."""
    taken: Counter[tuple[object, ...]] = Counter()
    chosen: list[tuple[int, Planned]] = []
    for planned in plan_bank():
        taken[combination(planned)] += 1
        if each is None or taken[combination(planned)] <= each:
            chosen.append((taken[combination(planned)], planned))
    return [planned for _rank, planned in sorted(chosen, key=lambda c: (c[0], c[1].number))]


def main() -> None:
    chosen = sampled(int(sys.argv[1]) if len(sys.argv) > 1 else None)
    tallies: dict[str, Tally] = defaultdict(Tally)
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    done = []
    try:
        for planned in chosen:
            tally = tallies[planned.family]
            began = process_time()
            try:
                tally.add(draw_specimen(planned))
            except Exception as error:  # noqa: BLE001 - what is refused is what this run is for
                tally.faults.append(f"{planned.number}: {error!r}")
            tally.planned[planned.kind] += 1
            tally.seconds += process_time() - began
            done.append(planned)
            print(f"{len(done)} of {len(chosen)}", file=sys.stderr)
    except KeyboardInterrupt:
        print(f"stopped: {len(done)} of {len(chosen)} drawn")
    report(done, tallies)


def report(chosen: list[Planned], tallies: dict[str, Tally]) -> None:
    kinds = len({combination(planned) for planned in chosen})
    print(f"{len(chosen)} specimens, {kinds} combinations of family, part, zone, kind and view")
    head = "bad judged   near judged   clean   not visible   too near   near seen   s each"
    print(f"{'family':17} {head}")
    for family, tally in sorted(tallies.items()):
        bad, near, clean = (f"{tally.judged[k]}/{tally.planned[k]}" for k in (BAD, NEAR, CLEAN))
        each = tally.seconds / max(1, sum(tally.planned.values()))
        print(
            f"{family:17} {bad:>10} {near:>13} {clean:>7} {tally.hidden:>13} {tally.unsure:>10}"
            f" {tally.seen_good:>11} {each:>8.2f}"
        )
    faults = [fault for tally in tallies.values() for fault in tally.faults]
    print(f"faults: {len(faults)}")
    print(*faults, sep="\n")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory of the process: {peak:.0f} MB (600 wanted at most)")


if __name__ == "__main__":
    main()
