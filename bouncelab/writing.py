"""How people write numbers and units, in one form; nothing is converted here."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from math import isfinite

from bouncelab.errors import InputError, UnitError

__all__ = [
    "ABSOLUTE",
    "EXAMPLE",
    "GAUGE",
    "is_absolute",
    "needs_unit",
    "parts_of",
    "read_number",
    "refusal",
    "signed_number",
    "tidy",
    "unit_symbol",
]

EXAMPLE = {
    "length": "72 cm, 1.80 m or 5 ft 11 1/2 in",
    "pressure": "55 kPa, 8 psi or 0.6 bar",
    "temperature": "20 °C or 68 °F",
    "mass": "57 g",
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
        "MPa": "megapascal megapascals",
        "hPa": "hectopascal hectopascals",
        "bar": "bars barg",
        "mbar": "millibar millibars",
        "atm": "atmosphere atmospheres",
        "kgf/cm²": "kgf/cm2 kg/cm² kg/cm2 kp/cm²",
    },
    "mass": {
        "mg": "milligram milligrams",
        "kg": "kgs kilogram kilograms kilo kilos",
        "g": "gr gram grams gramme grammes",
        "oz": "ounce ounces",
        "lb": "lbs pound pounds",
    },
    "temperature": {
        "°C": "c °c degc celsius centigrade grad deg degree degrees °",
        "°F": "f °f degf fahrenheit",
        "K": "k kelvin kelvins",
    },
}
_SPELT = {
    quantity: {
        spelling.casefold(): symbol
        for symbol, spellings in same.items()
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
# Prime, curly and straight marks of feet and inches.
_QUOTES = str.maketrans("\u2032\u2019\u2018\u2033\u201d\u201c", "'''\"\"\"")
_MINUS = "\u2212\u2013\u2010\u2011"  # minus, dash, hyphens


ABSOLUTE = re.compile(
    r"\(?\b(?:abs(?:olute)?\.?)(?![a-z])\)?|(?<=bar)\s*\(?a\)?$|(?<=psi)\s*\(?a\)?$",
    re.IGNORECASE,
)
GAUGE = re.compile(
    r"\(?\b(?:gauge|gage|rel(?:ative)?\.?)\)?|(?<=bar)\s*\(?g\)?$|(?<=psi)\s*\(?g\)?$"
    r"|(?<=\s)g$",
    re.IGNORECASE,
)


def tidy(text: str) -> str:
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


def refusal(quantity: str, text: str, allowed: str, do: str) -> InputError:
    """Give the error for a text that cannot be read."""
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
    return signed_number(tidy(text), "a number", text, "72, 72.5 or 72,5")


def signed_number(written: str, quantity: str, text: str, example: str) -> float:
    """Give the number that a tidy text holds, a fraction too, or refuse it."""
    sign = -1.0 if written.startswith("-") else 1.0
    fraction = _FRACTION.fullmatch(written.lstrip("+-").strip())
    if fraction:
        whole, top, bottom = (float(part or 0) for part in fraction.groups())
        if bottom:
            return sign * (whole + top / bottom)
    if _PLAIN.fullmatch(written):
        value = float(written.replace(",", "."))
        if isfinite(value):
            return value
    if re.fullmatch(r"[-+]?\d{1,3}([.,' ])\d{3}(?:(?!\1)[.,' ]\d+)?", written):
        do = "Write it without a mark for thousands."
    elif re.search(r"\d\s*-\s*\d", written):
        do = "Write one number; if you are not sure, drop the ball again."
    else:
        do = "Check for a letter in place of a digit."
    raise refusal(quantity, text, f"a number such as {example}", do)


def unit_symbol(text: str, quantity: str) -> str | None:
    """Give the usual symbol of a unit however it is spelt, or None.

    Parameters
    ----------
    text : str
        Such as ``"inches"``.
    quantity : {"length", "pressure", "temperature", "mass"}
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
    written = tidy(text)
    if written == "M" and quantity == "length":
        return "m"
    return _SPELT[quantity].get(written.casefold())


def parts_of(written: str, quantity: str, text: str) -> list[tuple[float, str]]:
    """Split ``5 ft 11 1/2 in`` into numbers with their units."""
    found, end = [], 0
    for match in _PART.finditer(written):
        if written[end : match.start()].strip():
            break
        number = signed_number(match[1].strip(), quantity, text, EXAMPLE[quantity])
        found.append((number, (match[2] or "").strip()))
        end = match.end()
    if not found or written[end:].strip():
        signed_number(written, quantity, text, EXAMPLE[quantity])
        raise refusal(quantity, text, EXAMPLE[quantity], "Check how it is written.")
    return found


def needs_unit(quantity: str, text: str) -> UnitError:
    """Give the error for a number that has no unit anywhere."""
    return UnitError(
        what=quantity,
        read=f"“{text}” without a unit",
        allowed=f"a number with its unit, such as {EXAMPLE[quantity]}",
        do="Write the unit after the number, or in the column's heading in brackets.",
    )


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
    return bool(ABSOLUTE.search(tidy(text)))
