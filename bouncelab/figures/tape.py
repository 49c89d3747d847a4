"""A ball beside a tape, to be read."""

from __future__ import annotations

from math import ceil, floor

from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from bouncelab.errors import InputError
from bouncelab.figures.picture import COLOURS, Picture
from bouncelab.units import in_unit

__all__ = ["draw_tape"]

_ROOM = 0.04  # m of tape shown above and below the ball
_FACE = "#F4E9A8"  # like a tape; its marks are black


def draw_tape(*, bottom: float, diameter: float) -> Picture:
    """Draw a ball beside a tape in centimetres.

    Parameters
    ----------
    bottom : float
        Height of the lowest point of the ball, in m.
    diameter : float
        Of the ball, in m.

    Returns
    -------
    Picture
        Marks at each centimetre, numbers at each ten. The description says how many
        marks the ball stands above a number, as eyes would count them.

    Raises
    ------
    InputError
        If the ball would be below the floor or has no size.

    Examples
    --------
    >>> draw_tape(bottom=1.23, diameter=0.2).words[-65:]
    'its top is 3 small marks above 140. The ball hides nothing of it.'
    """
    if not (bottom >= 0 and 0 < diameter < 1):
        raise InputError(
            what="a ball beside a tape",
            read=f"its lowest point at {bottom} m, {diameter} m across",
            allowed="a height of 0 or more, and a diameter below 1 m",
            do="Check both, in m.",
        )
    low_cm, size_cm, room = (
        float(in_unit(each, "length", "cm")) for each in (bottom, diameter, _ROOM)
    )
    low, high = floor(low_cm - room), ceil(low_cm + size_cm + room)
    figure = Figure(figsize=(3.4, 3.4 * (high - low) / 34))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.axvspan(0, 7, color=_FACE, linewidth=0)
    marks = range(max(low, 0), high + 1)
    lengths = [2.4 if m % 10 == 0 else 1.7 if m % 5 == 0 else 1.0 for m in marks]
    lines = [[(7 - a, m), (7, m)] for m, a in zip(marks, lengths, strict=True)]
    axes.add_collection(LineCollection(lines, colors="black", linewidths=0.8))
    for mark in marks:
        if mark % 10 == 0:
            axes.text(4.2, mark, f"{mark}", ha="right", va="center", fontsize=9)
    middle = (8 + size_cm / 2, low_cm + size_cm / 2)
    axes.add_patch(
        Circle(middle, size_cm / 2, facecolor=COLOURS[1], edgecolor="black", alpha=0.8)
    )
    for edge in (low_cm, low_cm + size_cm):
        axes.plot(
            [7, middle[0]], [edge, edge], color="black", linestyle=":", linewidth=0.9
        )
    axes.text(33.5, low + 0.4, "numbers in cm", fontsize=8, ha="right")
    axes.set_xlim(0, 34)
    axes.set_ylim(low, high)
    axes.set_axis_off()
    return Picture(figure, _words(low_cm, low_cm + size_cm))


def _words(bottom: float, top: float) -> str:
    said = [
        f"{name} is {edge - 10 * floor(edge / 10):.2g} small marks above "
        f"{10 * floor(edge / 10)}"
        for name, edge in (("its lowest point", bottom), ("its top", top))
    ]
    return (
        "A ball beside a tape with a small mark at each centimetre and a number at "
        f"each ten: {said[0]}, {said[1]}. The ball hides nothing of it."
    )
