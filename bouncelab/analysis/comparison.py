"""Which balls, pressures, floors, temperatures or groups differ, and how surely?"""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf, isfinite, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.power import drops_for
from bouncelab.analysis.words import plain, shown
from bouncelab.errors import InputError
from bouncelab.units import show_pressure, show_temperature

__all__ = ["BY", "Comparison", "Level", "Pair", "compare"]

Numbers = NDArray[np.float64]

BY = ("ball", "pressure", "floor", "temperature", "group")
_RISK = 0.05
_TINY = 1e-9
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


@dataclass(frozen=True, slots=True)
class Pair:
    """Two levels set against each other.

    Attributes
    ----------
    a, b : str
        Their names.
    difference, low, high : float
        Mean e of `b` less that of `a`, with its 95 % interval.
    p, p_holm : float
        Chance of a difference this large if there is none; the second allows for
        all pairs that were looked at.
    different : bool
        Whether `p_holm` is below 0.05.
    drops_needed : float or None
        More drops of each that would tell such a difference four times out of
        five; 0 if it is told; None where it cannot be reckoned.
    method : str
        What was compared: groups in pairs, groups, or drops.
    """

    a: str
    b: str
    difference: float
    low: float
    high: float
    p: float
    p_holm: float
    different: bool
    drops_needed: float | None
    method: str

    def __str__(self) -> str:
        size = shown(abs(self.difference), (self.high - self.low) / 2)
        if self.different:
            word = "livelier" if self.difference > 0 else "less lively"
            return f"{self.b} is {word} than {self.a}: e differs by {size}."
        said = f"{self.a} and {self.b} cannot be told apart: e differs by {size}."
        if self.p < _RISK:
            return f"{said} Alone it would count; among so many pairs it may be chance."
        if self.drops_needed is not None and isfinite(self.drops_needed):
            said += f" About {self.drops_needed:.0f} more drops of each might tell."
        return said


@dataclass(frozen=True, slots=True)
class Comparison:
    """All levels of one thing, and every pair of them.

    Attributes
    ----------
    by : str
        One of `BY`.
    levels : tuple of Level
        In the order of the table.
    pairs : tuple of Pair
        Every two levels.
    held : str
        What was the same for all.
    """

    by: str
    levels: tuple[Level, ...]
    pairs: tuple[Pair, ...]
    held: str

    def __str__(self) -> str:
        return "\n".join([self.held, *map(str, self.pairs)])

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><td>{html.escape(each.level)}</td><td>{each.e.size}</td>"
            f"<td>{len(each.groups)}</td>"
            f"<td>{shown(each.mean, each.expanded)}</td></tr>"
            for each in self.levels
        )
        said = "".join(f"<li>{html.escape(str(each))}</li>" for each in self.pairs)
        return (
            f"<p>{html.escape(self.held)}</p><table><thead><tr>"
            f"<th>{self.by}</th><th>drops</th><th>groups</th><th>e (± 95 %)</th>"
            f"</tr></thead><tbody>{rows}</tbody></table><ul>{said}</ul>"
        )

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "by": self.by,
            "levels": [
                {
                    "level": each.level,
                    "n": int(each.e.size),
                    "groups": len(each.groups),
                    "e": plain(each.mean),
                    "U_e": plain(each.expanded),
                }
                for each in self.levels
            ],
            "pairs": [
                {
                    "a": each.a,
                    "b": each.b,
                    "difference": plain(each.difference),
                    "low": plain(each.low),
                    "high": plain(each.high),
                    "p": plain(each.p),
                    "p_holm": plain(each.p_holm),
                    "different": each.different,
                    "drops_needed": plain(each.drops_needed),
                }
                for each in self.pairs
            ],
        }


