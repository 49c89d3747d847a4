"""Tell how far a drop is from the middle of its trials, beside the usual scatter.

The rule is a modified z-score [1]_: distance from the median of the cell over
a robust scatter. Three to five trials are too few to give their own scatter
(with readings to the nearest centimetre it is often zero), so the scatter is
built in steps, each steadied by the one before as in [2]_: reading by eye,
then the whole table, then the group, then the cell. A drop never counts in the
scatter it is judged by, and a far one counts only up to a limit. The limit is
Student's t, as in Grubbs' test [3]_, for 1 good reading in 300.

.. [1] B. Iglewicz and D. C. Hoaglin, *How to Detect and Handle Outliers*,
   ASQC (1993); from memory.
.. [2] G. K. Smyth, *Stat. Appl. Genet. Mol. Biol.* 3 (2004), article 3, for the
   moderated variance; from memory.
.. [3] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bouncelab.readings.columns import Codes, Columns, Numbers, Truths
from bouncelab.readings.likes import Likes

__all__ = ["Scatter", "scatter_of"]

# Scatter of a rebound read by eye: common practice, no source.
_EYE, _EYE_SHARE = 0.005, 0.007  # m, and share of the drop height
_EYE_WEIGHT = 4.0  # trials that this guess is worth
_WEIGHTS = (4.0, 6.0, 6.0)  # the most that the coarser level counts in the finer
_CLIP, _WIDEST = 4.0, 3.0
_MIDDLE = 0.6  # middle distance from a median of few trials, in standard deviations
_COARSEST = 0.05  # m; nobody rounds to more
_FEWEST = 3

# Student's t for a two-sided chance of 1 in 300, by degrees of freedom
# (computed with scipy.stats.t.isf(1 / 600, dof)).
_DOF = np.array([3.0, 4, 5, 6, 8, 10, 15, 20, 30, 60, 1e9])
_T = np.array(
    [8.575, 6.254, 5.247, 4.698, 4.122, 3.827, 3.484, 3.331, 3.189, 3.057, 2.935]
)


@dataclass(frozen=True, slots=True)
class Scatter:
    """How each drop stands to its cell.

    Attributes
    ----------
    distance : ndarray of float
        Rebound minus what the middle of the cell gives for its drop height, in m.
    usual : ndarray of float
        Standard deviation that the other trials let expect, in m.
    limit : ndarray of float
        How many standard deviations are still ordinary.
    far : ndarray of bool
        Where the distance is beyond the limit, in cells of three or more.
    """

    distance: Numbers
    usual: Numbers
    limit: Numbers
    far: Truths


def _finest(rebound: Numbers, group: Codes) -> Numbers:
    """Give the finest step between different rebounds of each group, in m."""
    order = np.lexsort((rebound, group))
    gap, same = np.diff(rebound[order]), np.diff(group[order]) == 0
    fine = same & (gap > 1e-6)
    finest = np.full(int(group.max(initial=0)) + 1, _COARSEST)
    np.minimum.at(finest, group[order][1:][fine], gap[fine])
    return finest[group]


def scatter_of(columns: Columns, likes: Likes) -> Scatter:
    """Give each drop's distance from its cell and the scatter to expect.

    Parameters
    ----------
    columns : Columns
        The table's columns.
    likes : Likes
        Its cells.

    Returns
    -------
    Scatter
        One value for each row of `likes`.

    Examples
    --------
    >>> from bouncelab.readings.drops import read_rows
    >>> from bouncelab.readings.columns import columns_of
    >>> from bouncelab.readings.likes import likes_of
    >>> rows = [["100", rebound] for rebound in ("62", "64", "63", "62", "81")]
    >>> columns = columns_of(read_rows(["drop (cm)", "rebound (cm)"], rows))
    >>> scatter_of(columns, likes_of(columns)).far.tolist()
    [False, False, False, False, True]
    """
    group = columns.group[likes.at]
    resolution = _finest(columns.rebound[likes.at], group)
    eye = np.hypot(_EYE + _EYE_SHARE * likes.drop, 0.3 * resolution)
    distance = (likes.share - likes.middle) * likes.drop
    counted = (likes.count >= _FEWEST) & ~columns.aside[likes.at]
    counted &= (likes.share >= 0) & (likes.share <= 1)

    ratio = np.where(counted, np.abs(distance) / eye, 0.0)
    dof = np.where(counted, 1 - 1 / np.maximum(likes.count, 1), 0.0)
    typical = np.median(ratio[counted]) / _MIDDLE if counted.any() else 1.0
    square = np.minimum(ratio, _CLIP * np.clip(typical, 1.0, _WIDEST)) ** 2

    # Each level uses what the finer ones do not, and never the drop judged.
    def total(code: Codes) -> tuple[Numbers, Numbers]:
        squares: Numbers = np.bincount(code, weights=square)[code].astype(np.float64)
        dofs: Numbers = np.bincount(code, weights=dof)[code].astype(np.float64)
        return squares, dofs

    everywhere = np.full_like(square, square.sum()), np.full_like(dof, dof.sum())
    levels = [everywhere, total(group), total(likes.cell), (square, dof)]
    variance, freedom = np.ones_like(square), np.full_like(dof, _EYE_WEIGHT)
    for (squares, dofs), (finer, finer_dof), weight in zip(
        levels, levels[1:], _WEIGHTS, strict=False
    ):
        trust = np.minimum(freedom, weight)
        freedom = trust + np.maximum(dofs - finer_dof, 0.0)
        variance = (trust * variance + np.maximum(squares - finer, 0.0)) / freedom
    usual = eye * np.sqrt(np.maximum(variance, 0.25))
    limit = np.interp(1 / freedom, 1 / _DOF[::-1], _T[::-1])
    far = (likes.count >= _FEWEST) & (
        np.abs(distance) > limit * usual + 0.5 * resolution
    )
    return Scatter(distance, usual, limit, far)
