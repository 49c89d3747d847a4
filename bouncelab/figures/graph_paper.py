"""Graphs on squared paper: to read from, or to draw into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure
from matplotlib.ticker import AutoMinorLocator

from bouncelab.figures.picture import COLOURS, Picture

__all__ = ["Axis", "draw_graph"]


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
    """

    name: str
    low: float
    high: float


def draw_graph(
    x: Axis,
    y: Axis,
    *,
    points: Sequence[tuple[float, float]] = (),
    bars: float = 0.0,
    line: Sequence[tuple[float, float]] = (),
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
    line : sequence of (float, float), optional
        Corners of a line, or points of a curve.
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
    if line:
        axes.plot(*zip(*line, strict=True), color=COLOURS[0], linewidth=1.8)
    if points:
        across, up = zip(*points, strict=True)
        if bars:
            axes.errorbar(
                across, up, yerr=bars, fmt="o", color="black", capsize=3, markersize=5
            )
        else:
            axes.plot(across, up, "o", color="black", markersize=5)
    axes.set_xlim(x.low, x.high)
    axes.set_ylim(y.low, y.high)
    axes.set_xlabel(x.name)
    axes.set_ylabel(y.name)
    axes.xaxis.set_minor_locator(AutoMinorLocator())
    axes.yaxis.set_minor_locator(AutoMinorLocator())
    axes.grid(which="major", color="0.62", linewidth=0.7)
    axes.grid(which="minor", color="0.85", linewidth=0.5)
    axes.set_axisbelow(True)
    return Picture(figure, _words(x, y, points, bars, line, band, words))


def _words(
    x: Axis,
    y: Axis,
    points: Sequence[tuple[float, float]],
    bars: float,
    line: Sequence[tuple[float, float]],
    band: tuple[float, float] | None,
    more: str,
) -> str:
    named = [
        f"{axis.name or 'an axis without a name'} from {axis.low:g} to {axis.high:g}"
        for axis in (x, y)
    ]
    said = [f"Squared paper, {named[0]} across and {named[1]} up."]
    if points:
        told = "; ".join(f"{across:g} and {up:g}" for across, up in points)
        said.append(f"Points stand at {told}.")
    if bars:
        said.append(f"Each has a bar that reaches {bars:g} up and down.")
    if line:
        said.append("A line is drawn.")
    if band is not None:
        said.append(f"A band is marked from {band[0]:g} to {band[1]:g}.")
    if not (points or line or band):
        said.append("It is empty.")
    return " ".join([*said, more]).strip()
