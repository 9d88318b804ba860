"""Pairs of counts, right out of answered, checked together."""

import numpy as np
import numpy.typing as npt

from training.statistics.checks import FloatArray, same_length, vector


def right_of_answered(
    right: npt.ArrayLike,
    answered: npt.ArrayLike,
    names: tuple[str, str] = ("right", "answered"),
) -> tuple[FloatArray, FloatArray]:
    """Return two rows of whole numbers, the first nowhere above the second.

    Parameters
    ----------
    right, answered : array_like, shape (items,) or a single number
    names : tuple of str, optional
        What the caller calls them; they open the messages.

    Raises
    ------
    ValueError
        For negative numbers, fractions, NaN, different lengths, or more right than
        answered; the message gives the place, counted from 1.

    Examples
    --------
    >>> right_of_answered([3, 5], [4, 5])
    (array([3., 5.]), array([4., 5.]))
    """
    counts = [
        vector(name, np.atleast_1d(np.asarray(values)))
        for name, values in zip(names, (right, answered), strict=True)
    ]
    same_length(names, [row.size for row in counts])
    for name, row in zip(names, counts, strict=True):
        odd = (row < 0) | (row != np.floor(row))
        if odd.any():
            place = int(odd.argmax())
            raise ValueError(
                f"{name}, value {place + 1}, is {row[place]:g}; give whole numbers of at least 0."
            )
    above = counts[0] > counts[1]
    if above.any():
        place = int(above.argmax())
        raise ValueError(
            f"{names[0]}, value {place + 1}, is {counts[0][place]:g} of {counts[1][place]:g} "
            f"{names[1]}; give {names[0]} no larger than {names[1]}."
        )
    return counts[0], counts[1]
