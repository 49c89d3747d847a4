"""Find pressures and temperatures whose unit looks mistaken.

A pressure is compared with the other drops of the same ball: the slip must
turn it into a pressure they had, and the bounce must agree with theirs. Without
other drops only the ball's marked maximum can speak.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from bouncelab import units
from bouncelab.readings.columns import Codes, Columns, Numbers, join, median_by
from bouncelab.readings.likes import steps
from bouncelab.readings.said import Doubt, Said

__all__ = ["pressure_doubts", "temperature_doubts"]

_AIR = units.STANDARD_ATMOSPHERE_PA
_PASCALS = {unit: units.read_pressure(f"1 {unit}") for unit in ("kPa", "psi", "bar")}
_PRESSURE, _TEMPERATURE = "gauge_pressure_pa", "temperature_c"

# The bounds below are the kit's own: common practice, no source.
_NEAR, _NEAR_PA = 0.1, 2000.0  # two gauge readings of one pressure
_LIKE_BOUNCE = 0.12  # relative, of the share of the drop height
_OVER_MARK = 1.25
_NO_BALL = 2.5e5  # Pa gauge, for balls without a known marked maximum
_BELOW = -1000.0  # Pa gauge
_HOT = 50.0  # °C
_MILD = (5.0, 35.0)  # °C


class _Levels:
    """The pressures that each group had each ball at, and how it bounced there."""

    def __init__(self, columns: Columns) -> None:
        self.rows = np.flatnonzero(np.isfinite(columns.pressure))
        pressure = columns.pressure[self.rows]
        tenths = np.round(np.clip(pressure, -1e6, 1e9) / 100).astype(np.intp)
        both = join(columns.ball[self.rows], columns.group[self.rows])
        self.code: Codes = join(both, tenths - tenths.min(initial=0))
        size = int(self.code.max(initial=-1)) + 1
        first = np.zeros(size, dtype=np.intp)
        first[self.code] = np.arange(self.rows.size)
        fall = columns.drop - columns.under_drop
        rise = columns.rebound - columns.under_rebound
        good = (fall > 0) & (rise >= 0) & ~columns.aside
        share = np.where(good, rise, np.nan) / np.where(good, fall, 1.0)
        self.share: Numbers = median_by(share[self.rows], self.code, size)[0]
        self.count: Codes = np.bincount(self.code, minlength=size)
        self.ball = columns.ball[self.rows][first]
        self.group = columns.group[self.rows][first]
        self.pressure = pressure[first]
        self.most = columns.most[self.rows][first]

    def suspects(self) -> Codes:
        """Give the levels that only one group had, or that no ball should have."""
        step = steps(np.maximum(self.pressure, 1.0), self.ball)
        mine = join(step, self.group)
        first = np.zeros(int(mine.max(initial=-1)) + 1, dtype=np.intp)
        first[mine] = np.arange(mine.size)
        lonely = np.bincount(step[first], minlength=int(step.max(initial=-1)) + 1) == 1
        odd = _over(self.pressure, self.most) | (self.pressure < _BELOW)
        return np.flatnonzero(lonely[step] | odd)

    def slip(self, k: int, mates: Codes, unit: str) -> tuple[str, float] | None:
        """Find the slip that makes a level one that other drops had."""
        typed, group, most = self.pressure[k], self.group[k], self.most[k]
        mates = mates[mates != k]
        own = self.group[mates] == group
        alone = self.count[k] <= max(1, self.count[mates[own]].sum() // 3)
        for name, meant in _slips(float(typed), unit):
            if _over(meant, most):
                continue  # however many drops have it: no ball holds that
            near = np.abs(self.pressure[mates] - meant) <= _NEAR * abs(meant) + _NEAR_PA
            groups = np.unique(self.group[mates[near & ~own]]).size
            mine = self.count[mates[near & own]].sum()
            if (alone and mine >= 2) or (groups >= 2 and (alone or not own.any())):
                like = np.median(self.share[mates[near]])
                if not abs(like - self.share[k]) > _LIKE_BOUNCE * like:
                    return name, meant
            elif typed > _OVER_MARK * most and 0.2 * most <= meant <= 1.05 * most:
                return name, meant
        return None


def _slips(pressure: float, unit: str) -> Iterator[tuple[str, float]]:
    """Give what a number in a unit would mean, had it been read in another way."""
    if pressure > _AIR:
        yield "absolute", pressure - _AIR
    for meant, size in _PASCALS.items():
        if unit and unit != meant:
            yield meant, pressure / _PASCALS[unit] * size


def _over(pressure: Any, most: Any) -> Any:
    return pressure > np.where(np.isfinite(most), _OVER_MARK * most, _NO_BALL)


def _reason(
    at: int, pressure: float, most: float, slip: tuple[str, float] | None, said: Said
) -> Doubt | None:
    text, number = said.text(at, _PRESSURE), said.number(at, _PRESSURE)
    if slip:
        name, meant = slip
        shown = said.show(meant, at, _PRESSURE)
        if name == "absolute":
            why = (
                f"{text} does not fit this ball. Without the air outside, one "
                f"atmosphere, it is {shown} on a gauge, and that fits."
            )
            cure = f"If it was an absolute reading, write {number} kPa abs."
            cure = cure.replace("kPa", said.unit(at, _PRESSURE) or "kPa")
            return Doubt(at, _PRESSURE, "absolute for gauge", why, cure)
        why = f"{text} does not fit this ball, but {number} {name} is {shown} and does."
        cure = f"If the gauge read {name}, write {number} {name}."
        return Doubt(at, _PRESSURE, "pressure unit slip", why, cure)
    if pressure < _BELOW:
        why = f"{text} would be less pressure than the air outside the ball."
        cure = f"If a pump gauge read it, write {number} with its unit and gauge."
        return Doubt(at, _PRESSURE, "absolute for gauge", why, cure)
    if _over(pressure, most):
        why = f"{text} is more than this kind of ball is made for."
        cure = (
            "Check the unit. Never pump that far: a ball can burst. Ask your teacher."
        )
        return Doubt(at, _PRESSURE, "unlikely pressure", why, cure)
    return None


def pressure_doubts(columns: Columns, said: Said) -> Iterator[Doubt]:
    """Give the pressures that look mistaken.

    Parameters
    ----------
    columns : Columns
        The table's columns.
    said : Said
        The cells as typed.

    Yields
    ------
    Doubt
        Level by level.
    """
    levels = _Levels(columns)
    if not levels.rows.size:
        return
    by_ball = np.argsort(levels.ball, kind="stable")
    sorted_balls = levels.ball[by_ball]
    order = np.argsort(levels.code, kind="stable")
    sorted_codes = levels.code[order]
    for k in levels.suspects():
        ball = levels.ball[k]
        low, high = np.searchsorted(sorted_balls, [ball, ball + 1])
        mates = by_ball[low:high]
        low, high = np.searchsorted(sorted_codes, [k, k + 1])
        rows = levels.rows[order[low:high]]
        slip = levels.slip(int(k), mates, said.unit(int(rows[0]), _PRESSURE))
        pressure, most = float(levels.pressure[k]), float(levels.most[k])
        for i in rows:
            found = _reason(int(i), pressure, most, slip, said)
            if found:
                yield found


def temperature_doubts(columns: Columns, said: Said) -> Iterator[Doubt]:
    """Give the temperatures that look as if °F and °C had been exchanged.

    Parameters
    ----------
    columns : Columns
        The table's columns.
    said : Said
        The cells as typed.

    Yields
    ------
    Doubt
        In the order of rows.
    """
    warmth = columns.temperature
    fine = warmth[np.isfinite(warmth)]
    if not fine.size:
        return
    usual = float(np.median(fine))
    low, high = _MILD
    for i in np.flatnonzero((warmth >= _HOT) | ((warmth < low) & (usual > low))):
        at, text = int(i), said.text(int(i), _TEMPERATURE)
        number = said.number(at, _TEMPERATURE)
        typed_as = said.unit(at, _TEMPERATURE)
        if warmth[i] >= _HOT:
            why = f"{text} in °C is hotter than any gym"
            cure = "Check the number and its unit."
            meant = float(units.read_temperature(f"{number or '0'} °F"))
            if typed_as == "°C" and low <= meant <= high:
                why += f", but {number} °F is {said.show(meant, at, _TEMPERATURE)}"
                cure = f"If the thermometer read °F, write {number} °F."
            yield Doubt(at, _TEMPERATURE, "°F for °C", f"{why}.", cure)
        elif typed_as == "°F" and low <= float(number.replace(",", ".")) <= high:
            why = f"{text} in °F is freezing, but {number} °C is like the other drops."
            cure = f"If the thermometer read °C, write {number} °C."
            yield Doubt(at, _TEMPERATURE, "°F for °C", why, cure)
