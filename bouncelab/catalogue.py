"""What is known of balls and of published bounce ranges, each with its source."""

from __future__ import annotations

import csv
import difflib
import html
import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from bouncelab.errors import FileError, InputError, TableError
from bouncelab.places import kit_folder
from bouncelab.units import (
    read_length,
    read_temperature,
    show_length,
    unit_symbol,
)

__all__ = [
    "Ball",
    "BounceRange",
    "balls",
    "find_ball",
    "find_range",
    "load_ranges",
    "ranges",
]

POINTS = ("bottom", "centre", "top", "not stated")


@dataclass(frozen=True, slots=True)
class Ball:
    """A kind of ball.

    Attributes
    ----------
    id, name : str
        Its short name here and its full one.
    aliases : tuple of str
        Words by which people call it.
    mass_kg, diameter_m : float
        Middle of what its rules allow.
    drag_coefficient, drag_coefficient_u : float
        With its standard uncertainty, no unit.
    max_gauge_pressure_pa : float or None
        A usual marked maximum; what is printed on the ball itself comes first.
        None for a ball that is not pumped up.
    source : str
        Where the figures are from.
    """

    id: str
    name: str
    aliases: tuple[str, ...]
    mass_kg: float
    diameter_m: float
    drag_coefficient: float
    drag_coefficient_u: float
    max_gauge_pressure_pa: float | None
    source: str

    def __str__(self) -> str:
        return f"{self.name}: {show_length(self.diameter_m)} across"


