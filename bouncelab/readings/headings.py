"""Read a table's headings: which column, in which unit, at which point of the ball."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from bouncelab.errors import InputError, TableError
from bouncelab.units import read_length, read_pressure
from bouncelab.writing import gauge_or_absolute, is_absolute, tidy, unit_symbol

__all__ = [
    "POINTS",
    "Heading",
    "match_headings",
    "nearest",
    "point_of",
    "read_heading",
]

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
_WORDS = (
    ("set aside", "set aside|exclude|excluded|ignore|leave out|left out"),
    ("flag", "flag"),
    ("why", "why"),
    ("diameter_m", "diameter|diam|ø|⌀"),
    ("circumference", "circumference|circ|girth|perimeter|round the ball"),
    ("gauge_pressure_pa", "pressure|inflation|psi|psig|psia|kpa|bar|mbar"),
    ("temperature_c", "temperature|temp|warmth|°c|°f"),
    ("note", "note|notes|comment|comments|remark|remarks|observation|observations"),
    ("method", "method|how measured|measured by"),
    ("when", "when|date|time|day|timestamp|time stamp"),
    ("trial", "trial|trials|try|attempt|repeat|repetition|run|go|throw"),
    ("trial", "drop #|drop no|drop nr|drop number|number of drop"),
    (
        "rebound_height_m",
        "rebound|rebounds|bounce|bounced|bounces|return|back|h2|h 2|after|height after"
        "|up to|rise|final height|peak height|max height|maximum height",
    ),
    (
        "drop_height_m",
        "drop|dropped|drops|release|released|start|starting|initial|h1|h 1|before"
        "|from|fall",
    ),
    ("floor", "floor|surface|ground|court|flooring"),
    ("group", "group|groups|team|teams|house|squad|pupils|students"),
    ("ball", "ball|balls"),
    ("trial", "#|no|nr|number"),
)
_TEXTS = ("group", "ball", "floor", "when", "note", "method")
_ASKS_POINT = re.compile(r"\b(point|reference|ref|part|read at|measured at)\b")
_SIZE = re.compile(r"\b(size|width)\b")
_DURATION = re.compile(r"\b(bounce|drop|fall|flight|contact|rebound)\b.*\btime|time of")
# "How high did it bounce" or "from the table top" say nothing about the ball.
_ON_BALL = {
    **dict.fromkeys(("bottom", "lowest", "underside", "low point"), "bottom"),
    **dict.fromkeys(("centre", "center", "middle"), "centre"),
    **dict.fromkeys(("top", "high point"), "top"),
}
_FURNITURE = re.compile(
    r"\b(table|desk|bench|ladder|stairs?|wall|box|chair)s? ?(top|bottom)\b"
    r"|\b(top|bottom) of (the |a )?(table|desk|bench|ladder|stairs?|wall|box|chair)\b"
)
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
    written = tidy(text)
    inside = " ".join(_BRACKET.findall(written))
    outside = _BRACKET.sub(" ", written)
    words = _plain_words(outside)
    column = _column(words)
    if _SIZE.search(words) and _unit(inside, outside, "length"):
        column = "diameter_m"
    elif not column and len(words) <= 2:  # such as "p (kPa)" or "T (°C)"
        for known in ("gauge_pressure_pa", "temperature_c"):
            column = known if _unit(inside, "", _QUANTITY[known]) else column
    if not column or (column == "when" and _DURATION.search(words)):
        return Heading(text)
    quantity = _QUANTITY.get(column, "")
    unit = _unit(inside, outside, quantity) if quantity else ""
    point = ""
    if column in ("drop_height_m", "rebound_height_m"):
        if _ASKS_POINT.search(words):
            column = column.replace("height_m", "point")
            unit = ""
        else:
            point = _point(f" {_plain_words(inside)} {words} ")
    return Heading(text, column, unit, point)


def _plain_words(text: str) -> str:
    return " ".join(re.sub(r"[_:;,./?]+", " ", text).casefold().split())


def _column(words: str) -> str:
    padded = f" {words} "
    for column, names in _WORDS:
        if any(f" {name} " in padded for name in names.split("|")):
            return column
    return ""


def _point(words: str) -> str:
    bare = _FURNITURE.sub(" ", words)
    found = {point for word, point in _ON_BALL.items() if f" {word} " in bare}
    return found.pop() if len(found) == 1 else ""


def _unit(inside: str, outside: str, quantity: str) -> str:
    if quantity == "length":
        said = {unit_symbol(word, quantity) for word in re.split(r"[\s,/&]+", inside)}
        if len(said - {None}) > 1:
            return ""  # "ft and in": then each cell says its own
    tail = _plain_words(outside).split()
    candidates = [inside, *re.split(r"[,;:]|\bin\b(?=.)", f"{inside},{outside}")]
    candidates += [*inside.split(), " ".join(tail[-2:]), *tail[-1:]]
    for candidate in candidates:
        bare = gauge_or_absolute(candidate)[0] if quantity == "pressure" else candidate
        symbol = unit_symbol(bare.strip(" ._"), quantity) if bare.strip() else None
        if symbol:
            break
    else:
        symbol = _rare(inside, quantity)
    absolute = quantity == "pressure" and is_absolute(f"{inside} {outside}")
    return f"{symbol} absolute" if symbol and absolute else symbol


def _rare(inside: str, quantity: str) -> str:
    """Take one word in brackets for a unit if the readers know it, such as dm."""
    readers = {"length": read_length, "pressure": read_pressure}
    word = inside.strip()
    if quantity in readers and word.isalpha() and word.casefold() not in _POINT:
        try:
            readers[quantity](f"1 {word}")
        except InputError:
            return ""
        return word
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
    found = _settle_texts(_settle_drop([read_heading(text) for text in texts]))
    seen: dict[str, str] = {}
    for heading in found:
        if heading.column in seen:
            several = re.search(r"\d", heading.text) is not None
            raise TableError(
                what="headings",
                read=f"“{seen[heading.column]}” and “{heading.text}”",
                allowed="one heading for each thing that was measured",
                do="Give each drop a line of its own, with its number under “trial”."
                if several
                else "Rename or remove one of the two.",
            )
        if heading.column:
            seen[heading.column] = heading.text
    for column, name in _WANTED.items():
        if column not in seen:
            shown = ", ".join(f"“{t.strip()[:40]}”" for t in texts[:12] if t.strip())
            unknown = [h.text for h in found if not h.column]
            raise TableError(
                what="headings",
                read=shown or "none",
                allowed=f"a heading “{name}” with its unit, such as “{name} (cm)”",
                do=nearest(unknown, [name])
                or "Rename the heading and open the file again.",
            )
    return found


_WANTED = {"drop_height_m": "drop height", "rebound_height_m": "rebound height"}


def nearest(texts: Sequence[str], wanted: Sequence[str] = ()) -> str:
    """Say which headings may be misspelt, or give an empty text.

    Parameters
    ----------
    texts : sequence of str
        Headings that are not known.
    wanted : sequence of str, optional
        What is looked for; the drop height and the rebound height if left out.

    Returns
    -------
    str
        Such as ``"Did you mean “drop height” by “drp hieght”?"``.

    Examples
    --------
    >>> nearest(["ball", "rebuond (cm)"], ["rebound height"])
    'Did you mean “rebound height” by “rebuond (cm)”?'
    """
    plain = {_plain_words(_BRACKET.sub(" ", text[:60])): text for text in texts}
    pairs = []
    for name in wanted or _WANTED.values():
        for likely in (name, name.split()[0], name.replace(" ", "")):
            close = difflib.get_close_matches(likely, list(plain), n=1, cutoff=0.7)
            if close:
                pairs.append(f"“{name}” by “{plain[close[0]].strip()}”")
                break
    return f"Did you mean {' and '.join(pairs)}?" if pairs else ""


def _settle_texts(found: list[Heading]) -> list[Heading]:
    """Of several headings for one kind of words, take the plainest."""
    settled = list(found)
    for column in _TEXTS:
        rivals = [h for h in settled if h.column == column]
        plain = [h for h in rivals if h.text.strip().casefold() == column]
        if len(rivals) > 1 and len(plain) < 2:
            chosen = (plain or rivals)[0]
            settled = [
                Heading(h.text) if h in rivals and h is not chosen else h
                for h in settled
            ]
    return settled


def _settle_drop(found: list[Heading]) -> list[Heading]:
    """Take a bare "drop" beside a "drop height" for the number of the drop."""
    drops = [h for h in found if h.column == "drop_height_m"]
    if len(drops) < 2 or any(h.column == "trial" for h in found):
        return found
    bare = [h for h in drops if not h.unit and "h" not in h.text.casefold()]
    if len(bare) != 1:
        return found
    return [Heading(h.text, "trial") if h is bare[0] else h for h in found]
