"""How people write numbers and units, in one form; nothing is converted here."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from math import isfinite

from bouncelab.errors import InputError, UnitError

__all__ = [
    "EXAMPLE",
    "LONGEST",
    "advice",
    "gauge_or_absolute",
    "is_absolute",
    "is_degree",
    "needs_unit",
    "parts_of",
    "read_number",
    "refusal",
    "short",
    "signed_number",
    "tidy",
    "unit_symbol",
    "unknown_unit",
]

EXAMPLE = {
    "length": "72 cm, 1.80 m or 5 ft 11 1/2 in",
    "pressure": "55 kPa, 8 psi or 0.6 bar",
    "temperature": "20 °C or 68 °F",
    "mass": "57 g",
}
_SAME = {
    "length": {
        "in": "inch inches ins \" ''",
        "ft": "foot feet '",
        "cm": "cms centimetre centimetres centimeter centimeters",
        "m": "metre metres meter meters",
        "mm": "mms millimetre millimetres millimeter millimeters",
        "yd": "yard yards yds",
    },
    "pressure": {
        "psi": "lb/in² lbs/in² lbf/in² pounds/in² lbs lb pounds psig psia p.s.i",
        "kPa": "kilopascal kilopascals",
        "Pa": "pascal pascals",
        "MPa": "megapascal megapascals",
        "hPa": "hectopascal hectopascals",
        "bar": "bars barg bara",
        "mbar": "millibar millibars",
        "atm": "atmosphere atmospheres",
        "kgf/cm²": "kg/cm² kp/cm²",
    },
    "mass": {
        "mg": "milligram milligrams",
        "kg": "kgs kilogram kilograms kilo kilos",
        "g": "gr gram grams gramme grammes",
        "oz": "ounce ounces",
        "lb": "lbs pound pounds",
    },
    "temperature": {
        "°C": "c celsius centigrade",
        "°F": "f fahrenheit",
        "K": "kelvin kelvins",
    },
}
_SPELT = {
    quantity: {
        spelling.casefold(): symbol
        for symbol, spellings in same.items()
        for spelling in (*spellings.split(), symbol.lstrip("°"))
    }
    for quantity, same in _SAME.items()
}

LONGEST = 60  # letters; no reading is longer
_NUMBER = r"(?:\d[\d.,]*|[.,]\d[\d.,]*)(?:e[-+]?\d+)?"
_FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)")
_TAPE = (2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 16, 32, 64)  # what tapes and ½ ⅓ ⅐ divide by
_PLAIN = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[-+]?\d+)?", re.I)
_PART = re.compile(
    rf"([-+]?(?:\d+[ -]\d+/\d+|\d+/\d+|{_NUMBER})) ?"
    r"([^\d\s.,+-][^\d,+-]*?(?:(?<=[a-z^])2)?)??(?:,| and| &)? ?(?=[-+]?[.,]?\d|$)",
    re.IGNORECASE,
)
# In these units a comma before three digits is as likely to part thousands.
_FINE = ("mm", "Pa", "hPa", "mbar")
_THOUSAND = re.compile(r"[-+]?[1-9]\d{0,2},\d{3}(?![\d.,])")
_SQUARE = re.compile(r"(?:sq\.? ?|square )(in|cm|m)(?:ch|ches)?\b|\b(in|cm|m)\^?2$")
_DEGREE = re.compile(r"^(?:degrees?|deg\.?|°|o(?=[cf]))[ .]*")
# What people write beside a number, and what to tell them; the first that fits.
_ADVICE = (
    (
        re.compile(r"[~≈?]|^(?:ca?|circa|about|approx|around)\b", re.IGNORECASE),
        "Write the number that was read; say in a note that you are not sure.",
    ),
    (
        re.compile(r"±|\+ ?/? ?-"),
        "Write the reading alone; its uncertainty is worked out from all trials.",
    ),
    (
        re.compile(r"\d{4}-\d\d-\d\d|\d[./]\d+[./]\d{4}"),
        "A date stands here: format the cell as text, and type the reading again.",
    ),
    (
        re.compile(r"\d[^\d]*(?:-|\bto\b|\bor\b|\.\.)\s*\d", re.IGNORECASE),
        "Write one number; if you are not sure, drop the ball again.",
    ),
    (
        re.compile(r"^[-+]?\d{1,3}(?:[.,' ]\d{3})+\b"),
        "Write it without a mark for thousands.",
    ),
    (
        re.compile(r"^[^\d]*$"),
        "Write the number in digits, or leave the cell empty.",
    ),
    (
        re.compile(r"(?:^|\d)[oilszb|](?:[\d.,\s]|$)", re.IGNORECASE),
        "Check for a letter in place of a digit.",
    ),
)
# Prime, curly and straight marks of feet and inches.
_QUOTES = str.maketrans("\u2032\u2019\u2018\u2033\u201d\u201c", "'''\"\"\"")
_MINUS = "\u2212\u2013\u2010\u2011"  # minus, dash, hyphens
# A thin or no-break space before three digits parts thousands, as SI writes them.
_THIN = re.compile("(?<=\\d)[\u00a0\u2009\u202f](?=\\d{3}(?!\\d))")

_ABSOLUTE = re.compile(
    r"\(?\b(?:abs(?:olute)?\.?)(?![a-z])\)?|(?<=bar)\s*\(?a(?![a-z])\)?|(?<=psi)\s*\(?a(?![a-z])\)?",
    re.IGNORECASE,
)
_GAUGE = re.compile(
    r"\(?\b(?:gauge|gage|rel(?:ative)?\.?)\)?|(?<=bar)\s*\(?g(?![a-z])\)?|(?<=psi)\s*\(?g(?![a-z])\)?"
    r"|(?<=\s)g$",
    re.IGNORECASE,
)


def tidy(text: str) -> str:
    """Make all ways of writing one thing look the same; numbers stay."""
    if text.isascii():
        return " ".join(text.split())
    out = []
    for letter in _THIN.sub("", text):
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
    return InputError(what=quantity, read=f"“{short(text)}”", allowed=allowed, do=do)


def short(text: str) -> str:
    """Give a text as it stands, or its beginning if it is very long."""
    return text if len(text) <= LONGEST else text[:LONGEST] + "…"


def advice(written: str) -> str:
    """Say what to do about a tidy text that is no reading."""
    for pattern, do in _ADVICE:
        if pattern.search(written):
            return do
    return "Write one reading in a cell, as in these examples."


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
    bare = written.lstrip("+-").strip()
    fraction = _FRACTION.fullmatch(bare)
    value = float("nan")
    if fraction:
        whole, top, bottom = (int(part or 0) for part in fraction.groups())
        if top < bottom and bottom in _TAPE:
            value = whole + top / bottom
    elif _PLAIN.fullmatch(written):
        value = float(bare.replace(",", "."))
    if not isfinite(value) or len(written) - len(bare) > 1:
        raise refusal(quantity, text, f"a number such as {example}", advice(written))
    return -value if written.startswith("-") else value


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
    written = tidy(text).casefold().rstrip(".")
    if quantity == "pressure":
        per = written.replace(" per ", "/").replace("/ ", "/").replace(" /", "/")
        written = _SQUARE.sub(lambda found: f"{found[1] or found[2]}²", per)
    elif quantity == "temperature":
        written = _DEGREE.sub("", written)
    return _SPELT[quantity].get(written)


def is_degree(unit: str) -> bool:
    """Say whether a unit is missing, or a degree that does not say of what."""
    return not _DEGREE.sub("", unit.casefold())


def parts_of(
    written: str, quantity: str, text: str, unit: str | None = None
) -> list[tuple[float, str]]:
    """Split ``5 ft 11 1/2 in`` into numbers with their units.

    A tidy text holds one number, a length also a larger unit before a smaller
    one. `unit` is that of the column, for a number without one of its own.
    """
    allowed = f"a number such as {EXAMPLE[quantity]}"
    if len(written) > LONGEST or _ADVICE[0][0].search(written):
        raise refusal(quantity, text, allowed, advice(written[: 2 * LONGEST]))
    found, end = [], 0
    for match in _PART.finditer(written):
        if match.start() != end:
            break
        number = signed_number(match[1].strip(), quantity, text, EXAMPLE[quantity])
        found.append((number, (match[2] or "").strip()))
        end = match.end()
    if not found or end < len(written):
        raise refusal(quantity, text, allowed, advice(written))
    if len(found) > 1 and quantity != "length":
        raise refusal(quantity, text, f"one {quantity}", advice(written))
    symbol = unit_symbol(found[0][1] or unit or "", quantity)
    if symbol in _FINE and _THOUSAND.match(written):
        do = "Write it without the comma; it may part thousands or decimals."
        raise refusal(quantity, text, f"a {quantity} that can be read in one way", do)
    return found


def needs_unit(quantity: str, text: str) -> UnitError:
    """Give the error for a number that has no unit anywhere."""
    return UnitError(
        what=quantity,
        read=f"“{short(text)}” without a unit",
        allowed=f"a number with its unit, such as {EXAMPLE[quantity]}",
        do="Write the unit after the number, or in the column's heading in brackets.",
    )


def unknown_unit(quantity: str, text: str, other: str = "") -> UnitError:
    """Give the error for a unit that is not known, or measures something else."""
    return UnitError(
        what=quantity,
        read=f"“{short(text)}”{other}",
        allowed=f"a {quantity} such as {EXAMPLE[quantity]}",
        do="Check the unit, or move the number to the column it belongs to.",
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
    return bool(_ABSOLUTE.search(tidy(text)))


def gauge_or_absolute(text: str) -> tuple[str, str]:
    """Part what a pressure's text or heading says of gauge or absolute from the rest.

    Parameters
    ----------
    text : str
        Such as ``"1.6 bar (abs)"`` or ``"kPa gauge"``.

    Returns
    -------
    tuple of (str, str)
        The rest, tidy, and ``"absolute"``, ``"gauge"`` or an empty text.

    Examples
    --------
    >>> gauge_or_absolute("1.6 bar (abs)")
    ('1.6 bar', 'absolute')
    """
    written = tidy(text)
    absolute, gauge = _ABSOLUTE.search(written), _GAUGE.search(written)
    rest = _GAUGE.sub("", _ABSOLUTE.sub("", written)).strip(" ()")
    return rest, "absolute" if absolute else "gauge" if gauge else ""
