"""Does a bouncier ball come back higher? It depends on the drop: the plot of both."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.figure import Figure

from bouncelab.figures.bounce_path import bounces_of, named_ball
from bouncelab.figures.picture import COLOURS, Picture
from bouncelab.physics.rebounds import rebound_height
from bouncelab.units import in_unit, show_length

__all__ = ["draw_drop_and_rebound"]

_MOST = 2.5  # m


def draw_drop_and_rebound(values: Mapping[str, Any]) -> Picture:
    """Draw the rebound height for each drop height of one e, and a pair read.

    Parameters
    ----------
    values : mapping
        As for `three_ways_scene`; ``own``, if there, is a drop and a rebound
        height in m that somebody read.

    Returns
    -------
    Picture
        Without air a straight line through zero; in air it bends down.

    Raises
    ------
    InputError
        If a value is outside its range.

    Examples
    --------
    >>> values = {"ball": "futsal", "height": 100, "restitution": 0.8, "air": "none"}
    >>> draw_drop_and_rebound(values).words[-78:]
    '64.0 cm. That is 0.640 of the drop height, from each height; e is 0.80 always.'
    """
    train, e = bounces_of(values), float(values["restitution"])
    drops = np.linspace(_MOST / 50, _MOST, 50)
    figure = Figure(figsize=(6.4, 2.9))
    axes = figure.add_axes((0.1, 0.17, 0.58, 0.78))
    for drag, look, name in (
        (0.0, {"color": COLOURS[2], "linestyle": "--"}, "without air"),
        (train.drag_constant, {"color": COLOURS[0]}, "in air"),
    ):
        if name == "in air" and values["air"] != "air":
            continue
        rebounds = rebound_height(drop_height=drops, restitution=e, drag_constant=drag)
        axes.plot(_cm(drops), _cm(rebounds), label=name, linewidth=2, **look)
    here = (train.drop_height, float(train.heights[0]))
    axes.plot(*map(_cm, here), "o", color="black", label="this drop")
    own = tuple(values.get("own", ()))
    if own:
        axes.plot(
            *map(_cm, own),
            "s",
            color=COLOURS[1],
            markerfacecolor="none",
            markeredgewidth=2,
            markersize=9,
            label="you read",
        )
    axes.set_xlim(0, _cm(max(_MOST, *own, 0.0)) * 1.02)
    axes.set_ylim(0, _cm(max(_MOST * e**2, *own[1:], here[1])) * 1.08)
    axes.set_xlabel("drop height (cm)")
    axes.set_ylabel("rebound height (cm)")
    axes.locator_params(nbins=5)  # ticks take most of the time of drawing
    axes.grid(color="0.88", linewidth=0.6)
    figure.legend(loc="center right", frameon=False)
    return Picture(figure, _words(values, drops, own))


def _cm(metres: Any) -> Any:
    return in_unit(metres, "length", "cm")


def _words(values: Mapping[str, Any], drops: Any, own: tuple[float, ...]) -> str:
    train, e = bounces_of(values), float(values["restitution"])
    said = (
        f"Rebound height against drop height of a {named_ball(values['ball']).name}: "
        f"from {show_length(train.drop_height)} back to "
        f"{show_length(train.heights[0])}. "
    )
    ends = drops[[9, -1]]
    shares = (
        rebound_height(
            drop_height=ends, restitution=e, drag_constant=train.drag_constant
        )
        / ends
    )
    if values["air"] == "air":
        low, high = (show_length(each) for each in ends)
        said += (
            f"From {low} it is {shares[0]:.3f} of the drop height, from {high} only "
            f"{shares[1]:.3f}: the air takes more of a long way. e is {e:.2f} always."
        )
    else:
        said += (
            f"That is {shares[0]:.3f} of the drop height, from each height; "
            f"e is {e:.2f} always."
        )
    if own:
        drop, back = (show_length(each) for each in own)
        said += f" Square, yours: from {drop} back to {back}."
    return said
