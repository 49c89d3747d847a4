"""A report that grows part by part, and how its parts name balls and numbers."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.figures.picture import Picture
from bouncelab.typesetting.paper import figure
from bouncelab.units import show_length, show_pressure, show_temperature

__all__ = [
    "Parts",
    "ball_words",
    "counted",
    "listed",
    "ordered_rows",
    "unbroken",
    "where_words",
]

_UNIT = re.compile(r"(\d) (?=(?:\\?%|cm|kPa|psi|°[CF]|in)(?!\w))")
_HEIGHT, _PRESSURE, _WARMTH = 0.05, 2.5e3, 4.0  # m, Pa, K: less needs no word


@dataclass
class Parts:
    """Markdown and the figures that it shows, growing part by part.

    Attributes
    ----------
    texts : list of str
        Paragraphs.
    figures : dict of str to bytes
        SVG by file name.
    places : dict of str to str
        What the contents lead to: a part's mark, and its name as Markdown.
    """

    texts: list[str] = field(default_factory=list)
    figures: dict[str, bytes] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)

    def begin(self, mark: str, title: str, name: str = "") -> None:
        """Begin a part that the contents lead to.

        Parameters
        ----------
        mark : str
            Letters, digits and hyphens, once in a report.
        title : str
            Its heading, Markdown.
        name : str, optional
            What the contents call it, if not by its heading.
        """
        self.places[mark] = name or title
        self.texts.append(f"## {title} {{#{mark}}}")

    def say(self, *texts: str) -> None:
        """Add paragraphs; no line ends between a number and its unit.

        Parameters
        ----------
        *texts : str
            Markdown; empty ones are left out.
        """
        self.texts += [_UNIT.sub("\\1\u00a0", text) for text in texts if text]

    def show(self, picture: Picture, caption: str, *, width: str = "16cm") -> None:
        """Add a figure with its description in words.

        Parameters
        ----------
        picture : Picture
            The figure.
        caption : str
            A line under it.
        width : str, optional
            With its unit.
        """
        name = f"figure{len(self.figures) + 1}.svg"
        self.figures[name] = picture.svg(outlines=True).encode()
        self.texts.append(figure(name, picture, caption=caption, width=width))


def ordered_rows(found: Bounciness) -> list[BallBounce]:
    """Give the conditions with drops, those of one ball together.

    Parameters
    ----------
    found : Bounciness
        The class's results.

    Returns
    -------
    list of BallBounce
        Balls in the order of the table; then by floor, pressure and temperature.
    """
    rows = [row for row in found.rows if row.n]
    first = {name: k for k, name in enumerate(dict.fromkeys(row.ball for row in rows))}
    floors = {name: k for k, name in enumerate(dict.fromkeys(r.floor for r in rows))}
    return sorted(
        rows,
        key=lambda row: (
            first[row.ball],
            floors[row.floor],
            row.gauge_pressure or 0.0,
            row.temperature or 0.0,
        ),
    )


def ball_words(row: BallBounce) -> str:
    """Give the ball's name, or that it has none.

    Parameters
    ----------
    row : BallBounce
        One condition.

    Returns
    -------
    str
        Plain text.
    """
    return row.ball or "(no name)"


def where_words(row: BallBounce, rows: Iterable[BallBounce]) -> str:
    """Say by what a condition differs from the others of its ball.

    Parameters
    ----------
    row : BallBounce
        The condition.
    rows : iterable of BallBounce
        All of them.

    Returns
    -------
    str
        Such as ``at 45.0 kPa, on gym floor``; empty if the ball has no other.
    """
    alike = [each for each in rows if each.ball == row.ball]
    parts = []
    if row.gauge_pressure is not None and _varies(
        [each.gauge_pressure for each in alike], _PRESSURE
    ):
        parts.append(f"at {show_pressure(row.gauge_pressure)}")
    if row.floor and len({each.floor for each in alike}) > 1:
        parts.append(f"on {row.floor}")
    if row.temperature is not None and _varies(
        [each.temperature for each in alike], _WARMTH
    ):
        parts.append(f"at {show_temperature(row.temperature)}")
    if _varies([each.drop_height for each in alike], _HEIGHT):
        parts.append(f"from {show_length(row.drop_height)}")
    return ", ".join(parts)


def _varies(values: Sequence[float | None], most: float) -> bool:
    known = [each for each in values if each is not None]
    return len(known) < len(values) or max(known) - min(known) > most


def counted(count: int, noun: str) -> str:
    """Write a number of things.

    Parameters
    ----------
    count : int
        How many.
    noun : str
        One of them.

    Returns
    -------
    str
        Such as ``3 drops``.

    Examples
    --------
    >>> counted(1, "drop"), counted(3, "class")
    ('1 drop', '3 classes')
    """
    many = "es" if noun.endswith("s") else "s"
    return f"{count} {noun}{many * (count != 1)}"


def listed(words: Sequence[str]) -> str:
    """Put words in a row as one says them.

    Parameters
    ----------
    words : sequence of str
        Some words.

    Returns
    -------
    str
        With commas and a last *and*; semicolons where a word has a comma itself.

    Examples
    --------
    >>> listed(["a", "b", "c"]), listed(["gym, wood", "hall"])
    ('a, b and c', 'gym, wood; hall')
    """
    if any("," in word for word in words):
        return "; ".join(words)
    *most, last = words or [""]
    return f"{', '.join(most)} and {last}" if most else last


def unbroken(value: str) -> str:
    """Keep a value and its uncertainty on one line.

    Parameters
    ----------
    value : str
        Such as ``0.776 ± 0.013``.

    Returns
    -------
    str
        With spaces at which no line ends.
    """
    return value.replace(" ", "\u00a0")
