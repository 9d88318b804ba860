"""Answers of many persons to many items, checked and sorted by group for a Rasch fit."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from training.statistics.checks import BoolArray, FloatArray, IntArray, matrix01


@dataclass(frozen=True)
class Answers:
    """Answers with persons sorted by group, so that a group is a slice of rows.

    Attributes
    ----------
    seen : ndarray, shape (persons, items)
        1 where answered.
    right, answered : ndarray, shape (items,)
        Right answers and answers of each item.
    score : ndarray, shape (persons,)
        Right answers of each person.
    groups : list of slice
        Rows of each group.
    labels : tuple
        Label of each group, sorted.
    order : ndarray of int, shape (persons,)
        Where each sorted row stood in what the caller gave.
    """

    seen: FloatArray
    right: FloatArray
    answered: FloatArray
    score: FloatArray
    groups: list[slice]
    labels: tuple[object, ...]
    order: IntArray

    def in_callers_order(self, values: FloatArray) -> FloatArray:
        """Undo the sorting of a value per person."""
        restored = np.empty_like(values)
        restored[self.order] = values
        return restored


def read_answers(
    answers: npt.ArrayLike,
    seen: npt.ArrayLike,
    group: Sequence[object] | npt.NDArray[np.generic] | None,
) -> Answers:
    """Check the arguments of a fit and sort persons by group.

    Parameters
    ----------
    answers, seen : array_like, shape (persons, items)
    group : sequence, shape (persons,), or None
        None puts everybody into group 0.

    Raises
    ------
    ValueError
        Naming argument and remedy.
    """
    mask = _truth_table("seen", seen)
    right = _truth_table("answers", answers, mask)
    if not mask.any():
        raise ValueError("seen holds no answer at all; give at least one person with one answer.")
    labels, member = _read_group(group, mask.shape[0])
    order = np.argsort(member, kind="stable")
    ends = np.cumsum(np.bincount(member, minlength=len(labels)))
    starts = np.concatenate([[0], ends[:-1]])
    return Answers(
        seen=mask[order].astype(np.float64),
        right=right.sum(axis=0, dtype=np.float64),
        answered=mask.sum(axis=0, dtype=np.float64),
        score=right.sum(axis=1, dtype=np.float64)[order],
        groups=[slice(int(low), int(high)) for low, high in zip(starts, ends, strict=True)],
        labels=labels,
        order=order.astype(np.int64),
    )


def _truth_table(name: str, values: npt.ArrayLike, seen: BoolArray | None = None) -> BoolArray:
    """Return a table of 0 and 1 as truth values, False where not seen.

    Large tables are nearly always clean: two passes find that out, and only a table
    that is not goes through the slower check, which finds the cell to complain of.
    """
    table = np.asarray(values)
    if (
        table.ndim == 2
        and table.dtype.kind in "biuf"
        and (seen is None or seen.shape == table.shape)
    ):
        ones: BoolArray = np.equal(table, 1)
        if np.count_nonzero(ones) + np.count_nonzero(table == 0) == table.size:
            return ones if seen is None else ones & seen
    checked: BoolArray = matrix01(name, values, seen) == 1
    return checked


def _read_group(
    group: Sequence[object] | npt.NDArray[np.generic] | None, persons: int
) -> tuple[tuple[object, ...], IntArray]:
    if group is None:
        return (0,), np.zeros(persons, dtype=np.int64)
    given = np.asarray(group)
    if given.shape != (persons,):
        raise ValueError(
            f"group has shape {given.shape}; give one label for each of the {persons} persons."
        )
    if given.dtype.kind == "f" and not np.isfinite(given).all():
        raise ValueError("group holds NaN; give every person a label.")
    labels, member = np.unique(given, return_inverse=True)
    return tuple(labels.tolist()), member.astype(np.int64)


def read_covariates(covariates: npt.ArrayLike | None, items: int) -> FloatArray | None:
    """Return covariates as a table with a row per item, or None when none are given.

    Raises
    ------
    ValueError
        When rows and items differ in number or a value is not finite.
    """
    if covariates is None:
        return None
    table = np.array(covariates, dtype=np.float64)
    if table.ndim == 1:
        table = table[:, None]
    if table.ndim != 2 or table.shape[0] != items:
        raise ValueError(
            f"covariates has shape {table.shape}; give one row for each of the {items} items."
        )
    if not np.isfinite(table).all():
        row = int(np.argwhere(~np.isfinite(table))[0, 0]) + 1
        raise ValueError(
            f"covariates, row {row}, is not a finite number; rate the item or leave it out."
        )
    return table


def refuse_extremes(data: Answers) -> None:
    """Refuse what has no finite place when there is no prior to hold it.

    Raises
    ------
    ValueError
        Naming the first item, or one of several groups, that has no answers, or only
        right or only wrong ones.
    """
    for item, (right, answered) in enumerate(zip(data.right, data.answered, strict=True), 1):
        what = _extreme(float(right), float(answered))
        if what is not None:
            raise ValueError(
                f"answers, item {item}, {what}: it has no finite difficulty without a prior; "
                "leave the item out or keep prior=True."
            )
    for label, rows in zip(data.labels, data.groups, strict=True):
        what = _extreme(float(data.score[rows].sum()), float(data.seen[rows].sum()))
        if what is not None and len(data.labels) > 1:
            raise ValueError(
                f"answers, group {label!r}, {what}: it has no finite mean without a prior; "
                "put the group together with another or keep prior=True."
            )


def _extreme(right: float, answered: float) -> str | None:
    if answered == 0:
        return "has no answers"
    if right == answered:
        return "has only right answers"
    return "has only wrong answers" if right == 0 else None
