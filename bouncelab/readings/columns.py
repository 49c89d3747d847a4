"""The table's columns as plain arrays, with the balls' diameters filled in."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from bouncelab.catalogue import POINTS, Ball, find_ball, ranges
from bouncelab.readings.drops import Drops

__all__ = ["Codes", "Columns", "Numbers", "Truths", "columns_of", "join", "median_by"]

Numbers: TypeAlias = NDArray[np.float64]
Codes: TypeAlias = NDArray[np.intp]
Truths: TypeAlias = NDArray[np.bool_]

_HUGE = 1e9  # no reading needs to be compared beyond it, nor below its inverse
_MANY_NAMES = 2000  # beyond this the names are not kinds of balls


@dataclass(frozen=True, slots=True)
class Columns:
    """The table's columns as plain arrays, one value a row.

    Attributes
    ----------
    group, ball, floor, when : ndarray of int
        Codes of the texts, in order of appearance.
    trial : ndarray of float
        Trial number, NaN where there is none.
    drop, rebound : ndarray of float
        Heights as read, in m.
    under_drop, under_rebound : ndarray of float
        How far the bottom of the ball hangs under the point read, in m; NaN
        where the diameter is needed and not known.
    rebound_share : ndarray of float
        The point read: 0 bottom, 0.5 centre, 1 top.
    diameter, pressure, temperature, most : ndarray of float
        In m, Pa gauge, °C; `most` is the marked maximum of that kind of ball.
    liveliest : ndarray of float
        Greatest share of the drop height that a published range lets that kind
        of ball come back; NaN where no range says.
    aside : ndarray of bool
        Rows that a person has set aside: looked at, never used as a measure.
    """

    group: Codes
    ball: Codes
    floor: Codes
    when: Codes
    trial: Numbers
    drop: Numbers
    rebound: Numbers
    under_drop: Numbers
    under_rebound: Numbers
    rebound_share: Numbers
    diameter: Numbers
    pressure: Numbers
    temperature: Numbers
    most: Numbers
    liveliest: Numbers
    aside: Truths


@lru_cache(maxsize=4096)
def _kind(name: str) -> Ball | None:
    return find_ball(name) if name else None


@lru_cache(maxsize=256)
def _liveliest(kind: Ball | None) -> float:
    shares = [np.nan]
    for each in ranges() if kind else ():
        if kind is None or each.ball != kind.id or not each.rebound_max_m:
            continue
        under_drop = POINTS.get(each.drop_point, np.nan) * kind.diameter_m
        under_rebound = POINTS.get(each.rebound_point, np.nan) * kind.diameter_m
        top = each.rebound_max_m - under_rebound
        shares.append(top / (each.drop_height_m - under_drop))
    return max((each for each in shares if each < 1), default=np.nan)


def join(*codes: Codes) -> Codes:
    """Give one code to each different combination of codes.

    Parameters
    ----------
    *codes : ndarray of int, shape (N,)
        Codes from -1 upward.

    Returns
    -------
    ndarray of int, shape (N,)
        Codes from 0 upward, in order of appearance.

    Examples
    --------
    >>> join(np.array([0, 0, 1]), np.array([5, 5, -1])).tolist()
    [0, 0, 1]
    """
    joined = codes[0].astype(np.intp)
    for code in codes[1:]:
        wide = int(code.max(initial=0)) + 2
        # In a browser np.intp has 32 bits, too few for this product.
        pairs = joined.astype(np.int64) * wide + code + 1
        joined = pd.factorize(pairs)[0].astype(np.intp)
    return joined


def median_by(values: Numbers, codes: Codes, size: int) -> tuple[Numbers, Codes]:
    """Give the median of each code's finite values, and how many there are.

    Parameters
    ----------
    values : ndarray of float, shape (N,)
        The values; those that are not finite are passed over.
    codes : ndarray of int, shape (N,)
        Codes from 0 to `size` - 1.
    size : int
        Number of codes.

    Returns
    -------
    tuple of ndarray, shape (size,)
        Medians, NaN where a code has no value; and counts.

    Examples
    --------
    >>> median_by(np.array([1.0, 9.0, 2.0]), np.array([0, 0, 0]), 2)[0].tolist()
    [2.0, nan]
    """
    fine = np.isfinite(values)
    kept, code = values[fine], codes[fine]
    order = np.lexsort((kept, code))
    kept, code = kept[order], code[order]
    count = np.bincount(code, minlength=size)
    first = np.cumsum(count) - count
    median = np.full(size, np.nan)
    some = count > 0
    low, high = first + (count - 1) // 2, first + count // 2
    median[some] = 0.5 * (kept[low[some]] + kept[high[some]])
    return median, count


def columns_of(drops: Drops) -> Columns:
    """Take the columns out of a table of drops, with the diameters filled in.

    Parameters
    ----------
    drops : Drops
        The table.

    Returns
    -------
    Columns
        Plain arrays. A diameter that the table does not give is that of the
        same ball in other rows, or of its kind in the catalogue.

    Examples
    --------
    >>> from bouncelab.readings.drops import read_rows
    >>> columns_of(read_rows(["drop (cm)", "rebound (cm)"], [["100", "64"]])).drop
    array([1.])
    """
    table = drops.table

    def text(name: str) -> tuple[Codes, list[str]]:
        found, names = pd.factorize(table[name].to_numpy(dtype=object))
        return found.astype(np.intp), [str(each) for each in names]

    def number(name: str) -> Numbers:
        values: Numbers = table[name].to_numpy(dtype=np.float64, na_value=np.nan)
        values = np.clip(values, -_HUGE, _HUGE)
        return np.where((values > 0) & (values < 1 / _HUGE), 1 / _HUGE, values)

    def share(name: str) -> Numbers:
        code, names = text(name)
        shares = [POINTS.get(each, np.nan) for each in names]
        return np.array([*shares, np.nan])[code]

    ball, names = text("ball")
    few = len(names) <= _MANY_NAMES
    kinds = [_kind(name) if few else None for name in names]
    usual = np.array([kind.diameter_m if kind else np.nan for kind in kinds] + [np.nan])
    marked = [kind.max_gauge_pressure_pa if kind else None for kind in kinds]
    most = np.array([np.nan if each is None else each for each in marked] + [np.nan])

    diameter = number("diameter_m")
    lively = np.array([_liveliest(kind) for kind in kinds] + [np.nan])
    known = median_by(diameter, ball, len(names))[0]
    for fallback in (known, usual):
        diameter = np.where(np.isnan(diameter), fallback[ball], diameter)
    diameter = np.where(diameter > 0, diameter, np.nan)
    drop_share, rebound_share = share("drop_point"), share("rebound_point")
    return Columns(
        group=text("group")[0],
        ball=ball,
        floor=text("floor")[0],
        when=text("when")[0],
        trial=number("trial"),
        drop=number("drop_height_m"),
        rebound=number("rebound_height_m"),
        under_drop=np.where(drop_share == 0, 0.0, drop_share * diameter),
        under_rebound=np.where(rebound_share == 0, 0.0, rebound_share * diameter),
        rebound_share=rebound_share,
        diameter=diameter,
        pressure=number("gauge_pressure_pa"),
        temperature=number("temperature_c"),
        most=most[ball],
        liveliest=lively[ball],
        aside=(table["flag"].to_numpy(dtype=object) == "set_aside"),
    )