def compare(found: Bounciness, *, by: str, ball: str | None = None) -> Comparison:
    """Compare balls, or one ball's pressures, floors, temperatures or groups.

    Parameters
    ----------
    found : Bounciness
        A class's results.
    by : {"ball", "pressure", "floor", "temperature", "group"}
        What differs; everything else is held the same.
    ball : str, optional
        Which ball, where not balls are compared; the one with most to compare if
        left out.

    Returns
    -------
    Comparison
        Every level and every pair.

    Raises
    ------
    InputError
        If `by` is another word, the ball was not dropped, or there are not two
        levels with two drops each.

    Notes
    -----
    Groups read differently, so where two levels were dropped by the same groups
    the differences within each group are compared (paired t); where by others,
    the groups' means (Welch); only without groups, the drops. All pairs together
    raise a false alarm in 5 of 100 classes at most (Holm).

    References
    ----------
    .. [1] B. L. Welch, *Biometrika* 34 (1947) 28; S. Holm, *Scand. J. Statist.* 6
       (1979) 65, both from memory.

    Examples
    --------
    >>> from bouncelab import bounciness, check_drops, read_drops
    >>> from bouncelab.places import kit_folder
    >>> drops = check_drops(read_drops(kit_folder("data") / "larkfield_class.csv"))
    >>> len(compare(bounciness(drops), by="ball").levels) > 5
    True
    """
    if by not in BY:
        raise InputError("what to compare", f"“{by}”", ", ".join(BY), "Choose one.")
    rows, held = _chosen(found, by, ball)
    levels = _by_group(rows[0]) if by == "group" else [_level(r, by) for r in rows]
    levels = [each for each in levels if each.e.size > 1]
    if len(levels) < 2:
        raise InputError(
            what=f"comparing by {by}",
            read=f"{len(levels)} with two drops or more",
            allowed="two at least",
            do="Drop another one, under the same conditions.",
        )
    tests = [(a, b, *_test(a, b)) for a, b in combinations(levels, 2)]
    holm = _holm([p for *_, p, _ in tests])
    pairs = []
    for (a, b, gap, half, p, method), adjusted in zip(tests, holm, strict=True):
        told = adjusted < _RISK
        pairs.append(
            Pair(
                a=a.level,
                b=b.level,
                difference=gap,
                low=gap - half,
                high=gap + half,
                p=p,
                p_holm=adjusted,
                different=told,
                drops_needed=0.0 if told else _needed(a, b, gap),
                method=method,
            )
        )
    return Comparison(by, tuple(levels), tuple(pairs), held)


def _chosen(
    found: Bounciness, by: str, ball: str | None
) -> tuple[list[BallBounce], str]:
    """Give the conditions to compare, with everything else held the same."""
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
    return chosen, f"All of {chosen[0].ball or 'one ball'}, the rest held the same."


def _alike(first: BallBounce, other: BallBounce, by: str) -> bool:
    """Say whether two conditions of one ball differ in `by` alone."""
    if first.ball != other.ball or abs(first.drop_height - other.drop_height) > _HEIGHT:
        return False
    if by != "floor" and first.floor.casefold() != other.floor.casefold():
        return False
    for name, one, two, most in (
        ("pressure", first.gauge_pressure, other.gauge_pressure, _PRESSURE),
        ("temperature", first.temperature, other.temperature, _WARMTH),
    ):
        if by != name and one != two:
            known = one is not None and two is not None
            if not known or abs((one or 0.0) - (two or 0.0)) > most:
                return False
    return True


def _level(row: BallBounce, by: str) -> Level:
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


def _means(level: Level) -> dict[str, float]:
    who = np.array(level.group, dtype=object)
    return {name: float(level.e[who == name].mean()) for name in level.groups}


def _test(a: Level, b: Level) -> tuple[float, float, float, str]:
    """Give the difference, its 95 % half-width, p, and what was compared."""
    first, second = _means(a), _means(b)
    shared = [name for name in first if name in second]
    if len(shared) > 1:
        apart = np.array([second[name] - first[name] for name in shared])
        error = float(apart.std(ddof=1)) / sqrt(apart.size)
        gap, freedom = float(apart.mean()), apart.size - 1.0
        return gap, *_student(gap, error, freedom), "the same groups"
    if len(first) > 1 and len(second) > 1:
        x, y = np.array(list(first.values())), np.array(list(second.values()))
        method = "groups"
    else:
        x, y, method = a.e, b.e, "drops"
    vx, vy = x.var(ddof=1) / x.size, y.var(ddof=1) / y.size
    error = sqrt(vx + vy)
    share = vx**2 / (x.size - 1) + vy**2 / (y.size - 1)
    freedom = (vx + vy) ** 2 / share if share > 0 else x.size + y.size - 2.0
    gap = float(y.mean() - x.mean())
    return gap, *_student(gap, error, freedom), method


def _student(gap: float, error: float, freedom: float) -> tuple[float, float]:
    from scipy.special import stdtr, stdtrit

    half = float(stdtrit(freedom, 1 - _RISK / 2)) * error
    if error < _TINY:
        return half, 0.0 if abs(gap) > _TINY else 1.0
    return half, float(2 * stdtr(freedom, -abs(gap) / error))


def _holm(p: Sequence[float]) -> list[float]:
    """Adjust chances for the number of pairs, the smallest first."""
    order = np.argsort(p, kind="stable")
    adjusted, worst = [0.0] * len(p), 0.0
    for rank, place in enumerate(order):
        worst = max(worst, min(1.0, (len(p) - rank) * p[place]))
        adjusted[place] = worst
    return adjusted


def _needed(a: Level, b: Level, gap: float) -> float | None:
    spare = a.e.size + b.e.size - 2
    squares = a.e.var() * a.e.size + b.e.var() * b.e.size
    spread = sqrt(squares / spare)
    if spread < _TINY or abs(gap) < _TINY:
        return None
    more = drops_for(difference=gap, spread=spread) - min(a.e.size, b.e.size)
    return max(more, 1.0)
