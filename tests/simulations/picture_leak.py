"""Can a program tell a bad part from a good one without looking at the picture?

Run: python -m tests.simulations.picture_leak > tests/simulations/output/picture_leak.txt
Renders 400 specimens of the demo plant's exam pool, encodes them as they are served, and lets
two classifiers guess from byte sizes, pixel sizes and metadata alone (10-fold, three times over).
Served names are random identifiers and carry nothing. Wanted: right at most 56 % of the time.
"""

import io
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np
from PIL import Image
from sklearn.ensemble import RandomForestClassifier
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import RepeatedStratifiedKFold, cross_val_score
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler

from media_demo.pictures.families import FAMILIES
from media_demo.plant.bank import BAD, EXAM, Planned, plan_bank
from media_demo.plant.draw import draw_specimen

EACH = 200
WANTED = 0.56


def sampled() -> list[Planned]:
    """As many bad as good specimens, drawn evenly from the exam pool, one frame each."""
    rng = np.random.default_rng(12)
    pool = [p for p in plan_bank() if p.pool == EXAM and p.family in FAMILIES]
    chosen: list[Planned] = []
    for bad in (True, False):
        kind = [p for p in pool if (p.kind == BAD) == bad]
        chosen += [kind[int(i)] for i in rng.choice(len(kind), EACH, replace=False)]
    return [replace(planned, frames=1) for planned in chosen]


def traits(planned: Planned) -> list[float]:
    """What a program sees of a specimen's two pictures without decoding a pixel."""
    found: list[float] = []
    for view in draw_specimen(planned).views:
        for data in (view.frames[0].data, view.frames[0].small):
            with Image.open(io.BytesIO(data)) as image:
                found += [len(data), image.width, image.height, len(image.info)]
    whole, close = found[0], found[8]
    return [*found, close / whole]


def main() -> None:
    chosen = sampled()
    with ProcessPoolExecutor(2) as pool:
        table = np.array(list(pool.map(traits, chosen, chunksize=4)))
    bad = np.array([planned.kind == BAD for planned in chosen])
    sizes = sorted({(int(row[1]), int(row[2])) for row in table})
    print(f"{len(chosen)} specimens, whole pictures in {len(sizes)} size(s): {sizes}")
    print(f"pieces of metadata in each: {sorted({int(n) for n in table[:, 3]})}")
    folds = RepeatedStratifiedKFold(n_splits=10, n_repeats=3, random_state=1)
    for name, model in (
        ("logistic regression", make_pipeline(StandardScaler(), LogisticRegression())),
        ("random forest", RandomForestClassifier(300, min_samples_leaf=5, random_state=1)),
    ):
        right = float(cross_val_score(model, table, bad, cv=folds).mean())
        verdict = "as wanted" if right <= WANTED else "TOO OFTEN"
        print(f"{name:20} right {100 * right:.1f} % of the time: {verdict}")


if __name__ == "__main__":
    main()
