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
from bouncelab.analysis.words import shown
from bouncelab.chance_laws import student_quantile
from bouncelab.errors import InputError
from bouncelab.units import show_pressure, show_temperature

__all__ = [
    "BY",
    "Level",
    "chosen_rows",
    "each_ball",
    "level_of",
    "levels_to_compare",
    "too_few",
]

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
    unread : float
        What its drops leave open in the mean of e, however well they agree, because
        each was read so finely and no finer: a standard uncertainty.
    """

    level: str
    e: Numbers
    group: tuple[str, ...]
    doubtful: NDArray[np.bool_]
    mean: float
    expanded: float
    unread: float = 0.0

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
    if not rows:
        raise InputError(
            what="comparing",
            read="no drop that can be used",
            allowed="two balls or conditions at least, with two drops or more each",
            do="Look at the readings with bouncelab check, and mend them.",
        )
    if by == "ball":
        return each_ball(rows)
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


def each_ball(rows: Sequence[BallBounce]) -> tuple[list[BallBounce], str]:
    """Choose one condition of each ball, as alike as the class made them.

    Parameters
    ----------
    rows : sequence of BallBounce
        All conditions with a drop.

    Returns
    -------
    tuple of list of BallBounce and str
        Where floor, height and temperature suit most balls, the condition with most
        drops; a ball that was never dropped there, where it was dropped most. And
        what is the same for all, in words, with what is not.
    """
    if not rows:
        return [], "No drop can be used."

    def here(row: BallBounce, place: BallBounce) -> bool:
        warm = (row.temperature, place.temperature)
        known = None not in warm
        close = known and abs((warm[0] or 0.0) - (warm[1] or 0.0)) <= _WARMTH
        return (
            row.floor.casefold() == place.floor.casefold()
            and abs(row.drop_height - place.drop_height) <= _HEIGHT
            and (close or not known)
        )

    places: list[BallBounce] = []
    for row in rows:
        if not any(here(row, each) for each in places):
            places.append(row)

    def worth(place: BallBounce) -> tuple[int, int]:
        inside = [row for row in rows if here(row, place)]
        return len({row.ball for row in inside}), sum(row.n for row in inside)

    best = max(places, key=worth)
    chosen: dict[str, BallBounce] = {}
    for row in sorted(rows, key=lambda each: (not here(each, best), -each.n)):
        chosen.setdefault(row.ball, row)
    out = [chosen[name] for name in dict.fromkeys(row.ball for row in rows)]
    held = "Each ball where it was dropped most often."
    if len(places) > 1:
        held = "Each ball under the conditions that most balls share."
    unlike = _unlike(out)
    if unlike:
        away = [f"“{row.ball}”" for row in out if not here(row, best)]
        who = f"{away[0]} differs" if len(away) == 1 else "They differ"
        held += f" {who} in {unlike}, too: what is found may come from there."
    return out, held


def _unlike(rows: Sequence[BallBounce]) -> str:
    """Say in what conditions differ besides the ball and its pressure."""
    heights = [row.drop_height for row in rows]
    warm = [row.temperature for row in rows if row.temperature is not None]
    found = [
        name
        for name, differs in (
            ("floor", len({row.floor.casefold() for row in rows}) > 1),
            ("drop height", max(heights) - min(heights) > 2 * _HEIGHT),
            ("temperature", bool(warm) and max(warm) - min(warm) > 2 * _WARMTH),
        )
        if differs
    ]
    return " and ".join(filter(None, [", ".join(found[:-1]), *found[-1:]]))


def too_few(found: Bounciness, levels: Sequence[Level], by: str) -> InputError:
    """Say that there are not two levels, with what can be said all the same.

    Parameters
    ----------
    found : Bounciness
        A class's results.
    levels : sequence of Level
        One or none.
    by : str
        One of `BY`.

    Returns
    -------
    InputError
        With the one level's e, and what else can be compared in this class.
    """
    read = "none with two drops"
    if levels:
        (one,) = levels
        read = f"only “{one.level}”, with e = {shown(one.mean, one.expanded)}"
    others = []
    for other in BY:
        if other != by:
            rows, _ = chosen_rows(found, other, None)
            if rows and len(levels_to_compare(rows, other)) > 1:
                others.append(other)
    do = "Drop another one, under the same conditions."
    if others:
        ways = " or ".join(filter(None, [", ".join(others[:-1]), others[-1]]))
        do = f"Drop another one, under the same conditions, or compare by {ways}."
    return InputError(
        what=f"comparing by {by}",
        read=read,
        allowed="two at least with two drops or more each",
        do=do,
    )


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
    who, odd = tuple(made.group), made.doubtful
    return Level(name, made.e, who, odd, row.e, row.expanded, _unread(row, row.n))


def _unread(row: BallBounce, n: int) -> float:
    """Give what reading alone leaves open in the mean e of n drops."""
    if row.rebound_height <= 0:
        return 0.0
    width = row.basis.quality.rebound_half_width
    return row.e * width / (2 * row.rebound_height * sqrt(3 * n))


def _by_group(row: BallBounce) -> list[Level]:
    who = np.array(row.trials.group, dtype=object)
    levels = []
    for name in dict.fromkeys(row.trials.group):
        e, odd = row.trials.e[who == name], row.trials.doubtful[who == name]
        half, unread = inf, _unread(row, e.size)
        if e.size > 1:
            spread = max(float(e.std(ddof=1)) / sqrt(e.size), unread)
            half = float(student_quantile(e.size - 1, 1 - _RISK / 2)) * spread
        told = name or "no group written"
        mean = float(e.mean())
        levels.append(Level(told, e, (told,) * e.size, odd, mean, half, unread))
    return levels
