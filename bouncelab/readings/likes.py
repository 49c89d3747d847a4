"""Sort drops into like ones, and see what the like ones say about each drop.

Two drops are *alike* when the same group dropped the same ball on the same
floor at the same pressure, warmth and height; a set of like drops is a *cell*.
Heights are compared at the bottom of the ball, as the share of the drop height
that came back, so that a few centimetres of drop height do not matter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bouncelab.readings.columns import Codes, Columns, Numbers, join, median_by

__all__ = ["Likes", "likes_of", "steps"]

_STEP = 1.08  # drop heights closer than 8 % are taken as one planned height
_PRESSURE_STEP = 5000.0  # Pa; closer gauge readings are taken as one pressure
_COOL, _WARM, _TOO_HOT = 12.0, 32.0, 50.0  # °C; the last is no gym's temperature


@dataclass(frozen=True, slots=True)
class Likes:
    """What like drops say, for the rows whose heights can be compared.

    Attributes
    ----------
    at : ndarray of int
        Positions of those rows in the table; every other array follows it.
    drop, rebound, share : ndarray of float
        Heights of the bottom of the ball in m, and rebound over drop.
    cell, count : ndarray of int
        Code of the cell, and how many of its drops have not been set aside.
    middle, condition_middle : ndarray of float
        Median share of the cell, and of its condition at every height.
    condition_count : ndarray of int
        How many drops the latter has.
    others, others_spread : ndarray of float
        Median share of the other groups' cells at this ball, floor, pressure
        and height, and the middle distance of all those cells from their median.
    others_count : ndarray of int
        How many other groups' cells that is.
    """

    at: Codes
    drop: Numbers
    rebound: Numbers
    share: Numbers
    cell: Codes
    count: Codes
    middle: Numbers
    condition_middle: Numbers
    condition_count: Codes
    others: Numbers
    others_spread: Numbers
    others_count: Codes


def steps(height: Numbers, codes: Codes) -> Codes:
    """Give each planned height of each code a number; a gap of 8 % starts a new one.

    Parameters
    ----------
    height : ndarray of float, shape (N,)
        Heights above zero, in m.
    codes : ndarray of int, shape (N,)
        What to keep apart.

    Returns
    -------
    ndarray of int, shape (N,)
        Codes from 0 upward, different for different `codes`.

    Examples
    --------
    >>> steps(np.array([1.80, 1.00, 1.82]), np.array([0, 0, 0])).tolist()
    [1, 0, 1]
    """
    order = np.lexsort((height, codes))
    tall, code = height[order], codes[order]
    new = (code[1:] != code[:-1]) | (tall[1:] > _STEP * tall[:-1])
    numbered = np.zeros(height.size, dtype=np.intp)
    numbered[order[1:]] = np.cumsum(new)
    return numbered


def _others(share: Numbers, step: Codes) -> tuple[Numbers, Numbers, Codes]:
    """For each cell, give what the other cells of its step say."""
    size = int(step.max(initial=-1)) + 1
    everyone, count = median_by(share, step, size)
    spread = median_by(np.abs(share - everyone[step]), step, size)[0][step]
    order = np.lexsort((share, step))  # NaN last in each step
    first = np.cumsum(np.bincount(step, minlength=size))
    first = (first - np.bincount(step, minlength=size))[step[order]]
    rank = np.arange(share.size) - first
    left = count[step[order]] - 1  # cells that remain without this one
    sorted_share = share[order]
    median = np.zeros(share.size)
    for half in (np.maximum(left - 1, 0) // 2, left // 2):
        place = first + half + (half >= rank)
        median += 0.5 * sorted_share[np.minimum(place, share.size - 1)]
    others = np.full(share.size, np.nan)
    others[order] = np.where(left > 0, median, np.nan)
    remain = np.where(np.isfinite(share), count[step] - 1, 0)
    return others, spread, remain


def likes_of(columns: Columns) -> Likes:
    """Sort the drops into cells and say what like drops say about each.

    Parameters
    ----------
    columns : Columns
        The table's columns.

    Returns
    -------
    Likes
        For the rows with two heights that can be compared.

    Examples
    --------
    >>> from bouncelab.readings.columns import columns_of
    >>> from bouncelab.readings.drops import read_rows
    >>> rows = [["100", "64"], ["100", "63"], ["100", "66"]]
    >>> likes_of(columns_of(read_rows(["drop (cm)", "rebound (cm)"], rows))).middle
    array([0.64, 0.64, 0.64])
    """
    drop = columns.drop - columns.under_drop
    rebound = columns.rebound - columns.under_rebound
    at = np.flatnonzero((drop > 0) & (columns.rebound >= 0) & np.isfinite(rebound))
    drop, rebound = drop[at], rebound[at]
    share = rebound / drop

    pressure = columns.pressure[at]
    level = np.where(np.isfinite(pressure), np.round(pressure / _PRESSURE_STEP), -1)
    warmth = columns.temperature[at]
    bin_ = np.where(warmth < _COOL, 0, np.where(warmth > _WARM, 2, 1))
    bin_ = np.where(warmth >= _TOO_HOT, 1, bin_)
    level = np.clip(level, -1, 1000).astype(np.intp)
    circumstances = join(columns.ball[at], columns.floor[at], level, bin_)
    condition = join(circumstances, columns.group[at])
    cell = steps(drop, condition)
    size = int(cell.max(initial=-1)) + 1

    counted = np.where(columns.aside[at], np.nan, share)
    middle, count = median_by(counted, cell, size)
    of_condition = median_by(counted, condition, int(condition.max(initial=-1)) + 1)

    # One number for each cell, compared with other groups' cells like it.
    example = np.zeros(size, dtype=np.intp)
    example[cell] = np.arange(at.size)
    tall = median_by(drop, cell, size)[0]
    step = steps(tall, circumstances[example])
    others, spread, others_count = _others(middle, step)
    return Likes(
        at=at,
        drop=drop,
        rebound=rebound,
        share=share,
        cell=cell,
        count=count[cell],
        middle=middle[cell],
        condition_middle=of_condition[0][condition],
        condition_count=of_condition[1][condition],
        others=others[cell],
        others_spread=spread[cell],
        others_count=others_count[cell],
    )
