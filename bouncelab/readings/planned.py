"""Find drop heights that stand alone, and the planned height that was meant.

A class drops a ball from a few planned heights. A height that only one group
used, and that one familiar slip turns into a planned height, is worth a look
even when the rebound carries the same slip and their ratio hides it.
"""

from __future__ import annotations

import numpy as np

from bouncelab.readings.columns import Codes, Columns, Numbers, Truths, join
from bouncelab.readings.likes import Likes, steps

__all__ = ["meant_heights"]

_NEAR = 0.007  # 72 in is 182.9 cm, written 183; but 60 and 150 are no slip
_PART = 0.34  # a slip spoils one drop in three at most, or all of them
_ROUND = 0.5  # m; a whole group at such a height has planned it


def _within(keys: Numbers, codes: Codes, logs: Numbers) -> Codes:
    """Count sorted keys (code and logarithm) near the given ones."""
    low = np.searchsorted(keys, codes * 100.0 + logs - _NEAR)
    high = np.searchsorted(keys, codes * 100.0 + logs + _NEAR)
    return (high - low).astype(np.intp)


def meant_heights(columns: Columns, likes: Likes, factors: tuple[float, ...]) -> Truths:
    """Find drop heights that stand alone, and what may have been meant.

    Parameters
    ----------
    columns : Columns
        The table's columns.
    likes : Likes
        Its comparable rows.
    factors : tuple of float
        The slips to try: a drop height times a factor should be a planned one.

    Returns
    -------
    ndarray of bool, shape (N, F)
        For each row of `likes` and each factor, whether no other group dropped
        this ball from about this height and the factor turns it into a planned
        one: one that the group used for its other drops of the ball, or that
        two other groups used.
    """
    ball, group = columns.ball[likes.at], columns.group[likes.at]
    height = columns.drop[likes.at]
    both = join(ball, group)
    step = steps(height, ball)
    mine = join(step, group)
    rows_here = np.bincount(mine)[mine]
    rows_of_ball = np.bincount(both)[both]
    first_of_mine = np.zeros(int(mine.max(initial=-1)) + 1, dtype=np.intp)
    first_of_mine[mine] = np.arange(mine.size)
    groups_here = np.bincount(
        step[first_of_mine], minlength=int(step.max(initial=0)) + 1
    )
    lonely = groups_here[step] == 1
    meant = np.zeros((height.size, len(factors)), dtype=bool)
    look = np.flatnonzero(lonely)
    if not look.size:
        return meant

    logs = np.log(height)
    own_keys = np.sort(both * 100.0 + logs)
    class_keys = np.sort(ball[first_of_mine] * 100.0 + logs[first_of_mine])
    few = rows_here[look] <= np.maximum(1, _PART * rows_of_ball[look])
    halves = height[look] / _ROUND
    odd = np.abs(halves - np.round(halves)) > 1e-6
    for which, factor in enumerate(factors):
        target = logs[look] + np.log(factor)
        own = _within(own_keys, both[look], target)
        groups = _within(class_keys, ball[look], target) - (own > 0)
        by_own = few & (own >= 2) & (own >= 2 * rows_here[look])
        by_class = (groups >= 2) & (few | (odd & (own == 0)))
        meant[look, which] = by_own | by_class
    return meant
