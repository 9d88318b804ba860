"""Checks of arguments: each returns the clean value or names argument and remedy."""

import math
import operator
from collections.abc import Collection, Mapping, Sequence
from typing import SupportsFloat, SupportsIndex, TypeVar

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]
Value = TypeVar("Value")


def whole_number(
    name: str, value: SupportsIndex, low: int = 0, high: int | None = None, remedy: str = ""
) -> int:
    """Return value as an int within low..high.

    Parameters
    ----------
    name : str
        Argument name as the caller wrote it; it opens the message.
    value : int or integer array scalar
        Booleans and fractions are refused.
    low, high : int, optional
        Smallest and largest value allowed; high None means no upper end.
    remedy : str, optional
        What to do; a sentence built from low and high otherwise.

    Raises
    ------
    ValueError
        When value is no whole number or lies outside low..high.

    Examples
    --------
    >>> whole_number("n", 65, 1)
    65
    """
    allowed = f"{low} or more" if high is None else f"{low} to {high}"
    hint = remedy or f"give a whole number, {allowed}"
    if isinstance(value, bool | np.bool_):
        raise ValueError(f"{name} is {value!r}, a truth value; {hint}.")
    try:
        number = operator.index(value)
    except TypeError:
        raise ValueError(f"{name} is {value!r}, not a whole number; {hint}.") from None
    if number < low or (high is not None and number > high):
        raise ValueError(f"{name} is {number}, outside {allowed}; {hint}.")
    return number


def real_number(
    name: str,
    value: SupportsFloat | SupportsIndex,
    low: float = -math.inf,
    high: float = math.inf,
    *,
    open_ends: bool = False,
    remedy: str = "",
) -> float:
    """Return value as a finite float within low..high.

    Parameters
    ----------
    name : str
        Argument name; it opens the message.
    value : float
        NaN and infinities are refused.
    low, high : float, optional
        Ends of the range allowed.
    open_ends : bool, optional
        Whether the ends themselves are refused.
    remedy : str, optional
        What to do; a sentence built from the range otherwise.

    Raises
    ------
    ValueError
        When value is no number, not finite or out of range.

    Examples
    --------
    >>> real_number("limit", 0.5, 0, open_ends=True)
    0.5
    """
    allowed = _range_in_words(low, high, open_ends=open_ends)
    hint = remedy or f"give a number {allowed}"
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise ValueError(f"{name} is {value!r}, not a number; {hint}.") from None
    if not math.isfinite(number):
        raise ValueError(f"{name} is {number}, not a finite number; {hint}.")
    inside = low < number < high if open_ends else low <= number <= high
    if not inside:
        raise ValueError(f"{name} is {number:g}, not {allowed}; {hint}.")
    return number


def _range_in_words(low: float, high: float, *, open_ends: bool) -> str:
    if math.isinf(low) and math.isinf(high):
        return "that is finite"
    if math.isinf(high):
        return f"above {low:g}" if open_ends else f"of at least {low:g}"
    if math.isinf(low):
        return f"below {high:g}" if open_ends else f"of at most {high:g}"
    return f"strictly between {low:g} and {high:g}" if open_ends else f"from {low:g} to {high:g}"


def probability(
    name: str,
    value: SupportsFloat | SupportsIndex,
    *,
    open_ends: bool = False,
    remedy: str = "",
) -> float:
    """Return value as a float in [0, 1], or in (0, 1) with open_ends.

    Raises
    ------
    ValueError
        When value is no number, NaN or outside; the message names the argument.

    Examples
    --------
    >>> probability("alpha", 0.05, open_ends=True)
    0.05
    """
    return real_number(name, value, 0.0, 1.0, open_ends=open_ends, remedy=remedy)


def rising(low_name: str, low: float, high_name: str, high: float) -> None:
    """Refuse two numbers that are not in strictly rising order.

    Raises
    ------
    ValueError
        When low is not below high; the message names both.
    """
    if not low < high:
        raise ValueError(
            f"{low_name} is {low:g} and {high_name} is {high:g}; "
            f"{low_name} must lie below {high_name}: swap or change them."
        )


def one_of(name: str, value: str, choices: Collection[str]) -> str:
    """Return value when it is one of the choices.

    Raises
    ------
    ValueError
        Otherwise; the message lists the choices.
    """
    if value not in choices:
        raise ValueError(f"{name} is {value!r}; choose one of {', '.join(sorted(choices))}.")
    return value


def vector(name: str, values: npt.ArrayLike, length: int | None = None) -> FloatArray:
    """Return values as a one-dimensional float array of finite numbers.

    Parameters
    ----------
    name : str
        Argument name.
    values : array_like
        One row of numbers; may be empty.
    length : int, optional
        The number of values wanted.

    Raises
    ------
    ValueError
        When values are not one row, hold NaN or an infinity, or differ in number.
    """
    clean = _numbers(name, values, 1, "one row of numbers")
    if length is not None and clean.size != length:
        raise ValueError(f"{name} holds {clean.size} values; give {length}, one for each.")
    return clean


