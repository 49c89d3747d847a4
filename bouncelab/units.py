"""Units at the edge: text in, SI numbers out, and back again for the screen.

Past this module every number is in SI units, temperatures in °C.
"""

from __future__ import annotations

import re
from functools import lru_cache
from math import isfinite
from typing import Any

from bouncelab.errors import InputError
from bouncelab.writing import (
    EXAMPLE,
    advice,
    gauge_or_absolute,
    is_absolute,
    is_degree,
    needs_unit,
    parts_of,
    read_number,
    refusal,
    short,
    tidy,
    unit_symbol,
    unknown_unit,
)

__all__ = [
    "FACTORS",
    "STANDARD_ATMOSPHERE_PA",
    "STANDARD_GRAVITY",
    "UNITS",
    "ZERO_CELSIUS_K",
    "in_unit",
    "is_absolute",
    "kelvin",
    "read_length",
    "read_mass",
    "read_number",
    "read_pressure",
    "read_temperature",
    "show_length",
    "show_pressure",
    "show_temperature",
    "unit_symbol",
]

STANDARD_GRAVITY = 9.80665  # m/s^2, exact: 3rd CGPM (1901)
STANDARD_ATMOSPHERE_PA = 101325.0  # exact: 10th CGPM (1954)
ZERO_CELSIUS_K = 273.15  # exact: SI Brochure, 9th edition (2019), 2.3.1

UNITS = {
    "length": ("cm", "m", "mm", "in", "ft in"),
    "pressure": ("kPa", "bar", "psi"),
    "temperature": ("°C", "°F"),
}

_INCH = 0.0254  # m, exact: NIST SP 811 (2008), appendix B.6
_POUND = 0.45359237  # kg, exact: NIST SP 811, B.6
_PSI = _POUND * STANDARD_GRAVITY / _INCH**2
FACTORS = {
    "length": dict(m=1.0, cm=1e-2, mm=1e-3, ft=0.3048, yd=0.9144) | {"in": _INCH},
    "pressure": {
        "Pa": 1.0,
        "hPa": 1e2,
        "kPa": 1e3,
        "MPa": 1e6,
        "mbar": 1e2,
        "bar": 1e5,
        "psi": _PSI,
        "atm": STANDARD_ATMOSPHERE_PA,
        "kgf/cm²": STANDARD_GRAVITY * 1e4,
    },
    "mass": {"kg": 1.0, "g": 1e-3, "mg": 1e-6, "lb": _POUND, "oz": _POUND / 16},
}
_BARE = re.compile(r"[-+]?\d{1,12}(?:\.\d{1,12})?", re.ASCII)
_WORDS = re.compile(r"[^\W\d_]{1,20}[²2]?(?:[ */][^\W\d_]{1,20}[²2]?){0,3}")
_SI = {"length": "m", "pressure": "Pa", "mass": "kg"}


@lru_cache(maxsize=256)
def _factor(unit: str, quantity: str, text: str) -> float:
    symbol = unit_symbol(unit, quantity)
    if symbol is not None:
        return FACTORS[quantity][symbol]
    return _pint_factor(unit, quantity, text)


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint  # a tenth of a second, and only rare units need it

    return pint.UnitRegistry()


def _pint_factor(unit: str, quantity: str, text: str) -> float:
    allowed = f"a {quantity} such as {EXAMPLE[quantity]}"
    if unit.split()[0].casefold() in ("b", "i", "l", "o", "s", "z", "|"):
        do = "Check for a letter in place of a digit."
        raise refusal(quantity, text, allowed, do)
    other = ""
    if _WORDS.fullmatch(unit):  # pint passes over a mark such as "?" in silence
        import pint

        try:
            found = _registry().Quantity(1.0, re.sub("[²2]", "**2", unit))
            return float(found.to(_SI[quantity]).magnitude)
        except pint.DimensionalityError:
            other = f", which is no {quantity}"
        except Exception:  # pint's parser raises many kinds of error
            other = ""
    raise unknown_unit(quantity, text, other)


