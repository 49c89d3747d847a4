"""Which drops can be used? Sorts them into conditions.

A condition is one ball on one floor at one nominal gauge pressure, drop height
and temperature. Heights are those of the lowest point of the ball, whatever
point was read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from bouncelab.analysis.names import plain_name
from bouncelab.analysis.nominal import by_temperature, nominal
from bouncelab.catalogue import POINTS, Ball, find_ball
from bouncelab.readings.drops import Drops, Finding

__all__ = ["DIAMETER_FROM", "Conditions", "sort_drops"]

Numbers: TypeAlias = NDArray[np.float64]
Codes: TypeAlias = NDArray[np.intp]
Truths: TypeAlias = NDArray[np.bool_]

_LEAST = 1e-6  # m; a smaller height is none, and its numbers cannot be held
DIAMETER_FROM = ("measured", "same ball", "catalogue", "unknown")

_SAME_PRESSURE = 1500.0  # Pa, a usual gauge's standard uncertainty
_SAME_SHARE, _SAME_HEIGHT = 0.03, 0.05  # of the drop height; m; the smaller holds
_BELOW_FLOOR = 0.02  # m; a dead ball may come out this far below 0 by reading errors
_HOTTEST = 60.0  # °C; further from 0 °C is a slip, which the checks point out
_MANY_NAMES = 2000  # beyond this the names are not kinds of balls

_NO_HEIGHT = 1
_NO_DROP = 2
_NO_DIAMETER = 3
_UNDER_FLOOR = 4
_ABOVE_DROP = 5
_NO_POINT = 6


@dataclass(frozen=True, slots=True)
class Conditions:
    """The drops that can be used, sorted into conditions, as plain arrays.

    Attributes
    ----------
    line : ndarray of int, shape (N,)
        The line that a person sees, for each drop that is used.
    condition, group : ndarray of int, shape (N,)
        Codes; conditions count from 0 in order of appearance.
    drop, rebound : ndarray of float, shape (N,)
        Heights of the lowest point of the ball in m.
    drop_share, rebound_share : ndarray of float, shape (N,)
        The point read as a share of the diameter above the lowest point.
    diameter : ndarray of float, shape (N,)
        In m; NaN where neither the table nor the catalogue knows it.
    diameter_from : ndarray of int, shape (N,)
        Place in `DIAMETER_FROM`.
    doubtful : ndarray of bool, shape (N,)
        Drops that carry a doubtful reading; they are used all the same.
    pressure, temperature : ndarray of float, shape (M,)
        Mean gauge pressure in Pa and temperature in °C; NaN where not given. A
        temperature that no gym has counts as not given.
    ball, floor : list of str, length M
        Names as first typed; a ball that was timed, not read on a tape, is called so.
    timed : ndarray of bool, shape (M,)
        Whether its rebounds were worked out from times.
    kind : list of Ball or None, length M
        The kind of ball in the catalogue.
    groups : list of str
        Name of each group code.
    unused : ndarray of int, shape (K, 3)
        For each drop that is not used: its line, its condition or -1, and 1 if
        a person set it aside.
    unused_why : list of str, length K
        Why it is not used.
    findings : tuple of Finding
        Reasons found here, beyond those that came with the table.
    """

    line: Codes
    condition: Codes
    group: Codes
    drop: Numbers
    rebound: Numbers
    drop_share: Numbers
    rebound_share: Numbers
    diameter: Numbers
    diameter_from: Codes
    doubtful: Truths
    pressure: Numbers
    temperature: Numbers
    ball: list[str]
    floor: list[str]
    timed: Truths
    kind: list[Ball | None]
    groups: list[str]
    unused: Codes
    unused_why: list[str]
    findings: tuple[Finding, ...]


def sort_drops(drops: Drops) -> Conditions:
    """Take out the drops that can be used and sort them into conditions.

    Parameters
    ----------
    drops : Drops
        The table, checked or not. Rows flagged ``left_out`` or ``set_aside``
        are not used.

    Returns
    -------
    Conditions
        The drops that are used, their conditions, and why the rest is not used.

    Examples
    --------
    >>> from bouncelab.readings.drops import read_rows
    >>> rows = [["Red", "1.00 m", "64 cm"], ["red ", "1.01 m", "65 cm"]]
    >>> sort_drops(read_rows(["ball", "drop", "rebound"], rows)).condition
    array([0, 0])
    """
    table = drops.table
    line = np.asarray(table.index, dtype=np.intp)
    ball, balls = _names(table["ball"])
    floor, floors = _names(table["floor"])
    group, groups = _names(table["group"])
    timed = _timed(table["method"])
    kinds = [find_ball(n) if n and len(balls) <= _MANY_NAMES else None for n in balls]
    diameter, source = _diameters(_numbers(table["diameter_m"]), ball, kinds)
    drop_share, rebound_share = (
        _shares(table["drop_point"]),
        _shares(table["rebound_point"]),
    )
    drop = _lowest(_numbers(table["drop_height_m"]), drop_share, diameter)
    rebound = _lowest(_numbers(table["rebound_height_m"]), rebound_share, diameter)
    rebound[(rebound < 0) & (rebound >= -_BELOW_FLOOR)] = 0.0

    flag, flags = pd.factorize(table["flag"])
    flag = np.append([_FLAGS.get(name, 0) for name in flags], 0)[flag]
    problem = _problems(table, drop, rebound, drop_share, rebound_share, diameter)
    used = (flag != _LEFT_OUT) & (flag != _ASIDE) & (problem == 0)
    at, rest = np.flatnonzero(used), np.flatnonzero(~used)

    pressure = _numbers(table["gauge_pressure_pa"])
    temperature = _numbers(table["temperature_c"])
    temperature[np.abs(temperature) > _HOTTEST] = np.nan
    code = nominal(
        pressure[at],
        _join(_join(ball, floor), timed)[at],
        lambda p: np.full_like(p, _SAME_PRESSURE),
    )
    code = nominal(drop[at], code, lambda h: np.minimum(_SAME_SHARE * h, _SAME_HEIGHT))
    code = by_temperature(temperature[at], code)
    condition, found = pd.factorize(code)
    condition = condition.astype(np.intp)
    example = np.zeros(found.size, dtype=np.intp)
    example[condition[::-1]] = at[::-1]  # the first drop of each

    findings, whys = _reasons(drops, line, rest, flag, problem, diameter)
    nearest = _nearest(at, rest, ball, floor, group)
    known = np.append(condition, -1)[nearest]
    return Conditions(
        line=line[at],
        condition=condition,
        group=group[at],
        drop=drop[at],
        # A ball that rises less than can be measured stayed on the floor.
        rebound=np.where(rebound[at] < _LEAST, 0.0, rebound[at]),
        drop_share=drop_share[at],
        rebound_share=rebound_share[at],
        diameter=diameter[at],
        diameter_from=source[at],
        doubtful=flag[at] == _DOUBTFUL,
        pressure=_mean_known(pressure[at], condition, found.size),
        temperature=_mean_known(temperature[at], condition, found.size),
        ball=[
            f"{balls[name]} (timed)".lstrip() if by_ear else balls[name]
            for name, by_ear in zip(ball[example], timed[example], strict=True)
        ],
        floor=[floors[each] for each in floor[example]],
        timed=timed[example] == 1,
        kind=[kinds[each] for each in ball[example]],
        groups=groups,
        unused=np.column_stack([line[rest], known, flag[rest] == _ASIDE]),
        unused_why=whys,
        findings=findings,
    )


_DOUBTFUL, _LEFT_OUT, _ASIDE = 1, 2, 3
_FLAGS = {"doubtful": _DOUBTFUL, "left_out": _LEFT_OUT, "set_aside": _ASIDE}


def _numbers(column: pd.Series) -> Numbers:
    values = np.array(column.to_numpy(dtype=np.float64, na_value=np.nan))
    values[~np.isfinite(values)] = np.nan
    return values


def _names(column: pd.Series) -> tuple[Codes, list[str]]:
    """Code names that differ in case and spaces only as one; keep the first."""
    code, found = pd.factorize(column)
    typed = [str(name) for name in found]
    if code.size and code.min() < 0:  # a missing name is an empty one
        code, typed = np.where(code < 0, len(typed), code), [*typed, ""]
    shown: dict[str, tuple[int, str]] = {}
    same = np.zeros(len(typed), dtype=np.intp)
    for place, name in enumerate(typed):
        first = (len(shown), " ".join(name.split()))
        same[place] = shown.setdefault(plain_name(name), first)[0]
    return same[code], [name for _, name in shown.values()]


def _timed(column: pd.Series) -> Codes:
    """Give 1 for each drop whose rebound was timed, else 0."""
    code, found = pd.factorize(column)
    said = [int(str(each).strip().casefold() == "timed") for each in found]
    each: Codes = np.array([*said, 0], dtype=np.intp)[code]
    return each


def _shares(column: pd.Series) -> Numbers:
    code, points = pd.factorize(column)
    shares: Numbers = np.array([*(POINTS.get(p, np.nan) for p in points), np.nan])
    found: Numbers = shares[code]
    return found


def _join(first: Codes, second: Codes) -> Codes:
    width = int(second.max(initial=-1)) + 1
    return np.asarray(
        pd.factorize(first.astype(np.int64) * width + second)[0], dtype=np.intp
    )


def _lowest(height: Numbers, share: Numbers, diameter: Numbers) -> Numbers:
    """Give the height of the lowest point; no diameter is needed where it was read."""
    return height - np.where(share == 0, 0.0, share * diameter)


def _diameters(
    typed: Numbers, ball: Codes, kinds: list[Ball | None]
) -> tuple[Numbers, Codes]:
    """Fill gaps from the same ball's other rows, then from the catalogue."""
    typed = np.where(typed > 0, typed, np.nan)
    same = _mean_known(typed, ball, len(kinds))[ball]
    usual = np.array([kind.diameter_m if kind else np.nan for kind in kinds])
    usual = np.append(usual, np.nan)[ball]
    choices = [~np.isnan(each) for each in (typed, same, usual)]
    source = np.select(choices, [0, 1, 2], default=3).astype(np.intp)
    return np.select(choices, [typed, same, usual], default=np.nan), source


