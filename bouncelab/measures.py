"""Units of what is worked out: speeds, energies, forces and more, there and back.

Lengths, pressures, masses and temperatures have their factors in `bouncelab.units`;
what is added here are powers of ten and the seconds of an hour.
"""

from __future__ import annotations

from bouncelab.errors import UnitError
from bouncelab.units import FACTORS, ZERO_CELSIUS_K
from bouncelab.writing import tidy, unit_symbol

__all__ = ["MEASURES", "from_si", "misread", "quantity_of", "to_si", "unit_named"]

_HOUR = 3600.0  # s, exact: SI Brochure, 9th edition (2019), table 8

# Quantity, then the usual symbol of each unit and what it is in the SI unit.
MEASURES: dict[str, dict[str, float]] = {
    "ratio": {"": 1.0, "%": 1e-2},
    "length": FACTORS["length"],
    "pressure": FACTORS["pressure"],
    "mass": FACTORS["mass"],
    "speed": {"m/s": 1.0, "cm/s": 1e-2, "mm/s": 1e-3, "km/h": 1e3 / _HOUR},
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": _HOUR},
    "energy": {"J": 1.0, "mJ": 1e-3, "kJ": 1e3, "MJ": 1e6, "N·m": 1.0},
    "force": {"N": 1.0, "mN": 1e-3, "kN": 1e3},
    "momentum": {"kg·m/s": 1.0, "N·s": 1.0, "g·m/s": 1e-3},
    "area": {"m²": 1.0, "cm²": 1e-4, "mm²": 1e-6},
    "volume": {"m³": 1.0, "dm³": 1e-3, "L": 1e-3, "cm³": 1e-6, "mL": 1e-6},
    "amount": {"mol": 1.0, "mmol": 1e-3},
    "acceleration": {"m/s²": 1.0, "N/kg": 1.0},
    # Numbers in °C; those in K are counted from absolute zero.
    "temperature": {"°C": 1.0, "K": 1.0, "°F": 1.0},
    "temperature change": {"K": 1.0, "°C": 1.0},
}
_SPELT = {
    "percent": "%",
    "per cent": "%",
    "second": "s",
    "seconds": "s",
    "sec": "s",
    "millisecond": "ms",
    "milliseconds": "ms",
    "minute": "min",
    "minutes": "min",
    "hour": "h",
    "hours": "h",
    "joule": "J",
    "joules": "J",
    "newton": "N",
    "newtons": "N",
    "kph": "km/h",
    "kmh": "km/h",
    "mps": "m/s",
    "ms-1": "m/s",
    "ms^-1": "m/s",
    "meters/second": "m/s",
    "metres/second": "m/s",
    "ns": "N·s",
    "nm": "N·m",
    "litre": "L",
    "litres": "L",
    "liter": "L",
    "liters": "L",
    "l": "L",
    "ml": "mL",
    "ccm": "cm³",
}
_POWERS = (("\u2212", "-"), ("^2", "²"), ("^3", "³"), ("m2", "m²"), ("m3", "m³"))


def quantity_of(unit: str) -> str:
    """Give what a unit measures.

    Parameters
    ----------
    unit : str
        One of the symbols in `MEASURES`; an empty one is that of a ratio.

    Returns
    -------
    str
        Such as ``"length"``; a temperature for K and °C.

    Raises
    ------
    UnitError
        If the unit is not known.

    Examples
    --------
    >>> quantity_of("m/s"), quantity_of("")
    ('speed', 'ratio')
    """
    for quantity, units in MEASURES.items():
        if unit in units:
            return quantity
    raise UnitError(
        what="the unit of a worksheet",
        read=f"“{unit}”",
        allowed=", ".join(
            each for units in MEASURES.values() for each in units if each
        ),
        do="Choose one of these.",
    )


