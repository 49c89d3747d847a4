"""What is compared: conditions that differ in one thing, and the drops of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.warmth import same_air
from bouncelab.errors import InputError
from bouncelab.units import show_pressure, show_temperature

__all__ = ["BY", "Level", "chosen_rows", "level_of", "levels_to_compare"]

Numbers = NDArray[np.float64]

BY = ("ball", "pressure", "floor", "temperature", "group")
_RISK = 0.05
_HEIGHT, _PRESSURE, _WARMTH = 0.05, 2.5e3, 4.0  # m, Pa, K: held the same within


@dataclass(frozen=True, slots=True)
class Level:
    """One of the things compared: a name, its drops and who made them.

    Attributes
    ----------
    level : str
        Such as ``"Futsal A"`` or ``"55.0 kPa"``.
    e : ndarray, shape (n,)
        Coefficient of restitution of each drop.
    group : tuple of str
        Who made it.
    doubtful : ndarray of bool, shape (n,)
        Whether it carries a doubtful reading.
    mean, expanded : float
        Mean e and the half-width of its 95 % interval.
    """

    level: str
    e: Numbers
    group: tuple[str, ...]
    doubtful: NDArray[np.bool_]
    mean: float
    expanded: float

    @property
    def groups(self) -> list[str]:
        """The names of the groups, without blanks."""
        return [name for name in dict.fromkeys(self.group) if name]


def levels_to_compare(rows: Sequence[BallBounce], by: str) -> list[Level]:
    """Give the levels of what differs; those with one drop are left out.

    Parameters
    ----------
    rows : sequence of BallBounce
        Of `chosen_rows`.
    by : str
        One of `BY`.

    Returns
    -------
    list of Level
        In the order of the table.
    """
    levels = _by_group(rows[0]) if by == "group" else [level_of(r, by) for r in rows]
    return [each for each in levels if each.e.size > 1]


def chosen_rows(
    found: Bounciness, by: str, ball: str | None
) -> tuple[list[BallBounce], str]:
    """Give the conditions to compare, with everything else held the same.

    Parameters
    ----------
    found : Bounciness
        A class's results.
    by : str
        One of `BY`.
    ball : str or None
        Which ball, where not balls are compared.

    Returns
    -------
    tuple of list of BallBounce and str
        The conditions, and what is the same for all, in words.

    Raises
    ------
    InputError
        If `by` is another word, or the ball was not dropped.
    """
    if by not in BY:
        raise InputError("what to compare", f"“{by}”", ", ".join(BY), "Choose one.")
    rows = [row for row in found.rows if row.n > 0]
    if by == "ball":
        best: dict[str, BallBounce] = {}
        for row in rows:
            if row.ball not in best or row.n > best[row.ball].n:
                best[row.ball] = row
        return list(best.values()), "Each ball where it was dropped most often."
    names = [ball] if ball else list(dict.fromkeys(row.ball for row in rows))
    wanted = [" ".join(name.split()).casefold() for name in names]
    mine = [r for r in rows if " ".join(r.ball.split()).casefold() in wanted]
    if not mine:
        known = ", ".join(dict.fromkeys(f"“{row.ball}”" for row in rows))
        raise InputError("ball", f"“{ball}”", known or "none", "Write it as typed.")
    families: list[list[BallBounce]] = []
    for row in mine:
        near = (f for f in families if by != "group" and _alike(f[0], row, by))
        family = next(near, None)
        if family is None:
            families.append([row])
        else:
            family.append(row)

    def worth(family: list[BallBounce]) -> tuple[int, int]:
        if by == "group":
            return len(family[0].groups), family[0].n
        return len(family), sum(row.n for row in family)

    chosen = max(families, key=worth)
    if by in ("pressure", "temperature"):
        chosen.sort(key=lambda row: _rising(row, by))
    rest = "the rest held the same"
    if by == "temperature" and len({row.gauge_pressure for row in chosen}) > 1:
        rest = "the same air in it, so its pressure goes with the temperature"
    return chosen, f"All of {chosen[0].ball or 'one ball'}, {rest}."


def _rising(row: BallBounce, by: str) -> float:
    known = row.gauge_pressure if by == "pressure" else row.temperature
    return inf if known is None else known


def _alike(first: BallBounce, other: BallBounce, by: str) -> bool:
    """Say whether two conditions of one ball differ in `by` alone."""
    if first.ball != other.ball or abs(first.drop_height - other.drop_height) > _HEIGHT:
        return False
    if by != "floor" and first.floor.casefold() != other.floor.casefold():
        return False
    if by == "temperature" and same_air(first, other):
        return True
    for name, one, two, most in (
        ("pressure", first.gauge_pressure, other.gauge_pressure, _PRESSURE),
        ("temperature", first.temperature, other.temperature, _WARMTH),
    ):
        if by != name and one != two:
            known = one is not None and two is not None
            if not known or abs((one or 0.0) - (two or 0.0)) > most:
                return False
    return True


def level_of(row: BallBounce, by: str) -> Level:
    """Give a condition as a level.

    Parameters
    ----------
    row : BallBounce
        The condition.
    by : str
        One of `BY`; names the level.

    Returns
    -------
    Level
        With every drop of it.
    """
    name = row.ball
    if by == "floor":
        name = row.floor or "no floor written"
    elif by == "pressure":
        known = row.gauge_pressure
        name = "no pressure written" if known is None else show_pressure(known)
    elif by == "temperature":
        warm = row.temperature
        name = "no temperature written" if warm is None else show_temperature(warm)
    made = row.trials
    return Level(name, made.e, tuple(made.group), made.doubtful, row.e, row.expanded)


def _by_group(row: BallBounce) -> list[Level]:
    from scipy.special import stdtrit

    who = np.array(row.trials.group, dtype=object)
    levels = []
    for name in dict.fromkeys(row.trials.group):
        e, odd = row.trials.e[who == name], row.trials.doubtful[who == name]
        half = inf
        if e.size > 1:
            spread = float(e.std(ddof=1)) / sqrt(e.size)
            half = float(stdtrit(e.size - 1, 1 - _RISK / 2)) * spread
        told = name or "no group written"
        mean = float(e.mean())
        levels.append(Level(told, e, (told,) * e.size, odd, mean, half))
    return levels