def _read(text: str, quantity: str, unit: str | None) -> float:
    if unit in FACTORS[quantity] and _BARE.fullmatch(text):
        return _fifteen(float(text) * FACTORS[quantity][unit], quantity, text)
    written = tidy(text)
    if not written:
        raise refusal(quantity, text, EXAMPLE[quantity], "Write the reading.")
    parts = parts_of(written, quantity, text, unit)
    if len(parts) == 1:
        number, own = parts[0]
        own = own or unit or ""
        if not own:
            raise needs_unit(quantity, text)
        value = number * _factor(own, quantity, text)
    else:
        value = _compound(parts, written, text)
    return _fifteen(value, quantity, text)


def _fifteen(value: float, quantity: str, text: str) -> float:
    """Round to 15 digits, so that 57 cm and 0.57 m are one number."""
    if not isfinite(value):
        raise refusal(quantity, text, EXAMPLE[quantity], "Check the number.")
    return float(f"{value:.15g}") + 0.0  # no minus before a zero


def _compound(parts: list[tuple[float, str]], written: str, text: str) -> float:
    """Add a larger and a smaller unit, such as 5 ft 11 in or 1 m 80 cm."""
    smaller = {"ft": "in", "m": "cm", "yd": "ft", "cm": "mm"}
    total, before, step = 0.0, "", 0
    for number, own in parts:
        symbol = unit_symbol(own, "length") if own else smaller.get(before)
        fits = not before or smaller.get(before) == symbol
        if before and fits and symbol:
            step = round(FACTORS["length"][before] / FACTORS["length"][symbol])
            # "1 m 8" may be 1.08 m or 1.8 m.
            fits = number < step and not (not own and re.search(r"m ?\d$", written))
        if symbol is None or not fits or number < 0:
            raise refusal(
                "length",
                text,
                "one length, or a larger unit before a smaller one such as 5 ft 11 in",
                advice(written),
            )
        # Summed in the smaller unit, so that 5 ft 11 1/2 in is exactly 71.5 in.
        total, before = total * (step or 1) + number, symbol
    return total * FACTORS["length"][before]


@lru_cache(maxsize=65536)
def read_length(text: str, *, unit: str | None = None) -> float:
    """Read a length as people write it.

    Parameters
    ----------
    text : str
        Such as ``"180 cm"``, ``"1,80 m"``, ``"5 ft 11 1/2 in"``, ``'42 1/2"'``.
    unit : str, optional
        The unit of a bare number: what the column's heading says.

    Returns
    -------
    float
        The length in m.

    Raises
    ------
    InputError
        If it is not one length.
    UnitError
        If no unit stands anywhere, or one that measures something else.

    Examples
    --------
    >>> round(read_length("5 ft 11 1/2 in"), 4)
    1.8161
    """
    return _read(text, "length", unit)


@lru_cache(maxsize=65536)
def read_pressure(
    text: str,
    *,
    unit: str | None = None,
    atmospheric_pressure: float = STANDARD_ATMOSPHERE_PA,
) -> float:
    """Read a ball's pressure; give it as a gauge pressure.

    Parameters
    ----------
    text : str
        Such as ``"8 psi"``, ``"0,6 bar (gauge)"`` or ``"156 kPa abs"``.
    unit : str, optional
        The unit of a bare number, such as ``"kPa"`` or ``"kPa absolute"``.
    atmospheric_pressure : float, optional
        Taken off an absolute pressure, in Pa.

    Returns
    -------
    float
        Gauge pressure in Pa. Absolute only when said.

    Raises
    ------
    InputError
        If it is not one pressure, or an absolute one below zero.
    UnitError
        If no unit stands anywhere, or one that measures something else.

    Examples
    --------
    >>> round(read_pressure("8 psi"))
    55158
    >>> round(read_pressure("156.325 kPa abs"))
    55000
    """
    own, said = gauge_or_absolute(text)
    of_heading, usual = gauge_or_absolute(unit or "")
    try:
        value = _read(own, "pressure", of_heading or None)
    except InputError as error:
        read = error.read.replace(f"“{own}”", f"“{short(text)}”")
        raise type(error)("pressure", read, error.allowed, error.do) from error
    gauge = value - atmospheric_pressure if (said or usual) == "absolute" else value
    if gauge < -atmospheric_pressure:
        do = "Check the sign, and whether it is a gauge or an absolute pressure."
        raise refusal("pressure", text, "an absolute pressure above 0", do)
    return gauge