def vector01(name: str, values: npt.ArrayLike, length: int | None = None) -> FloatArray:
    """Return values as a one-dimensional float array of noughts and ones.

    Raises
    ------
    ValueError
        As `vector`, and for any value other than 0 or 1 (True and False count).
    """
    clean = vector(name, values, length)
    _only_01(name, clean, np.ones(clean.shape, dtype=bool))
    return clean


def matrix01(
    name: str, values: npt.ArrayLike, seen: BoolArray | FloatArray | None = None
) -> FloatArray:
    """Return values as a two-dimensional float array of noughts and ones.

    Parameters
    ----------
    name : str
        Argument name.
    values : array_like, shape (persons, items)
        0, 1, False or True; a cell not seen may hold anything, NaN included.
    seen : array, shape (persons, items), optional
        Cells that count; all when None.

    Returns
    -------
    ndarray of float64
        A copy, with 0 in every cell not seen.

    Raises
    ------
    ValueError
        When values are not a table, differ in shape from seen, or hold anything
        else than 0 and 1 in a cell that counts; the message gives row and column,
        counted from 1.
    """
    try:
        table = np.array(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError(f"{name} is not a table of numbers; give rows of 0 and 1.") from None
    if table.ndim != 2:
        raise ValueError(
            f"{name} has {table.ndim} dimension(s); give a table with a row per person "
            "and a column per item."
        )
    if seen is None:
        counted = np.ones(table.shape, dtype=bool)
    else:
        counted = np.asarray(seen, dtype=bool)
        if counted.shape != table.shape:
            raise ValueError(
                f"seen has shape {counted.shape} and {name} {table.shape}; "
                "give both the same rows and columns."
            )
    _only_01(name, table, counted)
    return np.where(counted, table, 0.0)


def count_table(name: str, values: npt.ArrayLike) -> IntArray:
    """Return values as a two-dimensional array of whole numbers of at least 0.

    Raises
    ------
    ValueError
        When values are not a table or hold a negative number, a fraction or NaN.
    """
    table = _numbers(name, values, 2, "a table of counts")
    if (table < 0).any():
        raise ValueError(f"{name} holds a negative count; counts are 0 or more.")
    if (table != np.floor(table)).any():
        raise ValueError(f"{name} holds a fraction; counts are whole numbers.")
    return table.astype(np.int64)


def same_length(names: Sequence[str], lengths: Sequence[int]) -> None:
    """Refuse arguments of different length.

    Raises
    ------
    ValueError
        When lengths differ; the message gives each argument's.
    """
    if len(set(lengths)) > 1:
        held = ", ".join(f"{name} {n}" for name, n in zip(names, lengths, strict=True))
        raise ValueError(f"The arguments differ in length ({held}); give one value for each.")


def distinct_names(name: str, values: Sequence[str]) -> tuple[str, ...]:
    """Return values as a tuple of names, at least one and none twice.

    Raises
    ------
    ValueError
        For a single text instead of a list, an empty list or a name given twice.
    """
    if isinstance(values, str):
        raise ValueError(f"{name} is the text {values!r}; give a list of names.")
    names = tuple(str(value) for value in values)
    if not names:
        raise ValueError(f"{name} is empty; give at least one name.")
    twice = [value for i, value in enumerate(names) if value in names[:i]]
    if twice:
        raise ValueError(f"{name} holds {twice[0]!r} twice; give each name once.")
    return names


def one_for_each(
    name: str, keys: Sequence[str], values: Sequence[Value] | Mapping[str, Value]
) -> dict[str, Value]:
    """Return one value for each key, given in the order of the keys or by key.

    Raises
    ------
    ValueError
        When a key lacks a value or a value has no key.
    """
    if isinstance(values, Mapping):
        missing = [key for key in keys if key not in values]
        unknown = [str(key) for key in values if key not in keys]
        if missing or unknown:
            wrong = f"lacks {missing[0]!r}" if missing else f"holds {unknown[0]!r} as well"
            raise ValueError(f"{name} {wrong}; give one value for each of {', '.join(keys)}.")
        return {key: values[key] for key in keys}
    if len(values) != len(keys):
        raise ValueError(f"{name} holds {len(values)} values; give {len(keys)}, one for each.")
    return dict(zip(keys, values, strict=True))


def _numbers(name: str, values: npt.ArrayLike, ndim: int, wanted: str) -> FloatArray:
    try:
        clean = np.array(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError(f"{name} does not hold numbers only; give {wanted}.") from None
    if clean.ndim != ndim:
        raise ValueError(f"{name} has {clean.ndim} dimension(s); give {wanted}.")
    if not np.isfinite(clean).all():
        raise ValueError(f"{name} holds NaN or an infinity; leave such values out.")
    return clean


def _only_01(name: str, values: FloatArray, counted: BoolArray) -> None:
    bad = counted & (values != 0) & (values != 1)
    if not bad.any():
        return
    place = [int(i) + 1 for i in np.argwhere(bad)[0]]
    where = f"value {place[0]}" if len(place) == 1 else f"row {place[0]}, column {place[1]}"
    found = values[tuple(i - 1 for i in place)]
    raise ValueError(f"{name}, {where}, is {found:g}; give 1 for right and 0 for wrong only.")
