"""An answer as a student wrote it: number, unit, and how many figures were written."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from bouncelab.measures import unit_named

__all__ = ["Written", "read_answer"]

_LONGEST = 200  # letters of an answer that is a number
_ABOUT = r"(?:≈|~|\u223c|approx(?:imately)?\.?|about|around|roughly|ca?\.|circa|env\.)"
# A name before the number: "e =", "h_2 =", "v:", "the answer is".
_NAME = re.compile(
    r"^(?:(?:the )?answer(?: is)?[:=]?|[a-zA-Zα-ωΔ][\w₀-₉,]{0,11}(?: \(?[a-z]+\)?)?"
    r"\s*(?:=|:|≈|\bis\b))\s*",
    re.IGNORECASE,
)
_POWER = re.compile(r"\s*[×x*·]\s*10\s*(?:\^|\*\*)?\s*\(?([-+]?\d{1,3})\)?")
_DECIMAL = re.compile(
    r"[-+]? ?(?:\d+(?:[ ]\d{3})*(?:[.,]\d+)?|[.,]\d+)(?:[eE][-+]?\d{1,3})?"
)
# Thousands set apart and a decimal sign of the other kind: 12,345.6 or 1.234,5.
_GROUPED = re.compile(
    r"[1-9]\d{0,2}(?:(?:,\d{3})+(?=\.\d)|(?:\.\d{3})+(?=,\d)|(?:,\d{3}){2,})"
)
_MAYBE = re.compile(r"[1-9]\d{0,2},\d{3}(?!\d)")  # 1,200: thousands or decimals
_REMARK = re.compile(r"\s*\((?!\d)[^()]*\)\s*$|\s*\(\d s\.?f\.?\)\s*$")
_LAST = re.compile(r"=|≈|≅|->|→|⇒")
_FRACTION = re.compile(r"([-+]?)(?:(\d+)[ -]+)?(\d+)/(\d+)(?!\d)")
_FEET = re.compile(r"(\d+)\s*(?:ft|feet|foot|')\s*(.+)", re.IGNORECASE)
_UPPER = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")


@dataclass(frozen=True, slots=True)
class Written:
    """What was written for a number.

    Attributes
    ----------
    text : str
        Exactly what stood there.
    number : float or None
        Before the unit; None if no number could be read.
    unit : str or None
        Its usual symbol; empty if none was written, None if it is not known.
    figures : tuple of (int, int)
        The fewest and the most significant figures that it may stand for: the
        zeros at the end of 120 may count or not.
    why : str
        What could not be read; empty if all could.
    thousands : float or None
        What 1,200 is if the comma sets thousands apart; None if it cannot.
    """

    text: str
    number: float | None
    unit: str | None = ""
    figures: tuple[int, int] = (0, 0)
    why: str = ""
    thousands: float | None = None


def read_answer(text: str) -> Written:
    """Read an answer as people write it; nothing in it is ever run.

    Parameters
    ----------
    text : str
        Such as ``"e ≈ 0,77"``, ``"7.7e-1"``, ``"77 %"``, ``"42 1/2 in"``,
        ``"1.08 m"`` or ``"3,2 · 10⁻³ J"``. What stands behind ± is passed over;
        of a working such as ``"√0.6 = 0.77"`` what stands behind the last = counts.

    Returns
    -------
    Written
        With the reason, if it cannot be read.

    Examples
    --------
    >>> read_answer("e ≈ 0,77").number, read_answer("42 1/2 in").number
    (0.77, 42.5)
    >>> read_answer("77 %").unit, read_answer("120").figures
    ('%', (2, 3))
    """
    rest = _plain(text)
    if not rest:
        return Written(text, None, why="nothing is written")
    if len(rest) > _LONGEST:
        return Written(text, None, why="it is too long for one number")
    last = _LAST.split(rest)[-1].strip()
    rest = last if re.match(rf"{_ABOUT}?\s*[-+(]*[\d.,]", last) else rest
    rest = _NAME.sub("", rest)
    rest = re.sub(rf"^(?:=\s*)?{_ABOUT}?\s*", "", rest, flags=re.IGNORECASE)
    rest = _without_spread(_REMARK.sub("", rest))
    feet = _FEET.fullmatch(rest)
    if feet:
        return _in_feet(text, feet)
    number, figures, tail = _number(rest)
    if number is None:
        return Written(text, None, why="no number can be read in it")
    tail = tail.strip(" .;)!?")
    if re.match(r"^[-–=/]|^(?:or|to|oder)\b|^\d", tail):
        return Written(text, None, why="there is more than one number in it")
    unit = "" if not tail else unit_named(tail)
    why = "" if unit is not None else f"the unit “{tail}” is not known"
    maybe = _MAYBE.match(rest)
    thousands = float(maybe[0].replace(",", "")) if maybe else None
    return Written(text, number, unit, figures, why, thousands)


def _plain(text: str) -> str:
    """Write powers, digits and blanks in one way."""
    raised = re.sub(
        r"(?<=10)[⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺]+", lambda m: "^" + m[0].translate(_UPPER), text
    )
    raised = re.sub(r"(?<=\d)(?=[¼-¾⅐-⅞])", " ", raised)  # 42½ is no 421/2
    kept = raised.replace("²", "\ue002").replace("³", "\ue003")  # of units
    made = unicodedata.normalize("NFKC", kept)
    made = made.replace("\ue002", "²").replace("\ue003", "³").replace("\u2044", "/")
    made = "".join(
        str(unicodedata.digit(each)) if each.isdigit() and each not in "²³" else each
        for each in made
    )
    made = re.sub("[\u2212\u2013\u2012]", "-", made).replace("\u066b", ".")
    made = re.sub(r"^minus (?=[\d.])", "-", made, flags=re.IGNORECASE)
    made = re.sub(r"(?<![\d.,])0·(?=\d)", "0.", made)  # a raised decimal point
    made = made.replace("\u066a", "%")
    made = made.strip().strip("$*_`").strip()
    return " ".join(made.split())


def _without_spread(rest: str) -> str:
    """Leave out ± with its number; a unit may stand before it, behind it, or both."""
    parts = re.split(r"±|\+/-|\+-", rest, maxsplit=1)
    if len(parts) < 2:
        return rest
    before = parts[0].strip().lstrip("(").strip()
    found = re.match(r"\s*\(?[\d.,]+(?:[eE][-+]?\d+)?[\s)]*(.*)", parts[1])
    unit = found[1].strip(" )") if found else ""
    return before if unit and before.endswith(unit) else f"{before} {unit}"


def _number(rest: str) -> tuple[float | None, tuple[int, int], str]:
    fraction = _FRACTION.match(rest)
    if fraction:
        sign, whole, above, below = fraction.groups()
        if int(below) == 0:
            return None, (0, 0), rest
        value = Fraction(int(whole or 0)) + Fraction(int(above), int(below))
        size = len(whole or above)
        number = float(-value if sign == "-" else value)
        return number, (size, size + 2), rest[fraction.end() :]
    grouped = _GROUPED.match(rest)
    if grouped:
        sign = "," if "," in grouped[0] else "."
        rest = grouped[0].replace(sign, "") + rest[grouped.end() :]
    found = _DECIMAL.match(rest)
    if not found:
        return None, (0, 0), rest
    digits = found[0].replace(" ", "").replace(",", ".")
    mantissa, _, power = digits.lower().partition("e")
    tail = rest[found.end() :]
    times = _POWER.match(tail)
    if times and not power:
        power, tail = times[1], tail[times.end() :]
    try:
        number = float(f"{mantissa}e{int(power or 0)}")
    except (ValueError, OverflowError):
        return None, (0, 0), rest
    if number in (float("inf"), float("-inf")):
        return None, (0, 0), rest
    return number, _figures(mantissa), tail


def _figures(mantissa: str) -> tuple[int, int]:
    """Count the significant figures of a number as written."""
    digits = mantissa.lstrip("+-")
    bare = digits.replace(".", "").lstrip("0")
    if not bare:
        return 1, max(1, len(digits.replace(".", "")))
    if "." in digits:
        return len(bare), len(bare)
    return max(1, len(bare.rstrip("0"))), len(bare)


def _in_feet(text: str, feet: re.Match[str]) -> Written:
    inches = read_answer(
        feet[2].rstrip("\"'”″ ") + " in" if feet[2][-1:] in "\"'”″" else feet[2]
    )
    if inches.number is None or inches.unit not in ("in", ""):
        return Written(text, None, why="feet and inches cannot be read in it")
    figures = (inches.figures[0] + 1, inches.figures[1] + 2)
    return Written(text, 12 * int(feet[1]) + inches.number, "in", figures)
