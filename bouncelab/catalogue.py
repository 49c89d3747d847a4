"""How high should each ball bounce? Published ranges, and balls, from `data/`."""

from __future__ import annotations

import html
import os
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from bouncelab.errors import InputError, TableError
from bouncelab.kinds import Ball, balls, find_ball
from bouncelab.places import kit_folder
from bouncelab.tables import Row, read_table
from bouncelab.units import show_length, show_temperature

__all__ = [
    "POINTS",
    "Ball",
    "BounceRange",
    "balls",
    "find_ball",
    "find_range",
    "load_ranges",
    "ranges",
]

POINTS = {"bottom": 0.0, "centre": 0.5, "top": 1.0}  # diameters above the lowest


@dataclass(frozen=True, slots=True)
class BounceRange:
    """How high a ball should come back, by a published rule or a person's own.

    Attributes
    ----------
    id, ball : str
        The range's id and that of the kind of ball.
    body, edition : str
        Who says so, and in which text.
    drop_height_m : float
        Height of the point named by `drop_point`, in m.
    rebound_min_m, rebound_max_m : float or None
        Limits for the point named by `rebound_point`, in m; None if there is
        no such limit. At least one is there.
    drop_point, rebound_point : {"bottom", "centre", "top"}
        The point of the ball that is read.
    points_named : bool
        Whether the source names the points; if not, the bottom is taken.
    floor : str
        Empty if the rule names none.
    temperature_min_c, temperature_max_c : float or None
        In °C.
    as_printed, notes, source, confirmed : str
        The rule's own figures, what else it asks, where it stands, and how far
        that is sure.
    """

    id: str
    ball: str
    body: str
    edition: str
    drop_height_m: float
    drop_point: str
    rebound_min_m: float | None
    rebound_max_m: float | None
    rebound_point: str
    points_named: bool
    floor: str
    temperature_min_c: float | None
    temperature_max_c: float | None
    as_printed: str
    notes: str
    source: str
    confirmed: str

    @property
    def limits(self) -> str:
        """The limits in words, such as ``"120.0 to 140.0 cm"``."""
        low, high = self.rebound_min_m, self.rebound_max_m
        if low is None:
            return f"at most {show_length(high or 0.0)}"
        if high is None:
            return f"at least {show_length(low)}"
        return f"{show_length(low)} to {show_length(high)}"

    @property
    def temperatures(self) -> str:
        """The temperatures in words; empty if the rule names none."""
        low, high = self.temperature_min_c, self.temperature_max_c
        if low is None and high is None:
            return ""
        if low is None:
            return f"at most {show_temperature(high or 0.0)}"
        if high is None:
            return f"at least {show_temperature(low)}"
        if low == high:
            return f"about {show_temperature(low)}"
        return f"{show_temperature(low)} to {show_temperature(high)}"

    def __str__(self) -> str:
        said = " ".join(each for each in (self.body, self.edition) if each)
        return (
            f"{self.id}: dropped from {show_length(self.drop_height_m)} "
            f"({self.drop_point} of the ball), back to {self.limits} "
            f"({self.rebound_point} of the ball){'; ' if said else ''}{said}"
        )

    def _repr_html_(self) -> str:
        taken = "" if self.points_named else ", taken; the source names no point"
        lines = {
            "Ball": self.ball,
            "Rule": ", ".join(each for each in (self.body, self.edition) if each),
            "Drop": f"{show_length(self.drop_height_m)} ({self.drop_point}{taken})",
            "Rebound": f"{self.limits} ({self.rebound_point}{taken})",
            "Floor": self.floor,
            "Temperature": self.temperatures,
            "As printed": self.as_printed,
            "Notes": self.notes,
            "Source": self.source,
            "Confirmed": self.confirmed,
        }
        body = "".join(
            f'<tr><th scope="row">{name}</th><td>{html.escape(text)}</td></tr>'
            for name, text in lines.items()
            if text
        )
        return f"<table><caption>{html.escape(self.id)}</caption>{body}</table>"

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        keys = "id ball body edition drop_height_m drop_point rebound_min_m"
        keys += " rebound_max_m rebound_point floor source confirmed"
        return {key: getattr(self, key) for key in keys.split()}


@lru_cache(maxsize=1)
def ranges() -> tuple[BounceRange, ...]:
    """Give the published bounce ranges.

    Returns
    -------
    tuple of BounceRange
        In the order of ``data/bounce_ranges.csv``.

    Examples
    --------
    >>> print(ranges()[0])
    basketball-fiba-1998: dropped from 180.0 cm (bottom of the ball), back to \
120.0 cm to 140.0 cm (top of the ball); FIBA 1998 rules
    """
    return load_ranges(kit_folder("data") / "bounce_ranges.csv")


def find_range(id: str) -> BounceRange:
    """Give one published range.

    Parameters
    ----------
    id : str
        Its id, in any case.

    Returns
    -------
    BounceRange
        The range.

    Raises
    ------
    InputError
        If there is none; the message lists ids that are near.

    Examples
    --------
    >>> find_range("futsal-law-2").rebound_max_m
    0.65
    """
    known = {each.id: each for each in ranges()}
    wanted = id.strip().casefold()
    if wanted in known:
        return known[wanted]
    from difflib import get_close_matches

    words = {word for word in re.findall(r"[a-z]{3,}", wanted)}
    near = [each for each in known if words & set(each.split("-"))]
    near += get_close_matches(wanted, known, n=4, cutoff=0.5)
    raise InputError(
        what="range",
        read=f"“{id}”",
        allowed="one of " + ", ".join(dict.fromkeys(near or known)),
        do="Take an id from the list that bouncelab ranges prints.",
    )


