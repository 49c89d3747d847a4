"""How high is each bounce? Predicted, and as somebody read it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.figure import Figure

from bouncelab.errors import InputError
from bouncelab.figures.bounce_path import bounces_of, named_ball
from bouncelab.figures.picture import COLOURS, Picture
from bouncelab.physics.restitution import restitution_with_drag
from bouncelab.units import in_unit, show_length

__all__ = ["draw_rebound_heights", "restitutions_read"]

_BOUNCES = 8  # on the axis, unless more were read


def restitutions_read(values: Mapping[str, Any], own: Sequence[float]) -> Any:
    """Give the restitution of each bounce from heights that somebody read.

    Parameters
    ----------
    values : mapping
        As for `bounces_of`; its air says whether drag is allowed for.
    own : sequence of float
        Rebound heights in m, from the first one on.

    Returns
    -------
    ndarray of float
        One for each rebound after a height above 0: from the drop height to the
        first, from the first to the second, and so on.

    Raises
    ------
    InputError
        If a rebound is higher than the fall before it.

    Examples
    --------
    >>> values = {"ball": "futsal", "height": 100, "restitution": 0.5, "air": "none"}
    >>> restitutions_read(values, [0.64, 0.36]).round(2)
    array([0.8 , 0.75])
    """
    train = bounces_of(values)
    falls = np.array([train.drop_height, *own[:-1]])
    rebounds = np.array(own)[: len(falls)]
    fell = falls > 0
    for place in np.flatnonzero(rebounds > falls):
        raise InputError(
            what=f"height {place + 1}",
            read=show_length(rebounds[place]),
            allowed=f"up to {show_length(falls[place])}, from where it fell",
            do="Move the drop height to yours, and read one point of the ball.",
        )
    return restitution_with_drag(
        drop_height=falls[fell],
        rebound_height=rebounds[fell],
        drag_constant=train.drag_constant,
    )


def draw_rebound_heights(values: Mapping[str, Any]) -> Picture:
    """Draw the height of each bounce, with and without air, and heights read.

    Parameters
    ----------
    values : mapping
        As for `many_bounces_scene`.

    Returns
    -------
    Picture
        The prediction as circles on a line, without air as triangles, and what
        somebody read as squares.

    Raises
    ------
    InputError
        If a value is outside its range.

    Examples
    --------
    >>> values = {"ball": "futsal", "height": 100, "restitution": 0.8, "air": "none"}
    >>> draw_rebound_heights({**values, "own": (0.62, 0.40)}).words[-71:]
    'Squares, yours: 62.0 cm (2.0 below), 40.0 cm (1.0 below); e 0.79, 0.80.'
    """
    own = tuple(values.get("own", ()))
    train = bounces_of(values)
    count = min(max(_BOUNCES, len(own)), len(train.heights))
    figure = Figure(figsize=(6.4, 2.9))
    axes = figure.add_axes((0.1, 0.17, 0.58, 0.78))
    numbers = np.arange(count + 1)
    for air, look, name in _lines(values):
        heights = bounces_of({**values, "air": air}).heights[:count]
        drawn = in_unit(np.array([train.drop_height, *heights]), "length", "cm")
        axes.plot(numbers, drawn, label=name, **look)
    if own:
        axes.plot(
            numbers[1 : len(own) + 1],
            in_unit(np.array(own[:count]), "length", "cm"),
            "s",
            color=COLOURS[1],
            markerfacecolor="none",
            markeredgewidth=2,
            markersize=9,
            label="you read",
        )
    axes.set_xlim(-0.3, count + 0.3)
    axes.set_ylim(bottom=0)
    axes.set_xlabel("bounces so far")
    axes.set_ylabel("height (cm)")
    axes.locator_params(nbins=5)  # ticks take most of the time of drawing
    axes.grid(color="0.88", linewidth=0.6)
    figure.legend(loc="center right", frameon=False)
    return Picture(figure, _words(values, own))


def _lines(values: Mapping[str, Any]) -> list[tuple[str, dict[str, Any], str]]:
    """Give what is predicted: the air, the look and the name of each line."""
    free = {"color": COLOURS[2], "marker": "^", "linestyle": "--"}
    if values["air"] == "none":
        return [("none", free, "without air")]
    real = {"color": COLOURS[0], "marker": "o"}
    return [("none", free, "without air"), ("air", real, "in air")]


def _words(values: Mapping[str, Any], own: tuple[float, ...]) -> str:
    train = bounces_of(values)
    name = named_ball(values["ball"]).name
    where = "in air" if values["air"] == "air" else "without air"
    # A ball that stays on the floor is said to do so once.
    seen = max(int(np.count_nonzero(train.heights[:_BOUNCES])), 1)
    predicted = ", ".join(show_length(h) for h in train.heights[:seen])
    said = (
        f"Height after each bounce of a {name}, dropped from "
        f"{show_length(train.drop_height)}. Predicted {where}: {predicted}."
    )
    if not own:
        return said
    apart = []
    for height, law in zip(own, train.heights, strict=False):
        off = in_unit(height - law, "length", "cm")
        side = "above" if off > 0 else "below"
        apart.append(f"{show_length(height)} ({abs(off):.1f} {side})")
    try:
        found = ", ".join(f"{e:.2f}" for e in restitutions_read(values, own))
        return f"{said} Squares, yours: {', '.join(apart)}; e {found}."
    except InputError as error:
        return f"{said} Squares, yours: {', '.join(apart)}. ✕ {error}"
