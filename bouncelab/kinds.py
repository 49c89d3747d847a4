"""Which kind of ball is it, how large and how heavy? Read from `data/balls.csv`."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from math import pi

from bouncelab.places import kit_folder
from bouncelab.tables import Row, read_table

__all__ = ["Ball", "balls", "find_ball"]


@dataclass(frozen=True, slots=True)
class Ball:
    """A kind of ball; sizes are the middle of what its rules allow.

    Attributes
    ----------
    id, name : str
        The kit's id, such as ``"basketball-7"``, and a name for people.
    kind, size : str
        What the sizes of one game share, and the size, empty if there is one.
    mass_kg, diameter_m : float
        In kg and m.
    drag_coefficient, drag_coefficient_u : float
        For air, with its standard uncertainty; no unit.
    usual_gauge_pressure_pa : tuple of float or None
        From and to, in Pa; None for a ball that is not pumped up.
    max_gauge_pressure_pa : float or None
        Maximum that is commonly marked on such a ball, in Pa. The one printed on
        the ball itself always wins.
    aliases : tuple of str
        What else people call it.
    as_printed, source, confirmed : str
        The rule's own figures, where they stand, and how far that is sure.
    """

    id: str
    name: str
    kind: str
    size: str
    mass_kg: float
    diameter_m: float
    drag_coefficient: float
    drag_coefficient_u: float
    usual_gauge_pressure_pa: tuple[float, float] | None
    max_gauge_pressure_pa: float | None
    aliases: tuple[str, ...]
    as_printed: str
    source: str
    confirmed: str

    def __str__(self) -> str:
        return f"{self.name}: {self.as_printed} ({self.source})"


@lru_cache(maxsize=1)
def balls() -> tuple[Ball, ...]:
    """Give the kinds of balls that the kit knows.

    Returns
    -------
    tuple of Ball
        In the order of ``data/balls.csv``.

    Examples
    --------
    >>> balls()[0].name
    'basketball, size 7'
    """
    return tuple(map(_ball, read_table(kit_folder("data") / "balls.csv", {})))


def _ball(row: Row) -> Ball:
    around = row.length("circumference")
    across = around / pi if around is not None else row.length("diameter")
    low, high = row.pressure("usual pressure from"), row.pressure("usual pressure to")
    return Ball(
        id=row.text("id"),
        name=row.text("name"),
        kind=row.text("kind"),
        size=row.text("size"),
        mass_kg=row.needed("mass", row.mass("mass")),
        diameter_m=row.needed("diameter", across),
        drag_coefficient=float(row.text("drag coefficient")),
        drag_coefficient_u=float(row.text("drag coefficient uncertainty")),
        usual_gauge_pressure_pa=None if low is None or high is None else (low, high),
        max_gauge_pressure_pa=row.pressure("marked maximum"),
        aliases=tuple(row.text("aliases").split("|")),
        as_printed=row.text("as printed"),
        source=row.text("source"),
        confirmed=row.text("confirmed"),
    )


_UNITS_AFTER = re.compile(r"\d+(?:[.,]\d+)?\s*(?:psi|k?pa|m?bar|°\s*[cf]?|%)(?!\w)")
_SIZE = re.compile(r"\b(?:size|sz)\b\W*(\d+(?:[.,]\d+)?)(?!\w)|\b(\d)\W*size\b")
_WORD = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?")
_LONGEST = 6  # words of an alias
# Beside a name of a game these mean a ball that the catalogue does not have.
_OTHER = {
    *("american", "australian", "aussie", "beach", "foam", "gaelic", "gridiron"),
    *("junior", "kids", "mini", "puck", "rugby", "sponge", "toy", "youth"),
}


def _plain(name: str) -> str:
    letters = unicodedata.normalize("NFKD", name[:200]).casefold()
    return "".join(c for c in letters if not unicodedata.combining(c) and c not in "'’")


def _words(plain: str) -> list[str]:
    found = _WORD.findall(plain)
    return [word[:-1] if word.endswith("balls") else word for word in found]


@lru_cache(maxsize=1)
def _called() -> dict[str, Ball]:
    return {
        "".join(_words(_plain(alias))): ball
        for ball in balls()
        for alias in (*ball.aliases, ball.id)
    }


@lru_cache(maxsize=8192)
def find_ball(name: str) -> Ball | None:
    """Find the kind of a ball from what a class calls it.

    Parameters
    ----------
    name : str
        Such as ``"Basketball 3"``, ``"soccer ball"`` or ``"TT ball, Oak"``.

    Returns
    -------
    Ball or None
        None if the words fit no kind, or two kinds equally well.

    Notes
    -----
    The longest name of a kind that stands in `name` counts, in any case and with
    or without spaces and hyphens. A number is the class's label for the ball,
    unless the catalogue has it as a size (football 4 and 5, basketball 6 and 7)
    or the word size stands before it. A game with several sizes and none named
    means the one that grown men play with.

    Examples
    --------
    >>> find_ball("Basketball 3").id, find_ball("girls' basket-ball size 6").id
    ('basketball-7', 'basketball-6')
    >>> find_ball("the red one") is None
    True
    """
    plain = _UNITS_AFTER.sub(" ", _plain(name))
    said = _SIZE.search(plain)
    words = _words(_SIZE.sub(" ", plain))
    called = _called()
    spans = [
        (start, end, called[key])
        for start in range(len(words))
        for end in range(start + 1, min(start + _LONGEST, len(words)) + 1)
        if (key := "".join(words[start:end])) in called
    ]
    found = {
        ball
        for start, end, ball in spans
        if not any(
            s <= start and end <= e and (s, e) != (start, end) for s, e, _ in spans
        )
    }
    inside = {place for start, end, _ in spans for place in range(start, end)}
    if any(w in _OTHER for place, w in enumerate(words) if place not in inside):
        return None
    if said is None:
        return found.pop() if len(found) == 1 else None
    kinds = {ball.kind for ball in found}
    size = said[1] or said[2]
    fitting = [b for b in balls() if b.kind in kinds and b.size in ("", size)]
    return fitting[0] if len(kinds) == 1 and len(fitting) == 1 else None
