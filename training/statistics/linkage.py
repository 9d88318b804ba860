"""Whether the answers tie all persons and items to one scale."""

import numpy as np

from training.statistics.checks import FloatArray, IntArray
from training.statistics.wording import Wording, gettext_noop

# Items two groups must share before their means are compared (own study, disjoint
# halves with 10 and 20 common items: bias of 0.03 and 0.01 logit).
LEAST_COMMON_ITEMS = 10


def why_not_linked(seen: FloatArray, group_slices: list[slice]) -> Wording | None:
    """Say what cuts the answers apart, or return None when they are linked.

    Parameters
    ----------
    seen : ndarray, shape (persons, items)
        1 where the person answered the item, else 0; persons sorted by group.
    group_slices : list of slice
        Rows of each group.

    Returns
    -------
    Wording or None
        None when the graph of persons and items, an edge for each answer, hangs
        together and every two groups share at least `LEAST_COMMON_ITEMS` items.
        Persons without answers and items without answers are left aside.

    Notes
    -----
    Fischer (1981, Psychometrika 46; from memory) gives the connectedness conditions
    under which difficulties of separate parts can be compared.
    """
    if not _hangs_together(seen):
        return Wording(
            gettext_noop(
                "Some persons and items share no answers with the others: "
                "difficulties of the separate parts cannot be compared."
            )
        )
    common = _items_in_common(seen, group_slices)
    if common.size == 0 or common.min() >= LEAST_COMMON_ITEMS:
        return None
    return Wording(
        gettext_noop(
            "Two groups share only %(common)d items; %(needed)d are needed to compare "
            "what the groups answered."
        ),
        common=int(common.min()),
        needed=LEAST_COMMON_ITEMS,
    )


def _hangs_together(seen: FloatArray) -> bool:
    """Walk from the first person over items and persons until nobody new is met."""
    active = seen @ np.ones(seen.shape[1]) > 0
    if not active.any():
        return False
    met = np.zeros(seen.shape[0])
    met[int(active.argmax())] = 1.0
    while True:
        items = (met @ seen > 0).astype(np.float64)
        reached = seen @ items > 0
        if reached.sum() == met.sum():
            return bool(reached.sum() == active.sum())
        met = reached.astype(np.float64)


def _items_in_common(seen: FloatArray, group_slices: list[slice]) -> IntArray:
    counts = [np.ones(rows.stop - rows.start) @ seen[rows] for rows in group_slices]
    shown = (np.array(counts) > 0).astype(np.int64)
    shared: IntArray = shown @ shown.T
    return shared[np.triu_indices(len(group_slices), k=1)]
