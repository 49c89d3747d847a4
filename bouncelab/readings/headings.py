"""Read a table's headings: which column, in which unit, at which point of the ball."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from bouncelab.errors import TableError
from bouncelab.units import is_absolute, unit_symbol

__all__ = ["POINTS", "Heading", "match_headings", "point_of", "read_heading"]

POINTS = ("bottom", "centre", "top")
_POINT_WORDS = {
    "bottom": "bottom low lowest lower base underside b",
    "centre": "centre center middle mid c m",
    "top": "top high highest upper t",
}
_POINT = {word: point for point, ws in _POINT_WORDS.items() for word in ws.split()}

_QUANTITY = {
    "drop_height_m": "length",
    "rebound_height_m": "length",
    "diameter_m": "length",
    "circumference": "length",
    "gauge_pressure_pa": "pressure",
    "temperature_c": "temperature",
}
# In this order: a heading belongs to the first column one of whose words it has.
_WORDS = {
    "set aside": "set aside|exclude|excluded|ignore|leave out|left out",
    "flag": "flag",
    "why": "why",
    "diameter_m": "diameter|diam|ball width|ball size",
    "circumference": "circumference|circ|girth|perimeter|round the ball",
    "gauge_pressure_pa": "pressure|inflation|psi|kpa|bar|mbar",
    "temperature_c": "temperature|temp|warmth|degrees|°c|°f",
    "note": "note|notes|comment|comments|remark|remarks|observation|observations",
    "when": "when|date|time|day|timestamp|time stamp",
    "trial": "trial|trials|try|attempt|repeat|repetition|run|go|throw|#|no|nr|number",
    "rebound_height_m": "rebound|rebounds|bounce|bounced|bounces|return|back|h2|after"
    "|height after|up to|rise",
    "drop_height_m": "drop|dropped|drops|release|released|start|starting|initial|h1"
    "|before|from|fall",
    "floor": "floor|surface|ground|court|flooring",
    "group": "group|groups|team|teams|house|squad|pupils|students",
    "ball": "ball|balls",
}
_ASKS_POINT = re.compile(r"\b(point|reference|ref|part|read at|measured at)\b")
_BRACKET = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading says.

    Attributes
    ----------
    text : str
        The heading as it stands in the table.
    column : str
        The column it feeds: one of the table's, or ``"circumference"``,
        ``"set aside"``; empty if it is not known.
    unit : str
        The unit of bare numbers, or empty.
    point : str
        The point of the ball that was read, or empty.
    """

    text: str
    column: str = ""
    unit: str = ""
    point: str = ""


def point_of(text: str) -> str | None:
    """Give the point of the ball that a word means, or None.

    Parameters
    ----------
    text : str
        Such as ``"Lowest"`` or ``"top of the ball"``.

    Returns
    -------
    str or None
        ``"bottom"``, ``"centre"`` or ``"top"``; None if unclear.

    Examples
    --------
    >>> point_of("Top of ball")
    'top'
    """
    words = re.findall(r"[^\W\d_]+", text.casefold())
    if len(words) == 1:
        return _POINT.get(words[0])
    found = {_POINT[w] for w in words if len(w) > 1 and w in _POINT}
    return found.pop() if len(found) == 1 else None


@lru_cache(maxsize=4096)
def read_heading(text: str) -> Heading:
    """Read one heading.

    Parameters
    ----------
    text : str
        Such as ``"Drop height (cm)"``, ``"bounce ht, in"`` or ``"PSI"``.

    Returns
    -------
    Heading
        What it says; `column` is empty if no column is known by such a name.

    Examples
    --------
    >>> read_heading("Height of bounce to top [in]")
    Heading(text='Height of bounce to top [in]', column='rebound_height_m', \
unit='in', point='top')
    """
    inside = " ".join(_BRACKET.findall(text))
    outside = _BRACKET.sub(" ", text)
    words = " ".join(re.sub(r"[_:;,./?]+", " ", outside).casefold().split())
    column = _column(words)
    if not column:
        return Heading(text)
    quantity = _QUANTITY.get(column, "")
    unit = _unit(inside, outside, words, quantity) if quantity else ""
    point = ""
    if column in ("drop_height_m", "rebound_height_m"):
        if _ASKS_POINT.search(words):
            column = column.replace("height_m", "point")
            unit = ""
        else:
            point = point_of(f"{inside} {words} .") or ""
    return Heading(text, column, unit, point)


def _column(words: str) -> str:
    padded = f" {words} "
    for column, names in _WORDS.items():
        if any(f" {name} " in padded for name in names.split("|")):
            return column
    return ""


def _unit(inside: str, outside: str, words: str, quantity: str) -> str:
    absolute = " absolute" if is_absolute(f"{inside} {outside}") else ""
    tail = words.split()
    candidates = [inside, *re.split(r"[,;:]|\bin\b(?=.)", inside + "," + outside)]
    candidates += [*inside.split(), " ".join(tail[-2:]), tail[-1]]
    for candidate in candidates:
        bare = re.sub(r"\b(gauge|gage|abs|absolute)\b", "", candidate, flags=re.I)
        symbol = unit_symbol(bare.strip(" ._"), quantity) if bare.strip() else None
        if symbol and bare.strip().casefold() not in ("degree", "degrees", "'", '"'):
            return symbol + absolute if quantity == "pressure" else symbol
        if symbol and quantity != "temperature":
            return symbol
    return ""


def match_headings(texts: Sequence[str]) -> list[Heading]:
    """Read all headings of a table.

    Parameters
    ----------
    texts : sequence of str
        The headings from left to right.

    Returns
    -------
    list of Heading
        One for each text.

    Raises
    ------
    TableError
        If the drop height or the rebound height has no heading, or two
        headings claim one column.
    """
    found = [read_heading(text) for text in texts]
    found = _settle_drop(found)
    wanted = {"drop_height_m": "drop height", "rebound_height_m": "rebound height"}
    seen: dict[str, str] = {}
    for heading in found:
        if heading.column in seen:
            raise TableError(
                what="headings",
                read=f"“{seen[heading.column]}” and “{heading.text}”",
                allowed="one heading for each thing that was measured",
                do="Rename or remove one of the two.",
            )
        if heading.column:
            seen[heading.column] = heading.text
    missing = [name for column, name in wanted.items() if column not in seen]
    if missing:
        shown = ", ".join(f"“{t.strip()[:40]}”" for t in texts[:12] if t.strip())
        raise TableError(
            what="headings",
            read=shown or "none",
            allowed=f"a heading “{missing[0]}” with its unit, such as "
            f"“{missing[0]} (cm)”",
            do="Rename the heading and open the file again.",
        )
    return found


def _settle_drop(found: list[Heading]) -> list[Heading]:
    """Take a bare "drop" beside a "drop height" for the number of the drop."""
    drops = [h for h in found if h.column == "drop_height_m"]
    if len(drops) < 2 or any(h.column == "trial" for h in found):
        return found
    bare = [h for h in drops if not h.unit and "h" not in h.text.casefold()]
    if len(bare) != 1:
        return found
    return [Heading(h.text, "trial") if h is bare[0] else h for h in found]
