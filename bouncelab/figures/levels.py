"""What is compared, side by side: every drop, each mean and its 95 % interval."""

from __future__ import annotations

from math import isfinite

import numpy as np
from matplotlib.figure import Figure

from bouncelab.analysis.comparison import Comparison
from bouncelab.analysis.words import shown
from bouncelab.figures.picture import COLOURS, SHAPES, Picture, short

__all__ = ["draw_comparison"]

_STRIP = 0.45  # inches of paper for each level
_SPREAD = 0.25  # of a strip's height, to keep equal drops apart


def draw_comparison(told: Comparison) -> Picture:
    """Draw the coefficients of restitution that are compared.

    Parameters
    ----------
    told : Comparison
        Levels and pairs.

    Returns
    -------
    Picture
        One strip for each level, from the top down; each group has its own mark.

    Examples
    --------
    >>> callable(draw_comparison)
    True
    """
    count = len(told.levels)
    figure = Figure(figsize=(7.0, 1.2 + _STRIP * count), layout="constrained")
    axes = figure.subplots()
    groups = list(dict.fromkeys(g for level in told.levels for g in level.group))
    named: set[str] = set()  # each group stands once in the legend
    for place, level in enumerate(told.levels):
        for at, group in enumerate(groups):
            mine = np.array([each == group for each in level.group])
            step = (at + 0.5) / len(groups) - 0.5
            colour = COLOURS[at % len(COLOURS)]
            for which, face in ((~level.doubtful, colour), (level.doubtful, "white")):
                both = mine & which
                if not both.any():
                    continue
                axes.plot(
                    level.e[both],
                    np.full(int(both.sum()), place + 2 * _SPREAD * step),
                    linestyle="none",
                    marker=SHAPES[(at + at // len(COLOURS)) % len(SHAPES)],
                    color=colour,
                    markerfacecolor=face,
                    markersize=4 if face == colour else 6,
                    label=None
                    if group in named
                    else short(group or "no group written", 24),
                )
                named.add(group)
        half = level.expanded if isfinite(level.expanded) else 0.0
        axes.errorbar(
            level.mean,
            place,
            xerr=half,
            fmt="|",
            color="black",
            capsize=4,
            markersize=16,
            linewidth=1.8,
        )
    axes.set_yticks(range(count), [short(level.level) for level in told.levels])
    axes.set_ylim(count - 0.4, -0.6)
    doubts = sum(int(each.doubtful.sum()) for each in told.levels)
    axes.set_xlabel(
        "e, coefficient of restitution (| mean and 95 % interval"
        + ("; hollow: doubtful reading)" if doubts else ")")
    )
    if 1 < len(groups) <= 10:
        axes.legend(
            title="group", fontsize="small", loc="upper left", bbox_to_anchor=(1, 1)
        )
    said = "; ".join(
        f"{each.level}: e {shown(each.mean, each.expanded)} from {each.e.size} drops"
        for each in told.levels
    )
    if doubts:
        said += f"; {doubts} of them with a doubtful reading, drawn hollow"
    return Picture(figure, f"{said}.")
