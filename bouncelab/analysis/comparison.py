"""Which balls, pressures, floors, temperatures or groups differ, and how surely?"""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot, isfinite, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.any_differ import AnyDiffer, any_differ
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.compared import (
    BY,
    Level,
    chosen_rows,
    level_of,
    levels_to_compare,
    too_few,
)
from bouncelab.analysis.group_effect import GroupEffect, group_effect
from bouncelab.analysis.names import about_names
from bouncelab.analysis.power import drops_for
from bouncelab.analysis.warmth import REFERENCE, Warmth, warmth_effect
from bouncelab.analysis.words import plain, shown
from bouncelab.chance_laws import student_below, student_quantile

__all__ = ["BY", "Comparison", "Level", "Pair", "compare"]

Numbers = NDArray[np.float64]

_RISK = 0.05
_TINY = 1e-9
_ONE_GROUP, _OTHERS = "drops of the group that dropped both", "drops of other groups"


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
        What was compared: the same groups, groups, or drops, and whose.
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

    @property
    def size(self) -> str:
        """How far e differs, with its 95 % half-width."""
        return shown(abs(self.difference), (self.high - self.low) / 2)

    @property
    def finding(self) -> str:
        """What can be said of the two, without numbers."""
        if not self.different:
            return f"{self.a} and {self.b} cannot be told apart"
        word = "livelier" if self.difference > 0 else "less lively"
        return f"{self.b} is {word} than {self.a}"

    @property
    def other_groups(self) -> bool:
        """Whether no group dropped both, so that groups may make the difference."""
        return self.method == _OTHERS

    @property
    def hint(self) -> str:
        """What might help to tell them apart, or why they are not; else empty."""
        if self.other_groups:
            return "Other groups dropped the one than the other: it may be the groups."
        if self.different:
            return ""
        if self.p < _RISK:
            return "Alone it would count; among so many pairs it may be chance."
        if self.drops_needed is not None and isfinite(self.drops_needed):
            more = f"{self.drops_needed:.0f}"
            drops = "1 more drop" if more == "1" else f"{more} more drops"
            return f"About {drops} of each might tell."
        return ""

    def __str__(self) -> str:
        return f"{self.finding}: e differs by {self.size}. {self.hint}".rstrip()


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
    group_effect : GroupEffect or None
        Whether it matters who measured; None if no two groups share a level.
    warmth : Warmth or None
        What cold does, where temperatures are compared.
    overall : AnyDiffer or None
        Whether any differ at all; None for two levels, and for groups, of which
        `group_effect` tells.
    doubts : tuple of str
        Names that were taken for one ball, or might be one.
    """

    by: str
    levels: tuple[Level, ...]
    pairs: tuple[Pair, ...]
    held: str
    group_effect: GroupEffect | None = None
    warmth: Warmth | None = None
    overall: AnyDiffer | None = None
    doubts: tuple[str, ...] = ()

    def __str__(self) -> str:
        return "\n".join([self.held, *map(str, self.pairs), *self.remarks])

    @property
    def remarks(self) -> list[str]:
        """What else there is to say, in sentences."""
        named = any(pair.different for pair in self.pairs)
        said = [] if self.overall is None else [self.overall.words(named)]
        said += [] if self.group_effect is None else [str(self.group_effect)]
        said += [] if self.warmth is None else self.warmth.words
        return [*said, *self.doubts]

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><td>{html.escape(each.level)}</td><td>{each.e.size}</td>"
            f"<td>{len(each.groups)}</td>"
            f"<td>{shown(each.mean, each.expanded)}</td></tr>"
            for each in self.levels
        )
        told = [*map(str, self.pairs), *self.remarks]
        said = "".join(f"<li>{html.escape(each)}</li>" for each in told)
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
            "overall": self.overall and self.overall.to_dict(),
            "group_effect": self.group_effect and self.group_effect.to_dict(),
            "temperature": self.warmth and self.warmth.to_dict(),
        }


def compare(
    found: Bounciness,
    *,
    by: str,
    ball: str | None = None,
    reference: float = REFERENCE,
) -> Comparison:
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
    reference : float, optional
        Temperature in °C to carry e to, where temperatures are compared.

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
    the groups' means (Welch). Where one of them was dropped by one group alone, the
    drops of that group are compared; only else all drops. Drops that agree better
    than they can be read count as read. All pairs together raise a false alarm in 5
    of 100 classes at most (Holm).

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
    rows, held = chosen_rows(found, by, ball)
    levels = levels_to_compare(rows, by)
    if len(levels) < 2:
        raise too_few(found, levels, by)
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
    whole = [level_of(rows[0], by)] if by == "group" else levels
    effect = group_effect(whole)
    warmth = None
    if by == "temperature" and any(row.temperature is not None for row in rows):
        warmth = warmth_effect(rows, reference=reference)
    spoken = {f"“{row.ball}”" for row in rows}
    doubts = [
        each
        for each in about_names(found.drops.table["ball"])
        if any(name in each for name in spoken)
    ]
    return Comparison(
        by=by,
        levels=tuple(levels),
        pairs=tuple(pairs),
        held=held,
        group_effect=effect,
        warmth=warmth,
        overall=None if by == "group" else any_differ(levels),
        doubts=tuple(doubts),
    )


def _means(level: Level) -> dict[str, float]:
    who = np.array(level.group, dtype=object)
    return {name: float(level.e[who == name].mean()) for name in level.groups}


def _test(a: Level, b: Level) -> tuple[float, float, float, str]:
    """Give the difference, its 95 % half-width, p, and what was compared."""
    first, second = _means(a), _means(b)
    shared = [name for name in first if name in second]
    least = hypot(a.unread, b.unread)
    if len(shared) > 1:
        apart = np.array([second[name] - first[name] for name in shared])
        error = max(float(apart.std(ddof=1)) / sqrt(apart.size), least)
        gap, freedom = float(apart.mean()), apart.size - 1.0
        return gap, *_student(gap, error, freedom), "the same groups"
    if len(first) > 1 and len(second) > 1:
        x, y = np.array(list(first.values())), np.array(list(second.values()))
        method = "groups"
    else:
        x, y, method = _drops(a, b, shared)
    vx, vy = x.var(ddof=1) / x.size, y.var(ddof=1) / y.size
    error = max(sqrt(vx + vy), least)
    share = vx**2 / (x.size - 1) + vy**2 / (y.size - 1)
    freedom = (vx + vy) ** 2 / share if share > 0 else x.size + y.size - 2.0
    gap = float(y.mean() - x.mean())
    return gap, *_student(gap, error, freedom), method


def _drops(a: Level, b: Level, shared: Sequence[str]) -> tuple[Numbers, Numbers, str]:
    """Give the drops to compare where there are no groups to count."""
    for name in shared:
        mine = [each.e[np.array(each.group, dtype=object) == name] for each in (a, b)]
        if min(each.size for each in mine) > 1:
            return mine[0], mine[1], _ONE_GROUP
    method = "drops" if shared or not (a.groups and b.groups) else _OTHERS
    return a.e, b.e, method


def _student(gap: float, error: float, freedom: float) -> tuple[float, float]:
    half = float(student_quantile(freedom, 1 - _RISK / 2)) * error
    if error < _TINY:
        return half, 0.0 if abs(gap) > _TINY else 1.0
    return half, float(2 * student_below(freedom, -abs(gap) / error))


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
