"""Units at the edge: text in, SI numbers out, and back again for the screen.

Past this module every number is in SI units, temperatures in °C. No other module
holds a conversion factor.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from math import isfinite
from typing import Any

from bouncelab.errors import InputError, UnitError

__all__ = [
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
    "read_time",
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
_FACTORS = {
    "length": {
        "m": 1.0,
        "cm": 1e-2,
        "mm": 1e-3,
        "in": _INCH,
        "ft": 0.3048,
        "yd": 0.9144,
    },
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
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0},
}
_SI = {"length": "m", "pressure": "Pa", "mass": "kg", "time": "s"}
_EXAMPLE = {
    "length": "72 cm, 1.80 m or 5 ft 11 1/2 in",
    "pressure": "55 kPa, 8 psi or 0.6 bar",
    "temperature": "20 °C or 68 °F",
    "mass": "57 g",
    "time": "0.42 s",
}
_SAME = {
    "length": {
        "in": "inch inches in. ins \" '' in’",
        "ft": "foot feet ft. '",
        "cm": "cms cm. centimetre centimetres centimeter centimeters",
        "m": "m. metre metres meter meters",
        "mm": "mms mm. millimetre millimetres millimeter millimeters",
        "yd": "yard yards yds",
    },
    "pressure": {
        "psi": "lb/in² lb/in2 lbs/in² lbf/in² lb/sq.in lbs lb pounds psig p.s.i.",
        "kPa": "kilopascal kilopascals",
        "Pa": "pascal pascals",
        "hPa": "hectopascal hectopascals",
        "bar": "bars barg",
        "mbar": "millibar millibars",
        "atm": "atmosphere atmospheres",
        "kgf/cm²": "kgf/cm2 kg/cm² kg/cm2 kp/cm²",
    },
    "mass": {
        "kg": "kgs kilogram kilograms kilo kilos",
        "g": "gr gram grams gramme grammes",
        "oz": "ounce ounces",
        "lb": "lbs pound pounds",
    },
    "time": {"s": "sec secs second seconds", "ms": "millisecond milliseconds"},
    "temperature": {
        "°C": "c °c degc celsius centigrade grad deg degree degrees °",
        "°F": "f °f degf fahrenheit",
        "K": "k kelvin kelvins",
    },
}
_SPELT = {
    quantity: {
        spelling.casefold(): symbol
        for symbol, spellings in {
            **{s: "" for s in _FACTORS.get(quantity, ())},
            **same,
        }.items()
        for spelling in (*spellings.split(), symbol)
    }
    for quantity, same in _SAME.items()
}

_FRACTION = re.compile(r"(?:(\d+)\s+)?(\d+)/(\d+)")
_PLAIN = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?")
_PART = re.compile(
    r"([-+]?(?:\d+\s+\d+/\d+|\d+/\d+|(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[-+]?\d+)?))"
    r"\s*([^\d\s.,+-][^\d+-]*?(?:/[^\d\s]*\d?|(?<=m)[²2])?)?\s*(?=[-+\d.,]|$)",
    re.IGNORECASE,
)
_ABSOLUTE = re.compile(
    r"\(?\b(?:abs(?:olute)?\.?)(?![a-z])\)?|(?<=bar)\s*\(?a\)?$|(?<=psi)\s*\(?a\)?$",
    re.IGNORECASE,
)
_GAUGE = re.compile(
    r"\(?\b(?:gauge|gage|rel(?:ative)?\.?)\)?|(?<=bar)\s*\(?g\)?$|(?<=psi)\s*\(?g\)?$"
    r"|(?<=\s)g$",
    re.IGNORECASE,
)
# Prime, curly and straight marks of feet and inches.
_QUOTES = str.maketrans("\u2032\u2019\u2018\u2033\u201d\u201c", "'''\"\"\"")
_MINUS = "\u2212\u2013\u2010\u2011"  # minus, dash, hyphens


def _tidy(text: str) -> str:
    """Make all ways of writing one thing look the same; numbers stay."""
    out = []
    for letter in text:
        if unicodedata.category(letter) == "No" and unicodedata.numeric(letter) < 1:
            out.append(
                " " + unicodedata.normalize("NFKC", letter).replace("\u2044", "/")
            )
        elif letter in "º˚":
            out.append("°")
        elif letter in _MINUS:
            out.append("-")
        elif letter in "²°":
            out.append(letter)
        else:
            out.append(unicodedata.normalize("NFKC", letter.translate(_QUOTES)))
    return " ".join("".join(out).split())


def _refuse(quantity: str, text: str, allowed: str, do: str) -> InputError:
    return InputError(what=quantity, read=f"“{text}”", allowed=allowed, do=do)


@lru_cache(maxsize=65536)
def read_number(text: str) -> float:
    """Read a number without a unit, with a decimal point or comma.

    Parameters
    ----------
    text : str
        Such as ``"0.72"``, ``"0,72"``, ``"7.2e-1"`` or ``"42 1/2"``.

    Returns
    -------
    float
        The number.

    Raises
    ------
    InputError
        If it is not one finite number.

    Examples
    --------
    >>> read_number("42 1/2")
    42.5
    """
    return _number(_tidy(text), "a number", text, "72, 72.5 or 72,5")


def _number(tidy: str, quantity: str, text: str, example: str) -> float:
    sign = -1.0 if tidy.startswith("-") else 1.0
    fraction = _FRACTION.fullmatch(tidy.lstrip("+-").strip())
    if fraction:
        whole, top, bottom = (float(part or 0) for part in fraction.groups())
        if bottom:
            return sign * (whole + top / bottom)
    if _PLAIN.fullmatch(tidy):
        value = float(tidy.replace(",", "."))
        if isfinite(value):
            return value
    if re.fullmatch(r"[-+]?\d{1,3}([.,' ])\d{3}(?:(?!\1)[.,' ]\d+)?", tidy):
        do = "Write it without a mark for thousands."
    elif re.search(r"\d\s*-\s*\d", tidy):
        do = "Write one number; if you are not sure, drop the ball again."
    else:
        do = "Check for a letter in place of a digit."
    raise _refuse(quantity, text, f"a number such as {example}", do)


def unit_symbol(text: str, quantity: str) -> str | None:
    """Give the usual symbol of a unit however it is spelt, or None.

    Parameters
    ----------
    text : str
        Such as ``"inches"``.
    quantity : {"length", "pressure", "temperature", "mass", "time"}
        What it should measure.

    Returns
    -------
    str or None
        Such as ``"in"``.

    Examples
    --------
    >>> unit_symbol("Inches", "length")
    'in'
    """
    tidy = _tidy(text)
    if tidy == "M" and quantity == "length":
        return "m"
    return _SPELT[quantity].get(tidy.casefold())


@lru_cache(maxsize=256)
def _factor(unit: str, quantity: str, text: str) -> float:
    symbol = unit_symbol(unit, quantity)
    if symbol is not None:
        return _FACTORS[quantity][symbol]
    return _pint_factor(unit, quantity, text)


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint  # a tenth of a second, and only rare units need it

    return pint.UnitRegistry()


def _pint_factor(unit: str, quantity: str, text: str) -> float:
    if unit.casefold() in ("b", "i", "l", "o", "s", "z"):
        do = "Check for a letter in place of a digit."
        raise _refuse(quantity, text, _EXAMPLE[quantity], do)
    import pint

    try:
        found = _registry().Quantity(1.0, unit.replace("²", "**2"))
        return float(found.to(_SI[quantity]).magnitude)
    except (pint.PintError, AttributeError, ValueError, TypeError, SyntaxError) as why:
        measures = isinstance(why, pint.DimensionalityError)
        raise UnitError(
            what=quantity,
            read=f"“{text}”" if not measures else f"“{text}”, which is no {quantity}",
            allowed=f"a {quantity} such as {_EXAMPLE[quantity]}",
            do="Check the unit, or move the number to the column it belongs to.",
        ) from why
    except Exception as why:  # pint's parser raises many kinds of error
        raise UnitError(
            what=quantity,
            read=f"“{text}”",
            allowed=f"a {quantity} such as {_EXAMPLE[quantity]}",
            do="Check the unit.",
        ) from why


def _parts(tidy: str, quantity: str, text: str) -> list[tuple[float, str]]:
    """Split ``5 ft 11 1/2 in`` into numbers with their units."""
    found, end = [], 0
    for match in _PART.finditer(tidy):
        if tidy[end : match.start()].strip():
            break
        number = _number(match[1].strip(), quantity, text, _EXAMPLE[quantity])
        found.append((number, (match[2] or "").strip()))
        end = match.end()
    if not found or tidy[end:].strip():
        _number(tidy, quantity, text, _EXAMPLE[quantity])
        raise _refuse(quantity, text, _EXAMPLE[quantity], "Check how it is written.")
    return found


def _needs_unit(quantity: str, text: str) -> UnitError:
    return UnitError(
        what=quantity,
        read=f"“{text}” without a unit",
        allowed=f"a number with its unit, such as {_EXAMPLE[quantity]}",
        do="Write the unit after the number, or in the column's heading in brackets.",
    )


def _read(text: str, quantity: str, unit: str | None) -> float:
    tidy = _tidy(text)
    if not tidy:
        raise _refuse(quantity, text, _EXAMPLE[quantity], "Write the reading.")
    parts = _parts(tidy, quantity, text)
    if len(parts) == 1:
        number, own = parts[0]
        own = own or unit or ""
        if not own:
            raise _needs_unit(quantity, text)
        value = number * _factor(own, quantity, text)
    elif quantity == "length":
        value = _compound(parts, text)
    else:
        raise _refuse(quantity, text, f"one {quantity}", "Write one reading in a cell.")
    if not isfinite(value):
        raise _refuse(quantity, text, _EXAMPLE[quantity], "Check the number.")
    return value


def _compound(parts: list[tuple[float, str]], text: str) -> float:
    """Add a larger and a smaller unit, such as 5 ft 11 in or 1 m 80 cm."""
    smaller = {"ft": "in", "m": "cm", "yd": "ft", "cm": "mm"}
    total, before = 0.0, ""
    for number, own in parts:
        symbol = unit_symbol(own, "length") if own else smaller.get(before)
        fits = not before or smaller.get(before) == symbol
        if symbol is None or not fits or number < 0:
            raise _refuse(
                "length",
                text,
                "one length, or a larger unit before a smaller one such as 5 ft 11 in",
                "Write one reading in a cell.",
            )
        # Summed in the smaller unit, so that 5 ft 11 1/2 in is exactly 71.5 in.
        step = _FACTORS["length"][before] / _FACTORS["length"][symbol] if before else 1
        total, before = total * round(step) + number, symbol
    return total * _FACTORS["length"][before]


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


def is_absolute(text: str) -> bool:
    """Say whether a pressure's text or heading says that it is absolute.

    Parameters
    ----------
    text : str
        Such as ``"1.6 bar abs"`` or ``"absolute pressure (kPa)"``.

    Returns
    -------
    bool
        True only if it is said; a gauge pressure is the rule for a ball.

    Examples
    --------
    >>> is_absolute("1.6 bar (abs)"), is_absolute("0.6 bar")
    (True, False)
    """
    return bool(_ABSOLUTE.search(_tidy(text)))


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
    bare, heading = _tidy(text), _tidy(unit or "")
    said_gauge = bool(_GAUGE.search(bare))
    absolute = bool(_ABSOLUTE.search(bare)) or (
        bool(_ABSOLUTE.search(heading)) and not said_gauge
    )
    own = _GAUGE.sub("", _ABSOLUTE.sub("", bare)).strip(" ()")
    of_heading = _GAUGE.sub("", _ABSOLUTE.sub("", heading)).strip(" ()")
    if own.casefold().endswith("psia"):
        own, absolute = own[:-1], True
    try:
        value = _read(own, "pressure", of_heading or None)
    except InputError as error:
        shown = "“" + text + "”"
        raise type(error)(
            "pressure", error.read.replace(f"“{own}”", shown), error.allowed, error.do
        ) from error
    if not absolute:
        return value
    if value < 0:
        raise _refuse("pressure", text, "an absolute pressure above 0", "Read again.")
    return value - atmospheric_pressure


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
    tidy = _tidy(text)
    match = re.fullmatch(r"(.*?\d[.,]?)\s*([^\d.,]*)", tidy)
    number = _number(match[1] if match else tidy, "temperature", text, "20 °C")
    own = (match[2] if match else "") or unit or ""
    if not own:
        raise _needs_unit("temperature", text)
    symbol = unit_symbol(own.replace("° ", "°"), "temperature")
    if symbol is None:
        raise UnitError(
            what="temperature",
            read=f"“{text}”",
            allowed=f"a temperature such as {_EXAMPLE['temperature']}",
            do="Check the unit, or move the number to the column it belongs to.",
        )
    if symbol == "°F":
        celsius = (number - 32.0) / 1.8  # exact: NIST SP 811, B.8
    else:
        celsius = number - (ZERO_CELSIUS_K if symbol == "K" else 0.0)
    if celsius < -ZERO_CELSIUS_K:
        raise _refuse("temperature", text, "above absolute zero", "Read it again.")
    return celsius


@lru_cache(maxsize=4096)
def read_mass(text: str, *, unit: str | None = None) -> float:
    """Read a mass; give it in kg. As `read_length`, with ``"57 g"``, ``"20 oz"``.

    Parameters
    ----------
    text : str
        A number with its unit.
    unit : str, optional
        The unit of a bare number.

    Returns
    -------
    float
        The mass in kg.

    Raises
    ------
    InputError
        If it is not one mass.
    UnitError
        If no unit stands anywhere, or one that measures something else.

    Examples
    --------
    >>> read_mass("57 g")
    0.057
    """
    return _read(text, "mass", unit)


@lru_cache(maxsize=4096)
def read_time(text: str, *, unit: str | None = None) -> float:
    """Read a time; give it in s. As `read_length`, with ``"0.42 s"``.

    Parameters
    ----------
    text : str
        A number with its unit.
    unit : str, optional
        The unit of a bare number.

    Returns
    -------
    float
        The time in s.

    Raises
    ------
    InputError
        If it is not one time.
    UnitError
        If no unit stands anywhere, or one that measures something else.

    Examples
    --------
    >>> read_time("420 ms")
    0.42
    """
    return _read(text, "time", unit)


def in_unit(value: Any, quantity: str, unit: str) -> Any:
    """Give an SI number, or an array of them, in another unit.

    Parameters
    ----------
    value : float or ndarray
        In m, Pa or °C.
    quantity : {"length", "pressure", "temperature"}
        What it measures.
    unit : str
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
    return value / _FACTORS[quantity]["in" if unit == "ft in" else unit]


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
        Digits after the point; about a millimetre if left out.

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
    """Write a pressure for people; as `show_length`.

    Parameters
    ----------
    pascals : float
        The pressure in Pa.
    unit : {"kPa", "bar", "psi"}, optional
        The unit to show.
    digits : int, optional
        Digits after the point.

    Returns
    -------
    str
        The number with its unit.

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
    """Write a temperature for people; as `show_length`.

    Parameters
    ----------
    celsius : float
        The temperature in °C.
    unit : {"°C", "°F"}, optional
        The unit to show.
    digits : int, optional
        Digits after the point.

    Returns
    -------
    str
        The number with its unit.

    Examples
    --------
    >>> show_temperature(20.0, "°F")
    '68.0 °F'
    """
    return f"{in_unit(celsius, 'temperature', unit):.{digits}f} {unit}"


def kelvin(celsius: Any) -> Any:
    """Give a temperature in °C, or an array of them, in kelvins.

    Parameters
    ----------
    celsius : float or ndarray
        Temperature in °C.

    Returns
    -------
    float or ndarray
        Thermodynamic temperature in K.

    Examples
    --------
    >>> kelvin(20.0)
    293.15
    """
    return celsius + ZERO_CELSIUS_K