def _mean_known(values: Numbers, code: Codes, size: int) -> Numbers:
    known = ~np.isnan(values)
    count = np.bincount(code[known], minlength=size)
    total = np.bincount(code[known], weights=values[known], minlength=size)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _problems(
    table: pd.DataFrame,
    drop: Numbers,
    rebound: Numbers,
    drop_share: Numbers,
    rebound_share: Numbers,
    diameter: Numbers,
) -> Codes:
    """Say why a row cannot give a restitution; 0 where it can."""
    needs = (drop_share > 0) | (rebound_share > 0)
    read_drop = _numbers(table["drop_height_m"])
    read_rebound = _numbers(table["rebound_height_m"])
    return np.asarray(
        np.select(
            [
                ~np.isfinite(read_drop) | ~np.isfinite(read_rebound),
                np.isnan(drop_share) | np.isnan(rebound_share),
                needs & np.isnan(diameter),
                ~(drop > _LEAST),
                rebound < 0,
                rebound > drop,
            ],
            [_NO_HEIGHT, _NO_POINT, _NO_DIAMETER, _NO_DROP, _UNDER_FLOOR, _ABOVE_DROP],
            default=0,
        ),
        dtype=np.intp,
    )


_WORDS = {
    _NO_HEIGHT: (
        "drop_height_m",
        "A height is missing.",
        "Type both heights, or delete the row.",
    ),
    _NO_POINT: (
        "drop_point",
        "It does not say which point of the ball was read.",
        "Write bottom, centre or top.",
    ),
    _NO_DIAMETER: (
        "diameter_m",
        "The lowest point cannot be found: the ball's diameter is not known.",
        "Measure around the ball, and write it under circumference.",
    ),
    _NO_DROP: (
        "drop_height_m",
        "The lowest point of the ball does not start above the floor.",
        "Check the drop height and which point of the ball was read.",
    ),
    _UNDER_FLOOR: (
        "rebound_height_m",
        "The lowest point of the ball would come back to below the floor.",
        "Check which point of the ball was read at the rebound.",
    ),
    _ABOVE_DROP: (
        "rebound_height_m",
        "The lowest point of the ball comes back higher than it fell from.",
        "Check which point of the ball was read each time.",
    ),
}


