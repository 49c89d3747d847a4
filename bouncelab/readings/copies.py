"""Find rows, and runs of rows, that were typed twice.

Equal rebounds alone say little: readings are rounded. A row is a copy when its
group, ball and trial number come twice; a run is one when so many readings in a
row equal another group's that chance would do it in one class in a thousand.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bouncelab.readings.columns import Codes, Columns, Truths, join
from bouncelab.readings.said import Doubt

__all__ = ["copy_doubts"]

_CHANCE = 1e-3  # of a false alarm in a whole class
_SEED = 4  # rows that must agree before a run is looked at


def _codes(values: np.typing.NDArray[np.float64]) -> Codes:
    return np.unique(values, return_inverse=True)[1].reshape(-1).astype(np.intp)


def _twice(columns: Columns, lines: Codes, condition: Codes) -> Iterator[Doubt]:
    """Find trial numbers that come twice under one condition."""
    numbered = np.flatnonzero(np.isfinite(columns.trial))
    if not numbered.size:
        return
    key = join(condition[numbered], _codes(columns.trial[numbered]))
    first = np.full(int(key.max()) + 1, -1, dtype=np.intp)
    first[key[::-1]] = np.arange(key.size)[::-1]
    again = first[key] != np.arange(key.size)
    if not again.any():
        return
    before = first[key]
    rebound = columns.rebound[numbered]
    same = again & (rebound == rebound[before])
    size = int(condition.max()) + 1
    repeats = np.bincount(condition[numbered[again]], minlength=size)
    equal = np.bincount(condition[numbered[same]], minlength=size)
    for j in np.flatnonzero(again):
        at, earlier = int(numbered[j]), int(lines[numbered[before[j]]])
        here = condition[at]
        if equal[here] == repeats[here]:
            why = f"This row is the same as row {earlier}, trial number and all."
            cure = "If the row was pasted twice, set one of the two aside."
            yield Doubt(at, "", "copied row", why, cure)
        elif repeats[here] == 1:
            why = f"Row {earlier} has the same trial number for the same ball."
            cure = "If it is another drop, give it the next trial number."
            yield Doubt(at, "trial", "copied row", why, cure)


def _runs(columns: Columns, lines: Codes, like: Codes) -> Iterator[Doubt]:
    """Find runs of readings that equal another group's."""
    order = np.argsort(columns.group, kind="stable")
    group = columns.group[order]
    rebound = _codes(columns.rebound[order])
    kind = like[order]
    row = join(kind, rebound)
    fine = np.isfinite(columns.rebound[order])
    # How surprising is it that a like drop has just this reading?
    often = np.bincount(row)[row] / np.bincount(kind)[kind]
    surprise = np.where(fine, -np.log(often), 0.0)

    last = order.size - _SEED + 1
    if last < 2:
        return
    window: Codes = row[:last]
    whole = (group[:last] == group[_SEED - 1 :]) & fine[:last]
    for shift in range(1, _SEED):
        window = join(window, row[shift : last + shift])
    starts = np.flatnonzero(whole)
    starts = starts[np.argsort(window[starts], kind="stable")]
    same = window[starts[1:]] == window[starts[:-1]]
    same &= group[starts[1:]] != group[starts[:-1]]
    first, second = starts[:-1][same], starts[1:][same]
    if not first.size:
        return
    # Windows on one diagonal that follow each other are one run.
    by_place = np.lexsort((second, second - first))
    first, second = first[by_place], second[by_place]
    breaks = (np.diff(second) != 1) | (np.diff(first) != 1)
    run = np.concatenate([[0], np.cumsum(breaks)])
    begin = np.flatnonzero(np.concatenate([[True], breaks]))
    end = np.concatenate([begin[1:], [run.size]])
    pairs = np.bincount(kind)[kind].sum() / 2
    needed = np.log(max(pairs, 1.0) / _CHANCE)
    total = np.concatenate([[0.0], np.cumsum(surprise)])
    copied = np.full(order.size, -1, dtype=np.intp)
    for low, high in zip(begin, end, strict=True):
        stop = second[high - 1] + _SEED
        if total[stop] - total[second[low]] >= needed:
            copied[second[low] : stop] = first[low] + np.arange(stop - second[low])
    for j in np.flatnonzero(copied >= 0):
        earlier = int(lines[order[copied[j]]])
        why = (
            f"This and the rows beside it equal another group's, from row {earlier} on."
        )
        cure = "If they were copied by mistake, type your own readings over them."
        yield Doubt(int(order[j]), "", "copied run", why, cure)


def copy_doubts(columns: Columns, lines: Codes) -> Iterator[Doubt]:
    """Give the rows that look like copies of others.

    Parameters
    ----------
    columns : Columns
        The table's columns.
    lines : ndarray of int
        The line that a person sees, for each row.

    Yields
    ------
    Doubt
        About whole rows; first copies within a group, then runs across groups.
    """
    if columns.drop.size < 2:
        return
    read = [
        _codes(np.nan_to_num(each, nan=-1.0))
        for each in (columns.drop, columns.pressure, columns.temperature)
    ]
    drop, pressure, _ = read
    like = join(columns.ball, columns.floor, drop, pressure)
    condition = join(like, columns.group, columns.when, read[2])
    seen: Truths = np.zeros(columns.drop.size, dtype=bool)
    for doubt in _twice(columns, lines, condition):
        seen[doubt.at] = True
        yield doubt
    for doubt in _runs(columns, lines, like):
        if not seen[doubt.at]:
            yield doubt
