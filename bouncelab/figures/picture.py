"""A figure together with the same thing in words."""

from __future__ import annotations

import html
from dataclasses import dataclass
from io import StringIO
from threading import Lock

from matplotlib.figure import Figure

__all__ = ["COLOURS", "SHAPES", "Picture", "short"]

# M. Okabe and K. Ito, Color Universal Design (2008): told apart with any colour
# vision. Each has its own shape, so that colour is never the only sign.
COLOURS = (
    "#0072B2",
    "#D55E00",
    "#009E73",
    "#CC79A7",
    "#E69F00",
    "#56B4E9",
    "#000000",
)
SHAPES = ("o", "s", "^", "D", "v", "P", "X")
# Beyond Latin, Greek and Cyrillic, letters join up or are missing from matplotlib's
# font: whatever shows the drawing knows better how to write them.
_PLAIN_LETTERS = 0x590
_SIGNS = range(0x2000, 0x2300)  # dashes, fractions, minus, arrows, mathematics
_DRAWING = Lock()  # settings and fonts are shared by all threads


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure, and its description for those who cannot see it.

    Attributes
    ----------
    figure : matplotlib.figure.Figure
        The figure.
    words : str
        What it shows, made from the same numbers.
    """

    figure: Figure
    words: str

    def svg(self, *, outlines: bool = False) -> str:
        """Give the figure as SVG text; the same figure gives the same text.

        Parameters
        ----------
        outlines : bool, optional
            Whether letters are drawn as shapes, for papers, where fonts may be
            missing; names in scripts that this cannot write stay text.

        Returns
        -------
        str
            From ``<svg`` on.
        """
        import warnings

        import matplotlib as mpl

        out = StringIO()
        letters = "path" if outlines and self._plain() else "none"
        settings = {"svg.hashsalt": "bouncelab", "svg.fonttype": letters}
        with _DRAWING, mpl.rc_context(settings), warnings.catch_warnings():
            warnings.filterwarnings("ignore", r"Glyph .* missing from")
            self.figure.savefig(out, format="svg", metadata={"Date": None})
        text = out.getvalue()
        return text[text.index("<svg") :]

    def _plain(self) -> bool:
        from matplotlib.text import Text

        return all(
            ord(letter) < _PLAIN_LETTERS or ord(letter) in _SIGNS
            for each in self.figure.findobj(Text)
            for letter in each.get_text()
        )

    def _repr_html_(self) -> str:
        label = html.escape(self.words, quote=True)
        drawing = self.svg().replace("<svg", f'<svg role="img" aria-label="{label}"', 1)
        return (
            f"<figure>{drawing}<figcaption>{html.escape(self.words)}</figcaption>"
            "</figure>"
        )


def short(name: str, most: int = 48) -> str:
    """Give a name that leaves room for the drawing beside it.

    Parameters
    ----------
    name : str
        What a person typed.
    most : int, optional
        How many letters are kept.

    Returns
    -------
    str
        The name, cut off with a sign that it goes on; dollar signs stay such.

    Examples
    --------
    >>> short("Futsal ball"), len(short("x" * 400))
    ('Futsal ball', 48)
    """
    cut = name if len(name) <= most else name[: most - 1] + "…"
    return cut.replace("$", r"\$")
