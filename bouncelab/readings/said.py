"""Say what exactly was typed in a cell, and answer in its unit."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import NamedTuple

from bouncelab import units
from bouncelab.readings.drops import Drops

__all__ = ["Doubt", "Said", "digit_slip"]

_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_QUANTITY = {
    "drop_height_m": "length",
    "rebound_height_m": "length",
    "gauge_pressure_pa": "pressure",
    "temperature_c": "temperature",
}
_USUAL = {"length": "cm", "pressure": "kPa", "temperature": "°C"}


class Doubt(NamedTuple):
    """A finding about the row at a position, before it is put in the table."""

    at: int
    column: str
    check: str
    why: str
    cure: str
    weight: str = "doubtful"


class Said:
    """The cells as they were typed.

    Parameters
    ----------
    drops : Drops
        The table.
    """

    def __init__(self, drops: Drops) -> None:
        self._drops = drops
        self._texts: dict[str, list[str]] = {}

    def text(self, at: int, column: str) -> str:
        """Give what was typed in a column of the table at a position."""
        if column not in self._texts:
            heading = self._drops.headings.get(column)
            if heading is None or heading not in self._drops.typed:
                self._texts[column] = [""] * len(self._drops.table)
            else:
                self._texts[column] = self._drops.typed[heading].tolist()
        return str(self._texts[column][at])

    def number(self, at: int, column: str) -> str:
        """Give the first number in the cell, as it was typed."""
        found = _NUMBER.search(self.text(at, column))
        return found.group() if found else ""

    def unit(self, at: int, column: str) -> str:
        """Give the unit in which the cell was read; an empty text if unsure."""
        quantity = _QUANTITY[column]
        value = float(self._drops.table[column].iat[at])
        number = self.number(at, column)
        if not number:
            return ""
        typed = float(number.replace(",", "."))
        shifts = [0.0]
        if quantity == "pressure":  # an absolute reading was turned into gauge
            shifts.append(units.STANDARD_ATMOSPHERE_PA)
        for shift in shifts:
            for unit in units.UNITS[quantity]:
                if unit == "ft in":
                    continue
                here = float(units.in_unit(value + shift, quantity, unit))
                if math.isclose(here, typed, rel_tol=1e-6, abs_tol=1e-9):
                    return unit
        return ""

    def show(self, value: float, at: int, column: str) -> str:
        """Show another value of the same column, in the unit of this cell."""
        quantity = _QUANTITY[column]
        unit = self.unit(at, column) or _USUAL[quantity]
        number = float(units.in_unit(value, quantity, unit))
        digits = 1 if abs(number) < 100 else 0
        if abs(number) < 10:
            digits = 2
        return f"{round(number, digits):g} {unit}"


def digit_slip(
    typed: str, wanted: float, tolerance: float, *, any_digit: bool = False
) -> str:
    """Give the number that one slip of the fingers may have spoilt.

    Tried in this order: a misplaced point or zero, two neighbours exchanged, a
    digit typed twice, the first digit left out or wrong.

    Parameters
    ----------
    typed : str
        The number as typed.
    wanted : float
        What it should be near to, in the same unit.
    tolerance : float
        How near.
    any_digit : bool, optional
        Try one wrong digit anywhere and nothing else. That fits by chance too
        often to be more than a hint.

    Returns
    -------
    str
        The number that fits best, or an empty text.

    Examples
    --------
    >>> digit_slip("172", 128.0, 3.0), digit_slip("0.72", 71.0, 2.0)
    ('127', '72')
    >>> digit_slip("81", 62.0, 3.0), digit_slip("81", 62.0, 3.0, any_digit=True)
    ('', '61')
    """
    value = _value(typed)
    places = [i for i, sign in enumerate(typed) if sign.isdigit()]
    digits = "0123456789"

    def with_digit(place: int) -> list[str]:
        return [typed[:place] + digit + typed[place + 1 :] for digit in digits]

    pairs = list(pairwise(places))
    if any_digit:
        tries = [[text for place in places for text in with_digit(place)]]
    else:
        long = len(places) > 2 and value >= 100
        tries = [
            [f"{value * 10.0**power:.10g}" for power in (1, -1, 2, -2, 3, -3)],
            [_exchanged(typed, *pair) for pair in pairs],
            [typed[:i] + typed[i + 1 :] for i, j in pairs if typed[i] == typed[j]],
            [digit + typed for digit in digits[1:]] if value >= 10 else [],
            with_digit(places[0]) if long else [],
        ]
    for texts in tries:
        away = {text: abs(_value(text) - wanted) for text in texts if text != typed}
        best = min(away, key=lambda text: away[text], default="")
        if best and away[best] <= tolerance:
            return best
    return ""


def _value(number: str) -> float:
    return float(number.replace(",", "."))


def _exchanged(text: str, here: int, there: int) -> str:
    signs = list(text)
    signs[here], signs[there] = signs[there], signs[here]
    return "".join(signs)
