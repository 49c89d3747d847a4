"""Graphs on squared paper: to read from, or to draw into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from bouncelab.figures.picture import COLOURS, Picture

__all__ = ["Axis", "draw_graph"]

_LOOKS = (
    {"color": COLOURS[0], "linestyle": "-"},
    {"color": COLOURS[1], "linestyle": "--"},
    {"color": COLOURS[2], "linestyle": ":"},
)


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis of a graph.

    Attributes
    ----------
    name : str
        What it shows, with its unit: ``"drop height (cm)"``; empty for a student
        to write.
    low, high : float
        Its ends, in that unit.
    marked : bool
        Whether numbers stand at it.
    """

    name: str
    low: float
    high: float
    marked: bool = True


def draw_graph(
    x: Axis,
    y: Axis,
    *,
    points: Sequence[tuple[float, float]] = (),
    bars: float = 0.0,
    lines: Sequence[tuple[str, Sequence[tuple[float, float]]]] = (),
    band: tuple[float, float] | None = None,
    words: str = "",
    height: float = 3.1,
) -> Picture:
    """Draw a graph on squared paper.

    Parameters
    ----------
    x, y : Axis
        The axes.
    points : sequence of (float, float), optional
        Measured points.
    bars : float, optional
        Half the length of a bar up and down from each point.
    lines : sequence of (str, sequence of (float, float)), optional
        Lines, each with its name (empty for none) and its corners.
    band : tuple of (float, float), optional
        Two values of y between which a band is marked.
    words : str, optional
        More that the description shall say.
    height : float, optional
        Of the figure, in inches.

    Returns
    -------
    Picture
        The description names the axes and the points, nothing worked out.

    Examples
    --------
    >>> draw_graph(Axis("t (s)", 0, 2), Axis("h (m)", 0, 1)).words
    'Squared paper, t (s) from 0 to 2 across and h (m) from 0 to 1 up. It is empty.'
    """
    figure = Figure(figsize=(6.4, height))
    axes = figure.add_axes((0.11, 0.46 / height, 0.86, 1 - 0.56 / height))
    if band is not None:
        axes.axhspan(*band, color=COLOURS[5], alpha=0.35, linewidth=0)
        for edge in band:
            axes.axhline(edge, color=COLOURS[0], linestyle="--", linewidth=1)
    for (name, corners), look in zip(lines, _LOOKS, strict=False):
        axes.plot(*zip(*corners, strict=True), linewidth=1.8, label=name, **look)
    if any(name for name, _ in lines):
        axes.legend(loc="best", framealpha=1)
    if points:
        across, up = zip(*points, strict=True)
        if bars:
            axes.errorbar(
                across, up, yerr=bars, fmt="o", color="black", capsize=3, markersize=5
            )
        else:
            axes.plot(across, up, "o", color="black", markersize=5)
    _squares(axes, x, y)
    axes.set_xlabel(x.name)
    axes.set_ylabel(y.name)
    return Picture(figure, _words(x, y, points, bars, lines, band, words))


def _squares(axes: Axes, x: Axis, y: Axis) -> None:
    """Rule the paper; all lines at once, which is much faster than a grid."""
    axes.set_xlim(x.low, x.high)
    axes.set_ylim(y.low, y.high)
    numbers = [_numbers(each) for each in (x, y)]
    for parts, grey, width in ((5, "0.85", 0.5), (1, "0.62", 0.7)):
        across, up = (_between(marks, parts) for marks in numbers)
        lines = [[(each, y.low), (each, y.high)] for each in across]
        lines += [[(x.low, each), (x.high, each)] for each in up]
        axes.add_collection(
            LineCollection(lines, colors=grey, linewidths=width, zorder=0.5)
        )
    axes.set_xticks([m for m in numbers[0] if x.low <= m <= x.high and x.marked])
    axes.set_yticks([m for m in numbers[1] if y.low <= m <= y.high and y.marked])


def _numbers(axis: Axis) -> list[float]:
    """Give round numbers from just below the axis to just above it."""
    return [
        float(each)
        for each in MaxNLocator(8, steps=[1, 2, 5, 10]).tick_values(axis.low, axis.high)
    ]


def _between(marks: Sequence[float], parts: int) -> list[float]:
    step = (marks[1] - marks[0]) / parts
    return [marks[0] + k * step for k in range(parts * (len(marks) - 1) + 1)]


def _words(
    x: Axis,
    y: Axis,
    points: Sequence[tuple[float, float]],
    bars: float,
    lines: Sequence[tuple[str, Sequence[tuple[float, float]]]],
    band: tuple[float, float] | None,
    more: str,
) -> str:
    named = [
        (axis.name or "an axis without a name")
        + (f" from {axis.low:g} to {axis.high:g}" if axis.marked else "")
        for axis in (x, y)
    ]
    said = [f"Squared paper, {named[0]} across and {named[1]} up."]
    if points:
        told = "; ".join(f"{across:g} and {up:g}" for across, up in points)
        said.append(f"Points stand at {told}.")
    if bars:
        said.append(f"Each has a bar that reaches {bars:g} up and down.")
    for name, corners in lines:
        called = f"The line “{name}”" if name else "A line"
        ends = [f"{across:g} and {up:g}" for across, up in (corners[0], corners[-1])]
        said.append(f"{called} leads from {ends[0]} to {ends[1]}.")
    if band is not None:
        said.append(f"A band is marked from {band[0]:g} to {band[1]:g}.")
    if not (points or lines or band):
        said.append("It is empty.")
    return " ".join([*said, more]).strip()
