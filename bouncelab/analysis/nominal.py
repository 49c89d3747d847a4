"""Which readings mean the same nominal value? Near ones, sorted from the lowest."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray

__all__ = ["by_temperature", "nominal"]

Numbers: TypeAlias = NDArray[np.float64]
Codes: TypeAlias = NDArray[np.intp]

_SAME_TEMPERATURE = 3.0  # K


def nominal(
    values: Numbers, parent: Codes, reach: Callable[[Numbers], Numbers]
) -> Codes:
    """Sort nearly equal values into one nominal value each.

    Parameters
    ----------
    values : ndarray of float, shape (N,)
        The values; NaN where there is none.
    parent : ndarray of int, shape (N,)
        Codes from 0; values are compared within one code only.
    reach : callable
        How far above the lowest value of a cluster another may lie.

    Returns
    -------
    ndarray of int, shape (N,)
        One code for each parent and nominal value, from 0; blank values have a
        code of their own within each parent.

    Notes
    -----
    From the lowest value upward, a new cluster starts with the first value that
    lies more than `reach` above the cluster's first.

    Examples
    --------
    >>> kpa = np.array([55.0, 55.8, 48.0, 57.0])
    >>> nominal(kpa, np.zeros(4, dtype=np.intp), lambda first: 0 * first + 1.5)
    array([1, 1, 0, 2])
    """
    code, distinct = pd.factorize(values)
    width = distinct.size + 1
    code, pairs = pd.factorize(parent * width + code + 1)
    if not pairs.size:
        return np.asarray(code, dtype=np.intp)
    of, place = np.divmod(pairs, width)
    blank = place == 0
    value = np.append(distinct, 0.0)[place - 1]
    value[blank] = 0.0  # any number: a blank is compared with blanks only
    order = np.lexsort((value, blank, of))
    low, allowed = value[order], reach(value[order]) * (1 + 1e-9)
    span = low.max() - low.min() + allowed.max() + 1.0
    key = (2 * of[order] + blank[order]) * span + (low - low.min())
    following = np.searchsorted(key, key + allowed, side="right").tolist()
    first, start = np.zeros(order.size, dtype=np.intp), 0
    while start < order.size:  # one step for each cluster
        first[start] = 1
        start = following[start]
    cluster = np.empty(order.size, dtype=np.intp)
    cluster[order] = np.cumsum(first) - 1
    found: Codes = cluster[code]
    return found


def by_temperature(temperature: Numbers, parent: Codes) -> Codes:
    """Split codes by temperature; blanks join where only one was measured.

    Parameters
    ----------
    temperature : ndarray of float, shape (N,)
        In °C; NaN where there is none.
    parent : ndarray of int, shape (N,)
        Codes from 0.

    Returns
    -------
    ndarray of int, shape (N,)
        Codes as `nominal` gives them.

    Examples
    --------
    >>> warm = np.array([20.0, np.nan, 5.0])
    >>> by_temperature(warm, np.array([0, 0, 1])).tolist()
    [0, 0, 2]
    """
    code = nominal(temperature, parent, lambda t: np.full_like(t, _SAME_TEMPERATURE))
    blank = np.isnan(temperature)
    if not blank.any() or blank.all():
        return code
    size = int(parent.max()) + 1
    lowest = np.full(size, code.size, dtype=np.intp)
    highest = np.full(size, -1, dtype=np.intp)
    np.minimum.at(lowest, parent[~blank], code[~blank])
    np.maximum.at(highest, parent[~blank], code[~blank])
    alone = blank & (lowest == highest)[parent]
    return np.where(alone, lowest[parent], code)