@lru_cache(maxsize=65536)
def read_temperature(text: str, *, unit: str | None = None) -> float:
    """Read a temperature.

    Parameters
    ----------
    text : str
        Such as ``"20 °C"``, ``"68F"`` or ``"293 K"``.
    unit : str, optional
        The unit of a bare number.

    Returns
    -------
    float
        The temperature in °C.

    Raises
    ------
    InputError
        If it is not one temperature, or one below absolute zero.
    UnitError
        If no unit stands anywhere, or one that measures something else.

    Examples
    --------
    >>> read_temperature("68 °F")
    20.0
    """
    written = tidy(text)
    ((number, own),), heading = parts_of(written, "temperature", text), unit or ""
    # A mere degree sign does not say which degrees: then the heading does.
    symbol = unit_symbol(heading if is_degree(own) else own, "temperature")
    if symbol is None and is_degree(own) and not heading:
        raise needs_unit("temperature", text)
    if symbol is None:
        raise unknown_unit("temperature", text)
    if symbol == "°F":
        celsius = (number - 32.0) / 1.8  # exact: NIST SP 811, B.8
    else:
        celsius = number - (ZERO_CELSIUS_K if symbol == "K" else 0.0)
    if celsius < -ZERO_CELSIUS_K:
        raise refusal("temperature", text, "above absolute zero", "Read it again.")
    return celsius


@lru_cache(maxsize=4096)
def read_mass(text: str, *, unit: str | None = None) -> float:
    """Read a mass, such as ``"57 g"`` or ``"20 oz"``, in kg; as `read_length`.

    Examples
    --------
    >>> read_mass("57 g")
    0.057
    """
    return _read(text, "mass", unit)


def in_unit(value: Any, quantity: str, unit: str) -> Any:
    """Give an SI number, or an array of them, in another unit.

    Parameters
    ----------
    value : float or ndarray
        In m, Pa or °C.
    quantity, unit : str
        One of `UNITS`; ``"ft in"`` is given in inches.

    Returns
    -------
    float or ndarray
        The number in `unit`.

    Examples
    --------
    >>> round(in_unit(1.8, "length", "in"), 2)
    70.87
    """
    if quantity == "temperature":
        return value * 1.8 + 32.0 if unit == "°F" else value
    return value / FACTORS[quantity]["in" if unit == "ft in" else unit]


_DIGITS = {"cm": 1, "m": 3, "mm": 0, "in": 1, "kPa": 1, "bar": 3, "psi": 2}


def show_length(metres: float, unit: str = "cm", digits: int | None = None) -> str:
    """Write a length for people.

    Parameters
    ----------
    metres : float
        The length in m.
    unit : str, optional
        One of `UNITS`; ``"ft in"`` gives feet and inches.
    digits : int, optional
        After the point; about a millimetre if left out.

    Returns
    -------
    str
        The number with its unit.

    Examples
    --------
    >>> show_length(1.8161, "ft in"), show_length(1.8161, "cm")
    ('5 ft 11.5 in', '181.6 cm')
    """
    if unit == "ft in":
        digits = 1 if digits is None else digits
        inches = round(abs(metres) / _INCH, digits)
        feet = int(inches // 12)
        sign = "-" if metres < 0 and inches else ""
        return f"{sign}{feet} ft {inches - 12 * feet:.{digits}f} in"
    return _show(metres, "length", unit, digits)


def show_pressure(pascals: float, unit: str = "kPa", digits: int | None = None) -> str:
    """Write a pressure in Pa for people; as `show_length`.

    Examples
    --------
    >>> show_pressure(55158, "psi")
    '8.00 psi'
    """
    return _show(pascals, "pressure", unit, digits)


def _show(value: float, quantity: str, unit: str, digits: int | None) -> str:
    digits = _DIGITS[unit] if digits is None else digits
    return f"{in_unit(value, quantity, unit):.{digits}f} {unit}"


def show_temperature(celsius: float, unit: str = "°C", digits: int = 1) -> str:
    """Write a temperature in °C for people; as `show_length`.

    Examples
    --------
    >>> show_temperature(20.0, "°F")
    '68.0 °F'
    """
    return f"{in_unit(celsius, 'temperature', unit):.{digits}f} {unit}"


def kelvin(celsius: Any) -> Any:
    """Give a temperature in °C, or an array of them, in kelvins.

    Examples
    --------
    >>> kelvin(20.0)
    293.15
    """
    return celsius + ZERO_CELSIUS_K
