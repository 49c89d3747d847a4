"""What was measured of one ball at each pressure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.compared import level_of
from bouncelab.analysis.group_effect import group_effect
from bouncelab.errors import InputError

__all__ = ["Levels", "levels_of", "rows_of"]

Numbers = NDArray[np.float64]

_RISK = 0.05  # of seeing differences between groups that are alike


@dataclass(frozen=True, slots=True)
class Levels:
    """What was measured of one ball, one value for each pressure.

    Attributes
    ----------
    pressure : ndarray, shape (L,)
        Gauge pressure in Pa, rising.
    ratio : ndarray, shape (L,)
        Mean rebound over drop height of the lowest point.
    n : ndarray of int, shape (L,)
        Drops.
    spread : float
        Standard deviation of one drop's ratio, pooled over pressures.
    dof : int
        Degrees of freedom of `spread`.
    shared : float
        Standard uncertainty of all ratios together, from tape and setting.
    of_groups, groups : float and int
        Standard uncertainty of all ratios together because groups measure
        differently, 0 if they do not or there is one; and how many there are.
    diameter : float or None
        In m.
    """

    pressure: Numbers
    ratio: Numbers
    n: NDArray[np.intp]
    spread: float
    dof: int
    shared: float
    of_groups: float
    groups: int
    diameter: float | None


def rows_of(found: Bounciness, ball: str) -> list[BallBounce]:
    """Give a ball's conditions on the one floor and height with most drops.

    Parameters
    ----------
    found : Bounciness
        A class's results.
    ball : str
        The ball's name; case and spaces do not matter.

    Returns
    -------
    list of BallBounce
        At least one.

    Raises
    ------
    InputError
        If no such ball was dropped.
    """
    wanted = " ".join(ball.split()).casefold()
    rows = [r for r in found.rows if " ".join(r.ball.split()).casefold() == wanted]
    if not rows:
        names = list(dict.fromkeys(r.ball for r in found.rows))
        if not names:
            raise InputError(
                what=f"the ball “{ball}”",
                read="no drop that can be used",
                allowed="drops of it at several pressures",
                do="Look at the readings with bouncelab check, and mend them.",
            )
        raise InputError(
            what="ball",
            read=f"“{ball}”",
            allowed=", ".join(f"“{name}”" for name in names[:12]) or "none",
            do="Write its name as in the class's table.",
        )

    def alike(row: BallBounce) -> tuple[str, float]:
        return row.floor.casefold(), round(row.drop_height, 1)

    counts: dict[tuple[str, float], int] = {}
    for row in rows:
        if row.gauge_pressure is not None:
            counts[alike(row)] = counts.get(alike(row), 0) + row.n
    if not counts:
        return rows
    most = max(counts, key=lambda each: counts[each])
    return [r for r in rows if alike(r) == most]


def levels_of(rows: Sequence[BallBounce]) -> Levels | None:
    """Give what was measured at each pressure, or None if no pressure is known.

    Parameters
    ----------
    rows : sequence of BallBounce
        One ball's conditions.

    Returns
    -------
    Levels or None
        Pressures rising.
    """
    rows = [r for r in rows if r.gauge_pressure is not None and r.n > 0]
    if not rows:
        return None
    rows = sorted(rows, key=lambda r: float(r.gauge_pressure or 0.0))
    ratios = [r.trials.rebound_height / r.trials.drop_height for r in rows]
    squares = sum(float(np.sum((x - x.mean()) ** 2)) for x in ratios)
    dof = sum(x.size - 1 for x in ratios)
    effect = group_effect([level_of(row, "pressure") for row in rows])
    of_groups, groups = 0.0, 1
    if effect is not None:
        groups = effect.groups
        if effect.p < _RISK:
            slope = 2 * float(np.mean([r.e for r in rows]))  # of the ratio e² by e
            of_groups = slope * effect.between / float(np.sqrt(groups))
            # What groups share is no scatter of the drops.
            squares, dof = effect.within_squares * slope**2, effect.within_dof
    return Levels(
        pressure=np.array([r.gauge_pressure for r in rows], dtype=np.float64),
        ratio=np.array([x.mean() for x in ratios]),
        n=np.array([x.size for x in ratios]),
        spread=float(np.sqrt(squares / dof)) if dof else 0.0,
        dof=dof,
        shared=float(np.mean([2 * r.e * r.basis.type_b for r in rows])),
        of_groups=of_groups,
        groups=groups,
        diameter=rows[0].diameter,
    )