def to_si(number: float, unit: str, quantity: str = "") -> float:
    """Give a number with its unit in SI; a temperature in °C.

    Parameters
    ----------
    number : float
        As it is written before the unit.
    unit : str
        One of the symbols in `MEASURES`.
    quantity : str, optional
        What is measured, where the unit alone does not say it.

    Returns
    -------
    float
        In the SI unit, rounded to 15 digits, so that 57 cm is 0.57 m.

    Raises
    ------
    UnitError
        If the unit is not known.

    Examples
    --------
    >>> to_si(36, "km/h"), to_si(293.15, "K"), to_si(5, "K", "temperature change")
    (10.0, 20.0, 5.0)
    """
    measured = quantity or quantity_of(unit)
    if measured == "temperature":
        if unit == "°F":
            value = (number - 32.0) * 5.0 / 9.0
        else:
            value = number - (ZERO_CELSIUS_K if unit == "K" else 0.0)
    else:
        value = number * _factor(unit, measured)
    return float(f"{value:.15g}")


def from_si(value: float, unit: str, quantity: str = "") -> float:
    """Give an SI number in another unit; a temperature is taken in °C.

    Parameters
    ----------
    value : float
        In the SI unit.
    unit : str
        One of the symbols in `MEASURES`.
    quantity : str, optional
        What is measured, where the unit alone does not say it.

    Returns
    -------
    float
        The number before the unit.

    Raises
    ------
    UnitError
        If the unit is not known.

    Examples
    --------
    >>> from_si(0.77, "%"), from_si(20.0, "K")
    (77.0, 293.15)
    """
    measured = quantity or quantity_of(unit)
    if measured == "temperature":
        if unit == "°F":
            return value * 9.0 / 5.0 + 32.0
        return value + (ZERO_CELSIUS_K if unit == "K" else 0.0)
    return value / _factor(unit, measured)


def misread(value: float, unit: str, taken_for: str) -> float:
    """Give what comes of a number whose unit was mistaken for another.

    Parameters
    ----------
    value : float
        What was right, in SI.
    unit : str
        In which the number stood.
    taken_for : str
        As which it was read.

    Returns
    -------
    float
        What was wrong, in SI.

    Raises
    ------
    UnitError
        If a unit is not known.

    Examples
    --------
    >>> misread(0.254, "in", "cm")
    0.1
    """
    return to_si(float(f"{from_si(value, unit):.12g}"), taken_for)


def _factor(unit: str, quantity: str) -> float:
    known = MEASURES.get(quantity, {})
    if unit not in known:
        raise UnitError(
            what=f"the unit of a {quantity}",
            read=f"“{unit}”",
            allowed=", ".join(each or "none" for each in known) or "a known quantity",
            do="Choose one of these.",
        )
    return known[unit]


def unit_named(text: str) -> str | None:
    """Give the usual symbol of a unit however it is spelt, or None.

    Parameters
    ----------
    text : str
        Such as ``"kg m s^-1"``, ``"joules"`` or ``"Inches"``.

    Returns
    -------
    str or None
        One of the symbols in `MEASURES`.

    Examples
    --------
    >>> unit_named("m s^-1"), unit_named("kg m/s"), unit_named("Joules")
    ('m/s', 'kg·m/s', 'J')
    """
    written = tidy(text).rstrip(".")
    for other, usual in _POWERS:
        written = written.replace(other, usual)
    symbols = [each for units in MEASURES.values() for each in units]
    joined = _joined(written)
    for one in (written, joined):
        if one in symbols:
            return one
    spelt = _SPELT.get(written.casefold()) or _SPELT.get(joined.casefold())
    if spelt is not None:
        return spelt
    for quantity in FACTORS:
        found = unit_symbol(text, quantity)
        if found is not None:
            return found
    found = unit_symbol(text, "temperature")
    if found is not None:
        return found
    alike = [each for each in symbols if each.casefold() == joined.casefold() != ""]
    return alike[0] if len(alike) == 1 else None


def _joined(written: str) -> str:
    """Write products with · and the last negative power as a division."""
    text = written.replace("*", " ").replace("·", " ")
    text = text.replace(" per ", "/").replace(" / ", "/")
    for power, marks in (("²", "^-2"), ("", "^-1"), ("²", "-2"), ("", "-1")):
        if text.endswith(marks):
            head, _, last = text.removesuffix(marks).rpartition(" ")
            if head:
                text = f"{head}/{last}{power}"
            break
    return "·".join(text.replace("·", " ").split())
