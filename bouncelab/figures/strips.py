"""Rebound of every drop, one strip for each ball and condition, with its range."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure

from bouncelab.catalogue import POINTS
from bouncelab.errors import InputError
from bouncelab.figures.picture import COLOURS, SHAPES, Picture, short
from bouncelab.units import UNITS, in_unit, show_length, show_pressure

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from bouncelab.analysis.ball_bounce import BallBounce

__all__ = ["draw_strips"]

_STRIP = 0.62  # inches of paper for each strip
_SPREAD = 0.22  # of a strip's height, to keep equal readings apart
_LABEL = 26  # letters in a line beside a strip
_MOST = 40  # strips in one figure; more cannot be read


def draw_strips(rows: Sequence[BallBounce], *, unit: str = "cm") -> Picture:
    """Draw the rebound of each drop, with the mean and the range's band.

    Parameters
    ----------
    rows : sequence of BallBounce
        One strip each, from the top down. A row's first verdict gives its band,
        moved to the lowest point of the ball; other points are not drawn.
    unit : {"cm", "m", "mm", "in"}, optional
        The unit on the axis.

    Returns
    -------
    Picture
        The figure, and the same in words.

    Raises
    ------
    InputError
        If there are no rows, or more than 40, or the unit is unknown.

    Notes
    -----
    Filled marks are drops without doubt, hollow ones are doubtful; the upright
    line is the mean and the bar its 95 % interval, from e and the drop height.

    Examples
    --------
    >>> from bouncelab.analysis.bounciness import bounciness
    >>> from bouncelab.readings.drops import read_rows
    >>> rows = [["1 m", "62 cm"], ["1 m", "64 cm"], ["1 m", "66 cm"]]
    >>> found = bounciness(read_rows(["drop", "rebound"], rows))
    >>> print(draw_strips(found.rows).words)
    (no name): 3 drops, rebounds from 62.0 cm to 66.0 cm, mean 64.0 cm.
    """
    if not 0 < len(rows) <= _MOST:
        raise InputError(
            what="strips to draw",
            read=str(len(rows)),
            allowed=f"1 to {_MOST} balls and conditions",
            do="Choose some of the rows.",
        )
    if unit not in UNITS["length"]:
        raise InputError(
            "unit of length", unit, ", ".join(UNITS["length"]), "Choose one of these."
        )
    figure = Figure(figsize=(7.0, 1.1 + _STRIP * len(rows)), layout="constrained")
    axes = figure.subplots()
    balls = list(dict.fromkeys(row.ball for row in rows))
    for place, row in enumerate(rows):
        _strip(axes, row, place, balls.index(row.ball), unit)
    axes.set_yticks(range(len(rows)), [_beside(row) for row in rows])
    axes.set_ylim(len(rows) - 0.4, -0.6)  # first row on top
    axes.set_xlabel(f"rebound height of the lowest point ({unit})")
    axes.grid(axis="x", color="0.85", linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.tick_params(axis="y", length=0)
    _legend(figure, axes)
    return Picture(figure, " ".join(_words(row, unit) for row in rows))


def _band(row: BallBounce) -> tuple[float, float] | None:
    """Give the limits of the row's first range for the lowest point, in m."""
    if not row.verdicts or row.verdicts[0].probability is None:
        return None
    limits = row.verdicts[0].range
    under = POINTS[limits.rebound_point] * (row.diameter or 0.0)
    low, high = limits.rebound_min_m, limits.rebound_max_m
    return (
        0.0 if low is None else low - under,
        np.inf if high is None else high - under,
    )


def _strip(axes: Axes, row: BallBounce, place: int, ball: int, unit: str) -> None:
    colour = COLOURS[ball % len(COLOURS)]
    # Where colours start anew, shapes are one further on: 49 pairs in all.
    shape = SHAPES[(ball + ball // len(COLOURS)) % len(SHAPES)]
    band = _band(row)
    if band is not None:
        top = row.drop_height if np.isinf(band[1]) else band[1]
        left, right = (in_unit(each, "length", unit) for each in (band[0], top))
        axes.barh(
            place,
            right - left,
            left=left,
            height=0.8,
            color="0.9",
            edgecolor="0.45",
            linestyle="--",
            label="range allowed",
        )
    heights = in_unit(row.trials.rebound_height, "length", unit)
    # Spread evenly in the order of the drops: equal readings stay apart.
    across = place + _SPREAD * np.linspace(-1, 1, row.n) * (row.n > 1)
    doubt = row.trials.doubtful
    for which, face, label in (
        (~doubt, colour, "drop"),
        (doubt, "white", "doubtful drop"),
    ):
        if which.any():
            axes.plot(
                heights[which],
                across[which],
                linestyle="none",
                marker=shape,
                markersize=6,
                markerfacecolor=face,
                markeredgecolor=colour,
                label=label,
            )
    mean = in_unit(row.rebound_height, "length", unit)
    # h = e² H, so the interval of e gives one of the mean rebound.
    ends = [max(row.e + side * row.expanded, 0.0) ** 2 for side in (-1, 1)]
    low, high = (in_unit(each * row.drop_height, "length", unit) for each in ends)
    axes.plot([low, high], [place, place], color="black", linewidth=1.2)
    axes.plot(
        mean,
        place,
        linestyle="none",
        marker="|",
        markersize=18,
        markeredgewidth=2,
        color="black",
        label="mean and 95 % interval",
    )


def _parts(row: BallBounce) -> list[str]:
    parts = [row.ball or "(no name)"]
    if row.gauge_pressure is not None:
        parts.append(show_pressure(row.gauge_pressure))
    if row.floor:
        parts.append(row.floor)
    return parts


def _label(row: BallBounce) -> str:
    return ", ".join(_parts(row))


def _beside(row: BallBounce) -> str:
    """Give the label beside a strip: the name, and the rest in a line of its own."""
    name, *rest = _parts(row)
    lines = [short(name), short(", ".join(rest))] if rest else [short(name)]
    return "\n".join(fill(each, _LABEL) for each in lines)


def _legend(figure: Figure, axes: Axes) -> None:
    handles, labels = axes.get_legend_handles_labels()
    first = dict(zip(reversed(labels), reversed(handles), strict=True))
    order = ("drop", "doubtful drop", "mean and 95 % interval", "range allowed")
    shown = [name for name in order if name in first]
    figure.legend(
        [first[name] for name in shown],
        shown,
        loc="outside upper center",
        ncols=len(shown),
        frameon=False,
    )


def _words(row: BallBounce, unit: str) -> str:
    """Say what one strip shows."""
    heights = row.trials.rebound_height
    mean = show_length(row.rebound_height, unit)
    if row.n == 1:
        said = f"{_label(row)}: 1 drop, rebound {mean}"
    else:
        said = (
            f"{_label(row)}: {row.n} drops, rebounds from "
            f"{show_length(float(heights.min()), unit)} to "
            f"{show_length(float(heights.max()), unit)}, mean {mean}"
        )
    if row.doubtful:
        said += f", {row.doubtful} doubtful"
    band = _band(row)
    if band is not None:
        ends = [show_length(each, unit) for each in band if np.isfinite(each)]
        limits = " to ".join(ends) if len(ends) > 1 else f"at least {ends[0]}"
        said += f"; the range allows {limits}: {row.verdicts[0].word}"
    return f"{said}."