_HEADINGS = {
    "range": "id",
    "code": "id",
    "drop": "drop height",
    "dropped from": "drop height",
    "minimum rebound": "rebound at least",
    "rebound min": "rebound at least",
    "rebound from": "rebound at least",
    "maximum rebound": "rebound at most",
    "rebound max": "rebound at most",
    "rebound to": "rebound at most",
    "temperature min": "temperature at least",
    "temperature from": "temperature at least",
    "temperature max": "temperature at most",
    "temperature to": "temperature at most",
    "surface": "floor",
    "note": "notes",
}
_COLUMNS = (
    *("id", "ball", "body", "edition", "drop height", "drop point"),
    *("rebound at least", "rebound at most", "rebound point", "points named", "floor"),
    *("temperature at least", "temperature at most", "as printed", "notes", "source"),
    "confirmed",
)


def load_ranges(path: str | os.PathLike[str]) -> tuple[BounceRange, ...]:
    r"""Read ranges from a CSV file, such as a school's own.

    Parameters
    ----------
    path : path-like
        Headings as in ``data/bounce_ranges.csv``, in any order: id, ball, drop
        height, rebound at least or rebound at most; the others may be missing.
        Units stand in brackets in the headings, or in the cells.

    Returns
    -------
    tuple of BounceRange
        In the order of the file. Points that are not given are the bottom.

    Raises
    ------
    FileError
        If the file cannot be opened.
    TableError
        If a heading is not known or a cell cannot be used; names the row and
        column.

    Examples
    --------
    >>> path = getfixture("tmp_path") / "ours.csv"
    >>> _ = path.write_text(
    ...     "id,ball,drop (cm),rebound from,rebound to\n"
    ...     "ours,soccer ball,200,1.2 m,64 in\n"
    ... )
    >>> load_ranges(path)[0].to_dict()["rebound_max_m"]
    1.6256
    """
    path = Path(path)
    found: dict[str, BounceRange] = {}
    for row in read_table(path, _HEADINGS):
        # A limit under a mistyped heading would be lost without a word.
        strange = [row.headings[name] for name in row.headings if name not in _COLUMNS]
        if any(strange):
            raise TableError(
                what=f"{path.name}, headings",
                read=", ".join(f"“{each}”" for each in strange if each),
                allowed=", ".join(_COLUMNS),
                do="Rename the column, or delete it.",
            )
        each = _range(row)
        if each.id in found:
            raise row.error("id", "an id that no other row has", "Change one of both.")
        found[each.id] = each
    if not found:
        raise TableError(
            path.name, "no range", "one range in each row", "Write one below the line."
        )
    return tuple(found.values())


def _range(row: Row) -> BounceRange:
    id_, ball = row.text("id"), row.text("ball")
    for name, text in (("id", id_), ("ball", ball)):
        if not text:
            raise row.error(name, "a name", "Fill in the cell.", "nothing")
    kind = find_ball(ball)
    drop = row.needed("drop height", row.length("drop height"))
    low, high = row.length("rebound at least"), row.length("rebound at most")
    if low is None and high is None:
        raise row.error(
            "rebound at least",
            "a lower limit, an upper limit, or both",
            "Fill in rebound at least or rebound at most.",
            "nothing",
        )
    if not drop > 0:
        raise row.error("drop height", "a height above 0", "Check the number.")
    for name, limit in (("rebound at least", low), ("rebound at most", high)):
        if limit is not None and limit < 0:
            raise row.error(name, "0 or more", "Check the sign.")
    if low is not None and high is not None and low >= high:
        raise row.error(
            "rebound at most",
            f"above the lower limit, {show_length(low)}",
            "Check both limits.",
        )
    drop_point, rebound_point = _point(row, "drop point"), _point(row, "rebound point")
    named = row.text("points named") or (
        "yes" if row.text("drop point") and row.text("rebound point") else "no"
    )
    coldest = row.temperature("temperature at least")
    warmest = row.temperature("temperature at most")
    if coldest is not None and warmest is not None and coldest > warmest:
        raise row.error(
            "temperature at most", "not below the lowest", "Check both temperatures."
        )
    return BounceRange(
        id=id_.casefold(),
        ball=kind.id if kind else ball.casefold(),
        body=row.text("body"),
        edition=row.text("edition"),
        drop_height_m=drop,
        drop_point=drop_point,
        rebound_min_m=low,
        rebound_max_m=high,
        rebound_point=rebound_point,
        points_named=named.casefold() in ("yes", "y", "true", "1", "x"),
        floor=row.text("floor"),
        temperature_min_c=coldest,
        temperature_max_c=warmest,
        as_printed=row.text("as printed"),
        notes=row.text("notes"),
        source=row.text("source"),
        confirmed=row.text("confirmed"),
    )


def _point(row: Row, name: str) -> str:
    text = row.text(name).casefold() or "bottom"
    text = "centre" if text == "center" else text
    if text not in POINTS:
        raise row.error(name, ", ".join(POINTS), "Choose one of these.")
    return text
