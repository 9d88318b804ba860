"""How long the demo takes to its first page, and how much memory: in calibration loops and MiB.

Run it on an otherwise idle machine: `python -m tests.benchmarks.bench_demo`. It makes the demo plant in
an empty folder with the command of the README (without serving), as a machine that has just installed
the packages would, and then asks the first page of a server on it.
"""

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

from tests.benchmarks.calibration import calibration_loop

ROOT = Path(__file__).resolve().parents[2]
MOST_SECONDS, MOST_MIB = 120, 2048


def run(folder: str, *arguments: str) -> float:
    began = perf_counter()
    subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "demo", "--no-serve", *arguments],
        cwd=ROOT,
        env={**os.environ, "DATA_DIR": folder},
        check=True,
        stdout=subprocess.DEVNULL,
    )
    return perf_counter() - began


def main() -> None:
    loop = min(calibration_loop() for _ in range(3))
    with tempfile.TemporaryDirectory() as folder:
        plant = run(folder, "--pictures", "none")
        again = run(folder, "--pictures", "none")
    with tempfile.TemporaryDirectory() as folder:
        served = run(folder, "--pictures", "soon")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"calibration loop of ten million additions: {loop:.2f} s")
    for what, seconds in (
        ("plant, records and sittings", plant),
        ("the same again, nothing to do", again),
        ("to the first page, with first pictures", served),
    ):
        print(f"{what}: {seconds:.1f} s, {seconds / loop:.1f} loops")
    print(f"largest process: {peak:.0f} MiB of {MOST_MIB} allowed")
    print(f"first page within {MOST_SECONDS} s less the installation: {served < MOST_SECONDS}")


if __name__ == "__main__":
    main()