@dataclass(frozen=True, slots=True)
class BounceRange:
    """What a rule asks of a ball that is dropped.

    Attributes
    ----------
    id, ball, body, edition : str
        Its name here, the kind of ball (`Ball.id`), who published it and when.
    drop_height_m : float
        Height of the point that the rule reads at the drop.
    drop_point, rebound_point : {"bottom", "centre", "top", "not stated"}
        The points that the rule reads.
    rebound_min_m, rebound_max_m : float or None
        Limits of the raw rebound height; None where there is none.
    floor : str
        What the ball is to be dropped on.
    temperature_min_c, temperature_max_c : float or None
        Limits of the temperature.
    printed, note, source, confirmed : str
        The figures as published; what else the rule says; where it is from; how
        far it is confirmed.
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
    floor: str
    temperature_min_c: float | None
    temperature_max_c: float | None
    printed: str
    note: str
    source: str
    confirmed: str

    def __str__(self) -> str:
        low, high = self.rebound_min_m, self.rebound_max_m
        if low is not None and high is not None:
            limits = f"{show_length(low)} to {show_length(high)}"
        elif low is not None:
            limits = f"at least {show_length(low)}"
        else:
            limits = f"at most {show_length(high or 0.0)}"
        return (
            f"{self.id} ({self.body}, {self.edition}): {self.ball}, dropped from "
            f"{show_length(self.drop_height_m)} ({self.drop_point}), comes back to "
            f"{limits} ({self.rebound_point})"
        )

    def _repr_html_(self) -> str:
        return f"<p>{html.escape(str(self))}</p>"

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        names = (
            "id ball body edition drop_height_m drop_point rebound_min_m "
            "rebound_max_m rebound_point floor source confirmed"
        )
        return {name: getattr(self, name) for name in names.split()}


@lru_cache(maxsize=1)
def balls() -> tuple[Ball, ...]:
    """Give the kinds of balls that the kit knows.

    Returns
    -------
    tuple of Ball
        In the order of ``data/balls.csv``.

    Examples
    --------
    >>> "futsal" in [ball.id for ball in balls()]
    True
    """
    path = kit_folder("data") / "balls.csv"
    return tuple(
        Ball(
            id=row["id"],
            name=row["name"],
            aliases=tuple(a.strip() for a in row["aliases"].split("|") if a.strip()),
            mass_kg=float(row["mass_kg"]),
            diameter_m=float(row["diameter_m"]),
            drag_coefficient=float(row["drag_coefficient"]),
            drag_coefficient_u=float(row["drag_coefficient_u"]),
            max_gauge_pressure_pa=_number(row["max_gauge_pressure_pa"]),
            source=row["source"],
        )
        for row in _rows(path)
    )


@lru_cache(maxsize=1)
def ranges() -> tuple[BounceRange, ...]:
    """Give the published bounce ranges.

    Returns
    -------
    tuple of BounceRange
        In the order of ``data/bounce_ranges.csv``.

    Examples
    --------
    >>> len(ranges()) >= 10
    True
    """
    return tuple(load_ranges(kit_folder("data") / "bounce_ranges.csv"))


def find_range(id: str) -> BounceRange:
    """Give one published range by its id.

    Parameters
    ----------
    id : str
        Such as ``"futsal-law-2"``.

    Returns
    -------
    BounceRange
        The range.

    Raises
    ------
    InputError
        If there is none of that name.

    Examples
    --------
    >>> find_range("futsal-law-2").rebound_max_m
    0.65
    """
    for each in ranges():
        if each.id == id.strip().casefold():
            return each
    known = [each.id for each in ranges()]
    near = difflib.get_close_matches(id.casefold(), known, n=3, cutoff=0.4)
    raise InputError(
        what="range",
        read=f"“{id}”",
        allowed=", ".join(near or known[:6]) + (" and others" if not near else ""),
        do="List all of them with: bouncelab ranges",
    )


@lru_cache(maxsize=1)
def _by_word() -> dict[tuple[str, ...], set[int]]:
    found: dict[tuple[str, ...], set[int]] = {}
    for place, ball in enumerate(balls()):
        for alias in (ball.id.replace("-", " "), ball.name, *ball.aliases):
            found.setdefault(tuple(_words(alias)), set()).add(place)
    return found


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+|\d+", text.casefold().replace("-", " "))


@lru_cache(maxsize=8192)
def find_ball(name: str) -> Ball | None:
    """Give the kind of ball that a name means, or None if it is not clear.

    Parameters
    ----------
    name : str
        What a class calls a ball, such as ``"Basketball 3"``. A number alone is
        that ball's own; ``"size 6"`` is a size.

    Returns
    -------
    Ball or None
        The kind with the longest match; None where no kind or two kinds match.

    Examples
    --------
    >>> find_ball("Basketball 3").id, find_ball("basketball, size 6").id
    ('basketball', 'basketball-6')
    >>> find_ball("the red one") is None
    True
    """
    words = _words(name)
    best: tuple[int, set[int]] = (0, set())
    for alias, places in _by_word().items():
        size = len(alias)
        if any(tuple(words[at : at + size]) == alias for at in range(len(words))):
            length = sum(map(len, alias)) + size
            if length > best[0]:
                best = (length, set(places))
            elif length == best[0]:
                best = (length, best[1] | places)
    # "basketballs" and "Football:" said in the plural mean the same.
    if not best[1] and words and any(word.endswith("s") for word in words):
        return find_ball(" ".join(w[:-1] if w.endswith("s") else w for w in words))
    return balls()[best[1].pop()] if len(best[1]) == 1 else None


def load_ranges(path: str | os.PathLike[str]) -> tuple[BounceRange, ...]:
    """Read bounce ranges, such as a school's own.

    Parameters
    ----------
    path : path-like
        A CSV file with the columns of ``data/bounce_ranges.csv``. Only ``id``,
        ``ball``, ``drop_height`` and one of ``rebound_min`` and ``rebound_max``
        are needed; lengths carry their unit in the heading, ``drop_height (cm)``
        or ``drop_height_m``, or in the cell.

    Returns
    -------
    tuple of BounceRange
        In the order of the file.

    Raises
    ------
    FileError
        If the file cannot be opened.
    TableError
        If a column or a value is missing or cannot be read.

    Examples
    --------
    >>> load_ranges(kit_folder("data") / "bounce_ranges.csv")[0].drop_height_m
    1.8
    """
    path = Path(path)
    found: list[BounceRange] = []
    for line, row in enumerate(_rows(path), start=2):
        found.append(_range(row, f"{path.name}, row {line}"))
    ids = [each.id for each in found]
    twice = next((each for each in ids if ids.count(each) > 1), None)
    if twice is not None:
        raise TableError(
            what=path.name,
            read=f"two ranges called “{twice}”",
            allowed="an id of its own for each range",
            do="Rename one of them.",
        )
    return tuple(found)


def _range(row: dict[str, str], where: str) -> BounceRange:
    cells = {_plain(heading): (heading, text) for heading, text in row.items()}

    def text(name: str, usual: str = "") -> str:
        return cells.get(name, ("", ""))[1].strip() or usual

    def number(name: str, read: Callable[..., float], quantity: str) -> float | None:
        heading, written = cells.get(name, ("", ""))
        if not written.strip():
            return None
        unit = re.sub(r".*[(\[]|[)\]].*", "", heading) if "(" in heading else ""
        unit = unit or heading.rsplit("_", 1)[-1]
        known = unit_symbol(unit, quantity)
        try:
            return read(written, unit=known)
        except InputError as error:
            what = f"{where}, {heading}"
            raise TableError(what, error.read, error.allowed, error.do) from error

    drop = number("drop_height", read_length, "length")
    low = number("rebound_min", read_length, "length")
    high = number("rebound_max", read_length, "length")
    points = [
        text(name, "bottom").casefold() for name in ("drop_point", "rebound_point")
    ]
    wrong = ""
    if not text("id") or not text("ball"):
        wrong = "no id or no ball"
    elif drop is None or drop <= 0:
        wrong = "no drop height above zero"
    elif low is None and high is None:
        wrong = "no limit of the rebound"
    elif low is not None and high is not None and not 0 <= low < high:
        wrong = "a lower limit above the upper one"
    elif not set(points) <= set(POINTS):
        wrong = f"points {', '.join(points)}"
    if wrong or drop is None:
        raise TableError(
            what=where,
            read=wrong,
            allowed="id, ball, drop_height, rebound_min or rebound_max, and points "
            f"out of {', '.join(POINTS)}",
            do="Fill in what is missing.",
        )
    return BounceRange(
        id=text("id").casefold(),
        ball=text("ball"),
        body=text("body", "own range"),
        edition=text("edition", "not stated"),
        drop_height_m=drop,
        drop_point=points[0],
        rebound_min_m=low,
        rebound_max_m=high,
        rebound_point=points[1],
        floor=text("floor", "not stated"),
        temperature_min_c=number("temperature_min", read_temperature, "temperature"),
        temperature_max_c=number("temperature_max", read_temperature, "temperature"),
        printed=text("printed"),
        note=text("note"),
        source=text("source", "not stated"),
        confirmed=text("confirmed", "not confirmed"),
    )


def _plain(heading: str) -> str:
    """Give a heading without its unit: ``drop_height_m`` is ``drop_height``."""
    bare = re.sub(r"[(\[].*", "", heading).strip().casefold().replace(" ", "_")
    return re.sub(r"_(m|cm|mm|in|ft|c|f)$", "", bare)


def _number(text: str) -> float | None:
    return float(text) if text.strip() else None


def _rows(path: Path) -> list[dict[str, str]]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            return [
                {k: v or "" for k, v in row.items() if k is not None}
                for row in csv.DictReader(file)
                if any(row.values())
            ]
    except OSError as error:
        raise FileError(
            what=str(path),
            read=(error.strerror or "nothing").lower(),
            allowed="a CSV file",
            do="Check the name and the folder.",
        ) from error
    except (UnicodeDecodeError, csv.Error) as error:
        raise TableError(
            what=path.name,
            read="bytes that are no text",
            allowed="a CSV file in UTF-8",
            do="Save it again as CSV.",
        ) from error