def _reasons(
    drops: Drops,
    line: Codes,
    rest: Codes,
    flag: Codes,
    problem: Codes,
    diameter: Numbers,
) -> tuple[tuple[Finding, ...], list[str]]:
    """Say for each row that is not used why, and report what is new."""
    findings, whys = [], []
    typed = drops.table["why"].to_numpy(dtype=object)
    for at in rest.tolist():
        if flag[at] in (_LEFT_OUT, _ASIDE):
            whys.append(str(typed[at] or "Set aside by hand."))
            continue
        column, why, cure = _WORDS[int(problem[at])]
        heading = drops.headings.get(column)
        read = str(drops.typed[heading].iloc[at]) if heading in drops.typed else ""
        findings.append(
            Finding(
                row=int(line[at]),
                column=column,
                read=read,
                why=why,
                cure=cure,
                check="cannot be used",
                weight="impossible",
            )
        )
        whys.append(why)
    return tuple(findings), whys


def _nearest(at: Codes, rest: Codes, ball: Codes, floor: Codes, group: Codes) -> Codes:
    """Give each row that is not used the place of its nearest like in `at`.

    The unread drop of a series stands beside the other drops of that series:
    first within its group, ball and floor, then ball and floor, then ball.
    """
    found = np.full(rest.size, -1, dtype=np.intp)
    if not rest.size or not at.size:
        return found
    place = _join(ball, floor)
    for like in (_join(place, group), place, ball):
        left = np.flatnonzero(found < 0)
        width = ball.size + 1
        have = like[at] * width + at
        order = np.argsort(have, kind="stable")
        have = have[order]
        want = like[rest[left]] * width + rest[left]
        after = np.searchsorted(have, want)
        best = np.full(left.size, width, dtype=np.intp)
        for step in (-1, 0):
            there = np.clip(after + step, 0, have.size - 1)
            apart = np.abs(have[there] - want)
            better = (apart < best) & (like[at[order[there]]] == like[rest[left]])
            found[left[better]] = order[there[better]]
            best[better] = apart[better]
    return found
